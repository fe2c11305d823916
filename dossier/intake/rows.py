"""The tables' rows as the model's rows, checked against the register of parts, the people and the agreements.

Not done here: photographs (`photolist`). Invariant: a row that lacks what it needs is left out and said.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

import msgspec

from dossier.intake.dates import range_behind
from dossier.intake.entries import Entry, Read, read_all
from dossier.intake.partlist import ALL_OTHERS, Register, excepts, names_all, names_others
from dossier.intake.report import ANY, Report, listed
from dossier.intake.schema import TABLES, plain_word
from dossier.intake.values import SAID
from dossier.model.finding import At
from dossier.model.job import Workshop
from dossier.model.rows import Measurement, Part, Work
from dossier.words.headings import headed

Where = dict[str, At]
PEOPLE = ("people", "firms")  # the lists of workshop.toml whose marks rows name
UNREAD = "?"  # in `Where`: a row that was left out
_WORDS = re.compile(r"\w+")


class Known(msgspec.Struct, frozen=True):
    """What rows may refer to."""

    register: Register
    people: dict[str, str]  # mark or name as compared -> mark
    agreements: dict[str, str]  # number as compared -> number


def first_of_each(reads: Iterable[Read], name: str, report: Report) -> list[Read]:
    """The rows whose `name` was not met before; a second one is said, with where the first stands."""
    seen: dict[str, At] = {}
    kept = []
    for read in reads:
        key = read.text(name).casefold()
        if key in seen:
            report.say("number-twice", read.place(name), typed=read.text(name), first=str(seen[key]))
        else:
            seen[key] = read.place(name)
            kept.append(read)
    return kept


def read_parts(entries: list[Entry], report: Report, where: Where) -> tuple[tuple[Part, ...], Register]:
    """The parts, each number once, and all numbers that may be referred to (also of rows not whole)."""
    every = read_all(TABLES["parts"], entries, report)
    if not report.whole("parts"):
        report.not_all("parts")
    unread = [entry for entry, read in zip(entries, every, strict=True) if not read.text("number")]
    say_unread("parts", unread, ("number",), report)
    reads = first_of_each([read for read in every if read.text("number")], "number", report)
    numbers = tuple(read.values["number"] for read in reads)
    register = Register(numbers, {} if "parts.pieces" in report.misspelt else _pieces_of(reads))
    for read in reads:
        place_row(f"parts/{read.values['number']}", read, where)
    parts = tuple(Part(**read.values | _container(read, register, report)) for read in reads if read.whole)
    register.headed = headed(parts)
    register.absent = frozenset(part.number for part in parts if part.came_as == "missing")
    return parts, register


def say_unread(kind: str, entries: Iterable[Entry], names: tuple[str, ...], report: Report) -> None:
    """That these entries of `kind` could not be read: by what stands under `names` others may mean them.

    "Nr. 1" cannot serve as a number; what says "1" may mean it. Where the first is blank, anything may.
    """
    for entry in entries:
        cells = [entry.cells.get(name) for name in names]
        first, *more = [plain_word(str(c.raw)) if c and not _tells_nothing(c.raw) else "" for c in cells]
        words = {word for text in (first, *more) for word in _meant_by(text)}
        report.not_all(kind, words if _WORDS.search(first) else (ANY,))


def _tells_nothing(raw: object) -> bool:
    """Said already, or a date that a spreadsheet program made of what was typed."""
    return raw is SAID or range_behind(raw) is not None


def _meant_by(text: str) -> list[str]:
    """As typed, each of its words, and these without anything between them ("A 1?": A1)."""
    words = _WORDS.findall(text)
    return [text, *words, "".join(words)]


def _pieces_of(reads: list[Read]) -> dict[str, int]:
    """Pieces by part number; blank is one, and what could not be read is left out."""
    readable = [read for read in reads if "pieces" in read.values or "pieces" not in read.places]
    return {read.values["number"]: read.values.get("pieces", 1) for read in readable}


def _container(read: Read, register: Register, report: Report) -> dict[str, str]:
    typed = read.text("part_of")
    found = register.one(typed, read.place("part_of"), report) if typed else ""
    if found and found == read.values["number"]:
        report.say("part-of-itself", read.place("part_of"), typed=typed)
        found = ""
    return {"part_of": found}


def people_of(workshop: Workshop) -> dict[str, str]:
    """Marks and names of the workshop's people and firms, each to its mark."""
    people = [(who.mark, who.name) for who in workshop.people]
    everyone = people + [(firm.mark, firm.name) for firm in workshop.firms]
    names = {plain_word(name): mark for mark, name in everyone if name}
    return names | {plain_word(mark): mark for mark, _ in everyone}


def read_work(entries: list[Entry], known: Known, report: Report, where: Where) -> tuple[Work, ...]:
    """The work log in the order of the file, parts resolved; rows are numbered from 1.

    What a row that is not whole refers to is looked up too (all problems in one run), and it has a number:
    the lines behind it are called what they will be called when it is mended.
    """
    every = read_all(TABLES["work"], entries, report)
    others = _others(every, known.register)
    rows = []
    for number, read in enumerate(every, 1):
        values = _referring(read, others, known, report)
        if read.whole:
            place_row(f"work/{number}", read, where)
            rows.append(Work(number=number, **values))
    return tuple(rows)


