"""A new job of an object that has an earlier record: its object, marks, part numbers and species, taken over.

So is its language: what is taken over is written in it.

The rule for `came as`: what is there now in the earlier record is what comes in now. Original in any state
comes as original; new comes as an earlier replacement (what replaced a later addition stays a later
addition); missing and taken away come as missing. Where pieces of one row differ, the row is split under
numbers never used before: as many of each as there surely are, and the rest, which may be one or the other,
as not known. Where the rest cannot be original, and so is no "not known", the row stays whole as not known.
A measure of all the pieces together is of none of the split rows, and is not carried. A heading whose parts
are of another material now says none, so that it stays one.

The rule for `known from`, of the object, its marks, species and parts alike: what was seen then, or stood
on a paper, is known from a paper now, the record; so is what the record tells of its own work. What an owner
said then the present one has not said, and what was an opinion is nobody's here: neither becomes better known
by being taken over, so both are not known. A workshop's own opinion stays one where the record is its own.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from dossier.intake.draft import Draft, Values
from dossier.intake.earlier import disclosed
from dossier.intake.schema import LISTS, SECTIONS, TABLES
from dossier.model.counted import PartNow
from dossier.model.plain import from_plain, to_plain
from dossier.model.record import Payload
from dossier.model.rows import Mark, Object, Part
from dossier.model.words import CameAs, KnownFrom, Now
from dossier.trade.written import without_each
from dossier.words import LANGUAGES, Catalogue
from dossier.words.headings import headings

_CAME_AS: dict[Now, CameAs] = {
    "original, left as found": "original",
    "original, no work recorded": "original",
    "original, treated": "original",
    "original, new surface": "original",
    "original, part renewed": "original",
    "earlier replacement": "earlier replacement",
    "later addition": "later addition",
    "from another object": "from another object",
    "new, like for like": "earlier replacement",
    "new, with a difference": "earlier replacement",
    "new, likeness not known": "earlier replacement",
    "missing": "missing",
    "taken away": "missing",
    "not known": "not known",
}


_KNOWN_FROM: dict[KnownFrom, KnownFrom] = {
    "seen": "paper",
    "paper": "paper",
    "owner says": "not known",
    "our opinion": "not known",
    "not known": "not known",
}


def earlier_draft(
    words: Catalogue, number: str, payload: Payload, apart: list[str], path: str, *, workshop: str = ""
) -> Draft:
    """The job that follows `payload`; `apart` are its disclosures, `path` leads to the record.

    `workshop`: the name of the one that does the job.
    """
    own = _is_same(workshop, payload.workshop.name)
    private = [from_plain(Mark, value) for value in disclosed(apart, payload.apart.private_marks)]
    return Draft(
        top={
            "number": number,
            "for_whom": payload.for_whom,
            "language": payload.language if payload.language in LANGUAGES else "",
            "earlier_records": [path],
        },
        sections={name: {} for name in SECTIONS} | {"object": _object(payload.object, own)},
        lists={name: [] for name in LISTS}
        | {
            "know_it_by": [_without_photograph(feature) for feature in payload.know_it_by],
            "inscriptions": [_mark(mark, own) for mark in (*payload.marks, *private)],
            "protected": [_taken_over(row, own) for row in _protected(payload)],
        },
        tables={name: [] for name in TABLES}
        | {"parts": parts_carried(payload.parts, payload.parts_now, payload.language, own=own)},
        remarks=list(words.table("template.job")["top"]) + list(words.table("template.earlier")["top"]),
    )


def _is_same(workshop: str, other: str) -> bool:
    """Whether two names of workshops are one, in whichever capitals and spaces."""
    return bool(workshop.strip()) and workshop.casefold().split() == other.casefold().split()


def _known(known_from: KnownFrom, own: bool) -> KnownFrom:
    """How something is known here that the record knew so; `own`: the record is this workshop's own."""
    return known_from if own and known_from == "our opinion" else _KNOWN_FROM[known_from]


def _taken_over(row: Values, own: bool) -> Values:
    """A row that says how it is known, as it is known here."""
    return row | {"known_from": _known(row.get("known_from", "not known"), own)}


def _object(value: Object, own: bool) -> Values:
    """The object's members; a claim as "maker.what" and "maker.known_from"."""
    flat: Values = {}
    for name, member in to_plain(value).items():
        if isinstance(member, dict):
            claim = _taken_over(member, own) if member.get("what") else {}
            flat |= {f"{name}.{inner}": text for inner, text in claim.items()}
        else:
            flat[name] = member
    return flat


def _mark(mark: Mark, own: bool) -> Values:
    return _without_photograph(mark) | {"known_from": _known(mark.known_from, own)}


def _without_photograph(row: object) -> Values:
    """A row without an earlier photograph, which is not in the new job, and without places on it."""
    plain = to_plain(row)  # type: ignore[arg-type]
    return {name: value for name, value in plain.items() if name not in ("photograph", "places")}


def parts_carried(
    parts: tuple[Part, ...], now: tuple[PartNow, ...], language: str = "en", *, own: bool = False
) -> list[Values]:
    """The register as it comes in now, by the rules at the head of this module."""
    rows = [_row(part, group, language, own) for part, group in _carried(parts, now)]
    were = headings(parts)
    # One in another that says no material any more may be what the other was of.
    while others := were - headings([_as_part(row) for row in rows]):
        if not any(row["number"] in others and row.get("material") for row in rows):
            break
        rows = [row | {"material": ""} if row["number"] in others else row for row in rows]
    return rows


