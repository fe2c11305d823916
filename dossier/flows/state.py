"""The flow of a statement or receipt: which record it is about, and what it names besides.

Reads only. Not done here: signing (`seal.statements`), writing.
Invariant: a statement is only ever made about a record that checks itself.
"""

from __future__ import annotations

import hashlib
import mimetypes
from pathlib import Path

import msgspec

from dossier.errors import DossierError, UsageError
from dossier.flows.verifying.chain import sealed_in
from dossier.model.statements import RecordNamed, Scan
from dossier.seal import record as seal
from dossier.words import Catalogue

WORDS = Catalogue()


class About(msgspec.Struct, frozen=True, kw_only=True):
    """A record that a statement is about, its workshop's name, and the keys whose signature on it holds."""

    named: RecordNamed
    workshop: str
    kids: tuple[str, ...]


def named(path: Path) -> About:
    """The record in a file, dossier or folder. Raises UsageError where there is none that checks itself."""
    try:
        sealed = sealed_in(path)
    except (DossierError, OSError, ValueError):
        sealed = None
    checked = seal.check(sealed, WORDS) if sealed else None
    if checked is None or checked.record is None or not checked.kids:
        raise UsageError(WORDS.say("statements.no_record", file=path))
    payload = checked.record.payload
    return About(
        named=RecordNamed(record=payload.record, sha256=checked.record.digest),
        workshop=payload.workshop.name,
        kids=checked.kids,
    )


def scan_of(path: Path) -> Scan:
    """A picture of a paper by its digest. Raises UsageError where it cannot be read."""
    try:
        with path.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
        size = path.stat().st_size
    except OSError as error:
        raise UsageError(f"{path}: {error.strerror}") from None
    kind = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    return Scan(name=path.name, bytes=size, sha256=digest, media_type=kind)


def folder_of(path: Path) -> Path:
    return path if path.is_dir() else path.parent
