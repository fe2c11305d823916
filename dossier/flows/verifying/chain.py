"""Check 10: the earlier records a record names, among the files at hand (FORMAT.md section 8).

At hand are the files named together, and what lies in a folder `earlier` beside a dossier. A record is
known by its digest; each one found is asked for the records it names in turn. Not done here: whose keys
they are, which each file's own result says. Invariants: every file is bounded, and so are their number and
the length of a chain; nothing is written or followed elsewhere. What was said of them later is asked of
`verifying.earlier_said`.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from functools import partial
from pathlib import Path
from typing import NamedTuple

from dossier import ordinary
from dossier.container.read import bytes_of, read_dossier
from dossier.errors import DossierError, UnreadableError
from dossier.flows import bagged
from dossier.flows import dossier_files as files
from dossier.flows.verifying import checks, earlier_said, saved_anew, statements
from dossier.model.container import AttachmentFound
from dossier.model.record import OpenRecord, Payload, Sealed
from dossier.model.result import Check
from dossier.model.rows import EarlierRecord
from dossier.model.statements import RecordNamed
from dossier.seal import record as seal
from dossier.words import Catalogue

FOLDER = "earlier"
MOST_FILES = 200  # at hand
MOST_NAMED = 100  # of what was not looked at
_NO_RECORD = (b"\xff\xd8", b"\x89P", b"II", b"MM", b"ht")  # pictures and links hold no record


class AtHand(NamedTuple):
    """A record at hand, whether its own signatures and disclosures match, and who may speak about it."""

    record: OpenRecord
    in_order: bool
    subject: statements.Subject
    paths: tuple[Path, ...]  # each copy of it

    @property
    def payload(self) -> Payload:
        return self.record.payload


Records = Mapping[str, AtHand]  # by digest


def at_hand(paths: Iterable[Path], words: Catalogue) -> dict[str, AtHand]:
    """The records in these files and folders; what holds none is passed over (its own result says why)."""
    found: dict[str, AtHand] = {}
    for path in map(bagged.dossier_in, list(paths)[:MOST_FILES]):
        try:
            sealed = sealed_in(path)
        except (DossierError, OSError, ValueError):
            continue
        if sealed is not None:
            checked = seal.check(sealed, words)
            if checked.record is not None:
                wrong = any(answer.verdict == "does not match" for answer in checked.checks)
                held = not wrong and bool(checked.kids)
                subject = statements.subject_of(checked)
                one = AtHand(checked.record, held, subject, (path,))
                found[checked.record.digest] = _both(found.get(checked.record.digest), one)
    return found


def together(one: Records, other: Records) -> dict[str, AtHand]:
    return {**one, **{digest: _both(one.get(digest), found) for digest, found in other.items()}}


def _both(one: AtHand | None, other: AtHand) -> AtHand:
    """Of two copies of a record the one that holds, and where both lie: what was said later may be there."""
    if one is None:
        return other
    held = other if other.in_order and not one.in_order else one
    return held._replace(paths=(*one.paths, *other.paths))


def of_code(named: RecordNamed, records: Records) -> OpenRecord | None:
    """The record that a code names, another making of it, or the only one that was given with the code."""
    held = [one.record for one in records.values() if one.in_order]
    same = [one for one in held if one.payload.record == named.record]
    exact = [one for one in same if one.digest == named.sha256]
    found = exact or same or held
    return found[0] if exact or same or len(held) == 1 else None


def beside(folder: Path) -> list[Path]:
    """What lies in the folder `earlier` of a dossier folder; links are not followed, a shut one has none."""
    return [path for path in (_inside(folder) or [])[:MOST_FILES] if not path.is_symlink()]


def left_out(folder: Path) -> list[str]:
    """What there was not looked at, by name: a folder that is shut, links, and what is beyond the bound."""
    inside = _inside(folder)
    if inside is None:
        return [f"{FOLDER}/"]
    left = [p for count, p in enumerate(inside) if count >= MOST_FILES or p.is_symlink()]
    names = [f"{FOLDER}/{p.name}{'/' if os.path.isdir(p) else ''}" for p in left[:MOST_NAMED]]  # noqa: PTH112 - False where not allowed
    return [*names, *([f"{FOLDER}/"] if len(left) > MOST_NAMED else [])]


def _inside(folder: Path) -> list[Path] | None:
    """What lies in the folder `earlier`, by name; None where it is there and is not looked into."""
    inside = folder / FOLDER
    if inside.is_symlink():
        return None
    if not inside.is_dir():
        return []
    try:
        found = sorted(inside.iterdir())
        if found:
            found[0].lstat()  # it may be that it can be listed and not entered
    except OSError:
        return None
    return found


def chain(
    record: OpenRecord | None, records: Records, words: Catalogue, said: earlier_said.Said | None = None
) -> list[Check]:
    """The answers of check 10; `said`: the statements at hand, among which those about them are."""
    payload = record.payload if record else None
    named = list(_walk(payload, records)) if payload else []
    if not named:
        return [checks.answer("no-earlier-records", words)]
    numbers = {one.payload.record for one in records.values()}
    here = [row for row in named if row.sha256 in records]
    gone = [row for row in named if row.sha256 not in records]
    differ = [row for row in gone if row.record in numbers and payload and row.record != payload.record]
    places = {
        "earlier-record-differs": differ,
        "earlier-record-not-in-order": [row for row in here if not _holds(row, records)],
        "earlier-records-not-here": [row for row in gone if row not in differ],
    }
    called = partial(_called, words)
    answers = [checks.answer(code, words, map(called, some)) for code, some in places.items() if some]
    answers = answers or [checks.answer("earlier-records-match", words, map(called, here), n=len(here))]
    if record is None or said is None:
        return answers
    at = [(called(row), records[row.sha256]) for row in here if _holds(row, records)]
    held = [
        earlier_said.Earlier(
            name, one.subject, one.paths, frozenset(row.sha256 for row in _walk(one.payload, records))
        )
        for name, one in at
    ]
    return [*answers, *earlier_said.look(held, record.digest, said, words)]


def _walk(payload: Payload, records: Records) -> Iterator[EarlierRecord]:
    """Every record named, and those that the ones at hand name, each once."""
    met: set[str] = set()
    ahead = list(reversed(payload.earlier_records))
    while ahead:
        row = ahead.pop()
        if row.sha256 in met:
            continue
        met.add(row.sha256)
        yield row
        if row.sha256 in records:
            ahead += reversed(records[row.sha256].payload.earlier_records)


def _holds(row: EarlierRecord, records: Records) -> bool:
    one = records[row.sha256]
    return one.in_order and one.payload.record == row.record


def _called(words: Catalogue, row: EarlierRecord) -> str:
    named = ", ".join(text for text in (row.workshop, words.day(row.date)) if text)
    return f"{row.record} ({named})" if named else row.record


def sealed_in(path: Path, *, anew: bool = False) -> Sealed | None:
    """The record in a file: on its own, in a dossier's PDF, or in a folder; with `anew` in a PDF too that was
    saved again, which takes longer, and whose pages nobody speaks for.
    """
    if path.is_dir():
        own = path / files.RECORD
        return sealed_in(own if own.is_file() else path / files.DOSSIER, anew=anew)
    if not path.is_file():
        return None
    start = ordinary.read(path, 2)
    if start.startswith(_NO_RECORD):
        return None
    if start[:1] in (b"{", b"e"):
        return _from(bounded(path, files.MAX_RECORD))
    try:
        found = read_dossier(path).attachment(files.RECORD)
    except UnreadableError as error:
        if anew and error.code == "not-a-dossier" and (found_in := saved_anew.record_in(path)):
            return found_in.sealed
        raise
    return _attached(path, found)


def _attached(path: Path, found: AttachmentFound | None) -> Sealed | None:
    if found is None or found.length > files.MAX_RECORD:
        return None
    return _from(bytes_of(path, found))


def bounded(path: Path, most: int) -> bytes:
    """All bytes of a file, refused where there are more than `most`. Raises OSError, UnreadableError."""
    data = ordinary.read(path, most + 1)
    if len(data) > most:
        raise UnreadableError("", code="too-large")
    return data


def _from(data: bytes) -> Sealed:
    return seal.from_json(data) if data[:1] == b"{" else seal.from_compact(data)
