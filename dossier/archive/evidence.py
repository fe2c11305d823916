"""Evidence of an archive: one document over a hash tree of all its bags, renewed and never replaced.

`evidence/0001/evidence.json`, its list of leaves and its time-stamp `evidence.tsr`, then 0002 and so on, each
over the one before (the purpose of RFC 4998; the tree of RFC 9162). A bag's leaf is its tag manifest, which
lists its manifests, which list its files; one tree is of SHA-256 throughout, one of SHA-512, so that either
may break and the other still holds. Not done here: asking for and checking time-stamps, re-hashing files
(`bag_check.check_bag`), what stands in the list (`leaves`), one record's way to it (`record_path`).
Invariants: nothing written before is touched; a document that is not exactly what is written here is refused.
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any

import msgspec

from dossier import canonical, durable, ordinary
from dossier.archive import bag_form, bags, leaves
from dossier.archive.leaves import Hashes, Leaf
from dossier.durable import flush_folder
from dossier.errors import ArchiveError, NotCanonicalError
from dossier.words import Catalogue

FOLDER = "evidence"
DOCUMENT = "evidence.json"
STAMP = "evidence.tsr"
FORMAT = "1.0"
MOST_STAMP = 1 << 16
_NUMBER = re.compile(r"[0-9]{4,9}")


class Previous(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The evidence before: its document and its time-stamp."""

    document: Hashes
    stamp: Hashes


class Evidence(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """What a time-stamp of the archive is over."""

    format: str
    number: Annotated[int, msgspec.Meta(ge=1)]
    made: str  # by the archive's own clock
    leaves: Annotated[int, msgspec.Meta(ge=0)]  # how many leaves the trees have
    root: Hashes
    previous: Previous | None = None


class Kept(msgspec.Struct, frozen=True):
    """One evidence as it lies in the archive; its list of leaves is read only where it is asked for."""

    folder: Path
    document: bytes
    stamp: bytes

    @property
    def number(self) -> int:
        return _number(self.folder)


def kept(archive: Path) -> list[Kept]:
    """All evidence of an archive, in its order. Raises ArchiveError where a file of it cannot be read."""
    home = archive / FOLDER
    folders = sorted((p for p in home.iterdir() if _is_one(p)), key=_number) if home.is_dir() else []
    try:
        return [_kept(folder) for folder in folders]
    except OSError as error:
        words = Catalogue()
        raise ArchiveError(
            words.say("renewal.unreadable", file=error.filename, why=error.strerror)
        ) from error


def _kept(folder: Path) -> Kept:
    return Kept(
        folder,
        ordinary.read(folder / DOCUMENT, canonical.MAX_BYTES + 1),
        ordinary.read(folder / STAMP, MOST_STAMP + 1),
    )


def document(listed: Sequence[Leaf], before: Kept | None, made: str) -> bytes:
    """The document for these leaves, over the evidence `before`."""
    return as_bytes(
        Evidence(
            format=FORMAT,
            number=before.number + 1 if before else 1,
            made=made,
            leaves=len(listed),
            root=leaves.roots(listed),
            previous=previous(before.document, before.stamp) if before else None,
        )
    )


def as_bytes(value: msgspec.Struct) -> bytes:
    """Evidence, or what holds some, as it is written."""
    return canonical.encode(msgspec.to_builtins(value))


def read(data: bytes) -> Evidence:
    """Raises NotCanonicalError where `data` is not exactly what `document` gives."""
    try:
        value: Any = canonical.decode(data)
        found = msgspec.convert(value, Evidence)
    except msgspec.ValidationError as error:
        raise NotCanonicalError(str(error)) from error
    if found.format != FORMAT or as_bytes(found) != data:
        raise NotCanonicalError("not the one form of archive evidence")
    return found


def read_leaves(kept: Kept) -> list[Leaf]:
    """The leaves that an evidence is over. Raises NotCanonicalError where its list is not the one of it."""
    found = read(kept.document)
    try:
        listed = leaves.read(ordinary.read(kept.folder / leaves.FILE, leaves.MOST_BYTES + 1))
    except OSError as error:
        raise NotCanonicalError(str(error)) from error
    if (found.leaves, found.root) != (len(listed), leaves.roots(listed)):
        raise NotCanonicalError("not the leaves of this evidence")
    return listed


def previous(document: bytes, stamp: bytes) -> Previous:
    """What the next evidence says of the one before."""
    return Previous(_hashes(document), _hashes(stamp))


def append(archive: Path, number: int, document: bytes, listed: bytes, stamp: bytes) -> Path:
    """Lay the next evidence into the archive, whole or not at all. Raises ArchiveError."""
    final = archive / FOLDER / f"{number:04d}"
    aside = archive / bags.INCOMING / f"{FOLDER}-{number:04d}.{os.getpid()}"
    try:
        if final.exists():
            raise FileExistsError(17, Catalogue().say("renewal.there"))
        shutil.rmtree(aside, ignore_errors=True)
        aside.mkdir(parents=True)
        for name, data in ((DOCUMENT, document), (leaves.FILE, listed), (STAMP, stamp)):
            durable.write(aside / name, data)
        flush_folder(aside)
        final.parent.mkdir(exist_ok=True)
        durable.move(aside, final)
        flush_folder(final.parent)
    except OSError as error:
        words = Catalogue()
        raise ArchiveError(words.say("renewal.not_written", file=final, why=error.strerror)) from error
    finally:
        shutil.rmtree(aside, ignore_errors=True)
    return final


def _hashes(data: bytes) -> Hashes:
    return Hashes(**{a: hashlib.new(a, data).hexdigest() for a in bag_form.ALGORITHMS})


def _is_one(path: Path) -> bool:
    return bool(_NUMBER.fullmatch(path.name)) and path.is_dir() and not path.is_symlink()


def _number(path: Path) -> int:
    return int(path.name)
