"""The flow of a statement or receipt: which record it is about, and what it names besides.

Reads only. Not done here: signing (`seal.statements`), writing.
Invariant: a statement is only ever made about a record that checks itself.
"""

from __future__ import annotations

import mimetypes
from collections.abc import Iterator
from pathlib import Path

import msgspec

from dossier import ordinary
from dossier.errors import DossierError, UsageError
from dossier.flows import bagged, dossier_near
from dossier.flows.verifying.chain import sealed_in
from dossier.model.record import OpenRecord, Payload
from dossier.model.statements import RecordNamed, Scan
from dossier.seal import record as seal
from dossier.words import Catalogue

WORDS = Catalogue()
_OWN = {"parts": "number", "work": "number", "photographs": "name"}  # what a row of these is named by


class About(msgspec.Struct, frozen=True, kw_only=True):
    """A record that a statement is about, its workshop's name, and the keys whose signature on it holds."""

    named: RecordNamed
    workshop: str
    kids: tuple[str, ...]
    rows: frozenset[str]  # of the record, as a correction names them
    record: OpenRecord


def named(path: Path) -> About:
    """The record in a file, dossier or folder. Raises UsageError where there is none that checks itself."""
    try:
        sealed = sealed_in(bagged.dossier_in(path))
    except (DossierError, OSError, ValueError):
        sealed = None
    checked = seal.check(sealed, WORDS) if sealed else None
    if checked is None or checked.record is None or not checked.kids:
        hint = dossier_near.hint(path, WORDS.say("statements.no_record_hint"))
        raise UsageError(WORDS.say("statements.no_record", file=path), hint=hint)
    payload = checked.record.payload
    return About(
        named=RecordNamed(record=payload.record, sha256=checked.record.digest),
        workshop=payload.workshop.name,
        kids=checked.kids,
        rows=frozenset(_rows(payload)),
        record=checked.record,
    )


def private_in(text: str, about: About) -> list[str]:
    """The words of a statement that its record keeps private."""
    from dossier.account.look_private import private_in  # noqa: PLC0415 - start-up: only where something is said

    return private_in(text, about.record)


def _rows(payload: Payload) -> Iterator[str]:
    """Every row as FORMAT.md section 3 names it: by its number or name, one without by its place from 1."""
    for field in payload.__struct_fields__:
        some = getattr(payload, field)
        for place, row in enumerate(some if isinstance(some, tuple) else (), 1):
            own = getattr(row, _OWN[field]) if field in _OWN else place
            yield f"{field}/{own}"


def scan_of(path: Path) -> Scan:
    """A picture of a paper by its digest. Raises UsageError where it cannot be read."""
    try:
        digest, size = ordinary.sha256(path), path.stat().st_size
    except OSError as error:
        raise UsageError(f"{path}: {error.strerror}") from None
    kind = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    return Scan(name=path.name, bytes=size, sha256=digest, media_type=kind)


def place(record: Path, name: str, target: Path | None) -> Path:
    """Where a statement `name` goes: `target`, else the record's folder. Raises OutputError in an archive."""
    path = target or (record if record.is_dir() else record.parent) / name
    bagged.refuse(path)
    return path