def _as_part(row: Values) -> Part:
    """A row as far as headings are told by it."""
    words = {name: row.get(name, "") for name in ("number", "part", "part_of", "material")}
    return Part(pieces=int(row.get("pieces", 1)), **words)


def _carried(parts: tuple[Part, ...], now: tuple[PartNow, ...]) -> Iterator[tuple[Part, Group]]:
    used = {part.number.casefold() for part in parts}
    for part in parts:
        states = [row for row in now if row.part == part.number]
        yield from ((part, group) for group in _groups(part, states, used))


def _protected(payload: Payload) -> list[Values]:
    """The species, of the parts that have their old material still; of new material its own papers count."""
    still: defaultdict[str, list[str]] = defaultdict(list)
    for part, group in _carried(payload.parts, payload.parts_now):
        if not group.is_new and group.came_as != "missing":
            still[part.number].append(group.number)
    rows = []
    for row in payload.protected:
        parts = [number for old in row.parts for number in still[old]]
        if parts or not row.parts:
            rows.append(to_plain(row) | {"parts": "; ".join(parts)})
    return rows


class Group(NamedTuple):
    """Pieces that come in alike. `is_new`: their material is the new one; None where that is not known."""

    number: str
    pieces: int
    came_as: CameAs
    is_new: bool | None


Key = tuple[CameAs, bool]
_OPEN: tuple[CameAs, ...] = ("original", "not known")


def _groups(part: Part, states: list[PartNow], used: set[str]) -> list[Group]:
    """The row, or its pieces by what they come as now, the largest group under the old number."""
    counts = _bounds(part, states)
    if not counts:  # a part that only holds others
        return [Group(part.number, part.pieces, part.came_as, False)]
    if len(counts) == 1:
        came_as, is_new = next(iter(counts))
        return [Group(part.number, part.pieces, came_as, is_new)]
    sure: list[tuple[int, CameAs, bool | None]] = [(low, *key) for key, (low, _) in counts.items() if low]
    rest = part.pieces - sum(low for low, _, _ in sure)
    if rest > 0:
        sure.append((rest, "not known", _same(is_new for _, is_new in counts)))
    if rest < 0 or not _may_be_original(counts, rest):
        return [Group(part.number, part.pieces, "not known", _same(is_new for _, is_new in counts))]
    sure.sort(key=lambda one: (-one[0], one[1] != "original"))
    numbers = [part.number, *(_unused(part.number, used) for _ in sure[1:])]
    return [Group(number, *one) for number, one in zip(numbers, sure, strict=True)]


def _bounds(part: Part, states: list[PartNow]) -> dict[Key, tuple[int, int]]:
    """Fewest and most pieces of each kind; each no wider than the others leave it."""
    counts: dict[Key, tuple[int, int]] = {}
    for state in states:
        key = _came_as(part, state.now), state.now.startswith("new,")
        low, high = counts.get(key, (0, 0))
        counts[key] = low + state.pieces_low, min(part.pieces, high + state.pieces_high)
    lows, highs = sum(low for low, _ in counts.values()), sum(high for _, high in counts.values())
    return {
        key: (max(low, part.pieces - (highs - high)), min(high, part.pieces - (lows - low)))
        for key, (low, high) in counts.items()
    }


def _may_be_original(counts: dict[Key, tuple[int, int]], rest: int) -> bool:
    """Whether all of the rest can be what may be original, beside what surely is."""
    mine = [span for (came_as, _), span in counts.items() if came_as in _OPEN]
    return not rest or sum(low for low, _ in mine) + rest <= sum(high for _, high in mine)


def _same(some: Iterable[bool]) -> bool | None:
    found = set(some)
    return found.pop() if len(found) == 1 else None


def _came_as(part: Part, now: Now) -> CameAs:
    if now.startswith("new,") and part.came_as == "later addition":
        return "later addition"
    return _CAME_AS[now]


def _unused(number: str, used: set[str]) -> str:
    """A number that no part has had: 4 gives 4.2, 4.3 ..."""
    count = 2
    while f"{number}.{count}".casefold() in used:
        count += 1
    used.add(f"{number}.{count}".casefold())
    return f"{number}.{count}"


def _row(part: Part, group: Group, language: str, own: bool) -> Values:
    row = {
        "number": group.number,
        "part": part.part,
        "part_of": part.part_of,
        "pieces": str(group.pieces),
        "seen": part.seen,
        "came_as": group.came_as,
        "known_from": _known_from(part, group, own),
        "material": _material(part, group.is_new),
        "measure": _measure(part, group.pieces, language),
    }
    return {name: value for name, value in row.items() if value}


def _known_from(part: Part, group: Group, own: bool) -> KnownFrom:
    """By the rule at the head; what the part has become by the record's own work is known from the record."""
    if group.came_as == "not known":
        return "not known"
    as_it_came = group.came_as == part.came_as and not group.is_new
    return _known(part.known_from, own) if as_it_came else "paper"


def _material(part: Part, is_new: bool | None) -> str:
    new = part.new_material or part.material
    if is_new is None:
        return part.material if new == part.material else ""
    return new if is_new else part.material


def _measure(part: Part, pieces: int, language: str) -> str:
    each = without_each(part.measure, language)[1]
    return part.measure if each or pieces == part.pieces else ""
