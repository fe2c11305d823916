"""The check of a PDF that another program has saved again: of the record found in it, and of nothing else.

Such a file has lost its signature and its form, so nothing speaks for its pages; but the record signs itself,
and lists the digests of its photographs. A file with two records is two dossiers, and not told apart here.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import NamedTuple

import msgspec
from cryptography import x509

from dossier import ordinary
from dossier.container.salvage import embedded
from dossier.errors import DossierError, UnreadableError
from dossier.flows import dossier_files as files
from dossier.flows.verifying import checks, folder, photographs_beside
from dossier.model.record import OpenRecord, Sealed
from dossier.model.result import Check
from dossier.seal import chains
from dossier.seal import record as seal
from dossier.words import Catalogue

MOST_BESIDE = 1 << 20  # bytes of a certificate's file and of the others that are no record
_RECORD = b'{"payload":'  # the one form of a record (FORMAT.md section 4)
_JSON = b'{"'
_CERTIFICATE = b"-----BEGIN CERTIFICATE"
_DER = b"\x30"  # of a time-stamp, as of every structure that is one (X.690, SEQUENCE)


class SavedAnew(NamedTuple):
    """`digests`: SHA-256 in hex of everything attached. `stamp`: of the record, where there is one."""

    sealed: Sealed
    digests: frozenset[str]
    stamp: bytes | None = None
    certificates: tuple[x509.Certificate, ...] = ()
    pages: tuple[files.Drawn, ...] = ()  # what says how the pages were drawn; more than two are not read


def record_in(path: Path) -> SavedAnew | None:
    """The one record that is attached to the file; None where there is none, or more than one."""
    found = embedded(path, (_JSON, _CERTIFICATE, _DER), files.MAX_RECORD)
    contents = list(dict.fromkeys(one.content for one in found if one.content))
    records = [sealed for one in contents if one.startswith(_RECORD) and (sealed := _sealed(one))]
    if len(records) != 1:
        return None
    stamps = [one for one in contents if _is_der(one)]
    chain = [one for one in contents if one.startswith(_CERTIFICATE)]
    others = [one for one in contents if one.startswith(_JSON) and not one.startswith(_RECORD)]
    return SavedAnew(
        sealed=records[0],
        digests=frozenset(one.sha256 for one in found),
        stamp=stamps[0] if len(stamps) == 1 else None,
        certificates=tuple(_loaded(chain[0])) if len(chain) == 1 else (),
        pages=tuple(islice(filter(None, map(_drawn, others)), 2)),
    )


def _drawn(data: bytes) -> files.Drawn | None:
    try:
        return files.drawn_from(data)
    except (DossierError, ValueError):
        return None


def _is_der(data: bytes) -> bool:
    """Whether it is one structure of just this length (X.690, 8.1.3); a text may begin with that byte too."""
    first = data[1:2]
    if not data.startswith(_DER) or not first:
        return False
    more = first[0] & 0x7F if first[0] > 0x7F else 0  # bytes that the length itself takes
    length = int.from_bytes(data[2 : 2 + more]) if more else first[0]
    return len(data) == 2 + more + length


def _sealed(data: bytes) -> Sealed | None:
    try:
        return seal.from_json(data)
    except UnreadableError:
        return None


def _loaded(data: bytes) -> list[x509.Certificate]:
    try:
        return chains.load_all(data)
    except UnreadableError:
        return []


def answers(
    found: SavedAnew, beside: Path | None, record: OpenRecord | None, words: Catalogue
) -> Iterator[Check]:
    """What is said of the file beside the checks of its record; photographs may lie `beside` it."""
    yield checks.answer("saved-anew", words)
    yield checks.answer("attachments-not-named", words)
    wanted = {files.COMPACT: seal.to_compact(found.sealed)}
    if record is not None:
        wanted[files.MANIFEST] = files.manifest(record)
    missing = [name for name, content in wanted.items() if not _has(found, content)]
    missing += [] if found.pages else [files.PAGES]
    if missing:  # or it is another's: under which name a thing is attached is not looked at
        yield checks.answer("attachment-missing", words, missing)
    if record is not None:
        if len(found.pages) > 1 or any(not _is_of(one.code, record, words) for one in found.pages):
            yield checks.answer("code-differs", words, [files.PAGES])  # of two, one is of other pages
        if files.MANIFEST not in missing:
            yield checks.answer("manifest-matches", words)
        yield from _photographs(found, beside, record, words)
    yield checks.answer("pages-not-drawn", words)
    yield checks.answer("pages-signature-lost", words)


def _is_of(code: str, record: OpenRecord, words: Catalogue) -> bool:
    try:
        return checks.is_code_of(code, record, words)
    except UnreadableError:
        return False


def in_folder(
    found: SavedAnew,
    where: Path,
    record: OpenRecord | None,
    looked_at: frozenset[str],
    words: Catalogue,
) -> Iterator[Check]:
    """Check 2 of the folder: the record's own files by what they are, all others by the digests of what is
    attached. `looked_at`: names of files that other checks have looked at.
    """
    own = {files.RECORD: seal.to_json(found.sealed), files.COMPACT: seal.to_compact(found.sealed)}
    if record is not None:
        own[files.MANIFEST] = files.manifest(record)
    inside = {*own, files.CERTIFICATE, files.HOW_TO, *([files.STAMP] if found.stamp else [])}

    def is_inside(path: Path, name: str) -> bool | None:
        return folder.holds(path, own[name]) if name in own else _is_attached(found, path)

    yield from folder.look(where, inside, is_inside, looked_at, words)


def _is_attached(found: SavedAnew, path: Path) -> bool | None:
    try:
        content = ordinary.read(path, MOST_BESIDE + 1)
    except OSError:
        return None
    return len(content) <= MOST_BESIDE and _has(found, content)


def _has(found: SavedAnew, content: bytes) -> bool:
    return hashlib.sha256(content).hexdigest() in found.digests


def _photographs(
    found: SavedAnew, beside: Path | None, record: OpenRecord, words: Catalogue
) -> Iterator[Check]:
    """Check 3 by digests alone: under which name they were attached is not looked at."""
    rows = [row for row in record.payload.photographs if row.name in record.photo_details]
    sizes = {row.name: row.bytes for row in rows}
    named = photographs_beside.digests(beside / files.PHOTOGRAPHS, sizes) if beside is not None else {}
    differing = sorted(
        photographs_beside.named(row.name, found_as, words)
        for row in rows
        if (found_as := named.get(row.name)) is not None and found_as != row.sha256
    )
    left = [row for row in rows if row.sha256 not in found.digests]
    missing = sorted(row.name for row in left if named.get(row.name) is None)
    surplus = sorted(checks.surplus(named, {row.name: row.sha256 for row in rows}, words))
    for code, where in (("photograph-differs", differing), ("photograph-surplus", surplus)):
        if where:
            yield checks.answer(code, words, where)
    if rows and len(missing) == len(rows):
        said = words.say("verify.photographs_not_attached", n=len(rows))
        yield msgspec.structs.replace(checks.answer("photographs-not-here", words, n=len(rows)), text=said)
    elif missing:
        yield checks.answer("photograph-missing", words, missing)
    elif rows and not differing:
        yield checks.answer("photographs-match", words, n=len(rows))