def _others(reads: list[Read], register: Register) -> tuple[str, ...]:
    """Every part that no line of the work log names, by itself or by a heading over it."""
    if not any(_is_others(read) for read in reads):
        return ()
    unsaid = Report()  # what is wrong is said when the line itself is read
    unsaid.not_all("parts")
    # Another, which keeps nothing of what is not said.
    register = Register(register.numbers, headed=register.headed)
    named: set[str] = set()
    for read in reads:
        if "parts" in read.values and not _is_others(read):
            named.update(register.parts(read.text("parts"), read.at, unsaid))
    return register.but(named)


def _is_others(read: Read) -> bool:
    return names_others(read.text("parts"))


def _referring(read: Read, others: tuple[str, ...], known: Known, report: Report) -> dict[str, Any]:
    """The values of a line of work, its parts, person and agreement as the job knows them."""
    parts = _parts(read, others, known, report) if "parts" in read.values else ()
    return read.values | {
        "parts": parts,
        "pieces": _pieces(read, parts, known, report),
        "who": known_person(read, "who", known, report),
        "agreed_on": _agreement(read, known, report),
    }


def _parts(read: Read, others: tuple[str, ...], known: Known, report: Report) -> tuple[str, ...]:
    at = read.place("parts")
    if not _is_others(read):
        typed = read.text("parts")
        if _means_others(typed, known.register, report):
            report.say("unknown-part", at, nearest=ALL_OTHERS, typed=typed)
            return ()
        return known.register.parts(typed, at, report)
    if read.values.get("done") not in ("replaced", "added"):  # which bring what was not there
        others = tuple(number for number in others if number not in known.register.absent)
    if not others and report.all_read("parts") and known.register.numbers:
        report.say("no-other-parts", at)
    return others


def _means_others(typed: str, register: Register, report: Report) -> bool:
    """Whether "rest" and the like stands where "all others" is meant."""
    if names_all(typed) or register.find(typed) or excepts(typed):
        return False
    return report.nearest(plain_word(typed), (ALL_OTHERS,)) == ALL_OTHERS


def _pieces(read: Read, parts: tuple[str, ...], known: Known, report: Report) -> int:
    """That many of the one part named; "9 of 64" must agree with the register."""
    if "pieces" not in read.values or not parts:
        return 0
    pieces, of = read.values["pieces"]
    at = read.place("pieces")
    if len(parts) > 1:
        report.say("pieces-of-several-parts", at, count=len(parts))
        return 0
    registered = known.register.pieces.get(parts[0], of)
    if of and of != registered:
        report.say("pieces-disagree", at, parts=parts, part=parts[0], of=of, registered=registered)
    return int(pieces)


def known_person(read: Read, name: str, known: Known, report: Report) -> str:
    """The mark of the person or firm typed; "" when nobody is known by it (then it is said)."""
    typed = read.text(name)
    if not typed:
        return ""
    mark = known.people.get(plain_word(typed), "")
    if not mark and not any(report.perhaps(kind, typed) for kind in PEOPLE):
        near = known.people.get(report.nearest(plain_word(typed), known.people), "")
        marks = listed(dict.fromkeys(known.people.values())) if known.people else "-"
        report.say("unknown-person", read.place(name), nearest=near, typed=typed, known=marks)
    return mark


def _agreement(read: Read, known: Known, report: Report) -> str:
    typed = read.text("agreed_on")
    if not typed:
        return ""
    number = known.agreements.get(typed.casefold(), "")
    if not number and not report.perhaps("agreements", typed):
        near = known.agreements.get(report.nearest(typed, known.agreements), "")
        known_ones = listed(known.agreements.values()) if known.agreements else "-"
        report.say("unknown-agreement", read.place("agreed_on"), nearest=near, typed=typed, known=known_ones)
    return number


def read_measurements(
    entries: list[Entry], register: Register, report: Report, where: Where
) -> tuple[Measurement, ...]:
    reads = [read for read in read_all(TABLES["measurements"], entries, report) if read.whole]
    place_all("measurements", reads, where)
    return tuple(Measurement(**read.values | one_part(read, register, report)) for read in reads)


def one_part(read: Read, register: Register, report: Report) -> dict[str, str]:
    """The part that a row speaks of, where it names one."""
    typed = read.text("part")
    return {"part": register.one(typed, read.place("part"), report)} if typed else {}


def several_parts(read: Read, register: Register, report: Report) -> dict[str, tuple[str, ...]]:
    """The parts that a row speaks of, where it names any."""
    typed = read.text("parts")
    return {"parts": register.parts(typed, read.place("parts"), report)} if typed else {}


def place_row(key: str, read: Read, where: Where) -> None:
    """Where a row stands ("parts/7") and each of its cells ("parts/7.condition")."""
    where[key] = read.at
    for name, at in read.places.items():
        where[f"{key}.{name}"] = at


def place_unread(kind: str, reads: Iterable[Read], where: Where) -> None:
    """Where each row of `kind` stands that was left out ("agreements/?1"; no number has such a letter)."""
    for number, read in enumerate(reads, 1):
        place_row(f"{kind}/{UNREAD}{number}", read, where)


def place_all(kind: str, reads: list[Read], where: Where) -> None:
    """Where each row of `kind` stands, counted from 1."""
    for number, read in enumerate(reads, 1):
        place_row(f"{kind}/{number}", read, where)
