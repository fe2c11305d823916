"""The archive flow for what comes later: a statement or receipt about a record that was put away already.

Each becomes a bag of its own beside the bag it is about, whose name its own begins with: nothing in place is
touched, every BagIt tool checks it, and evidence of the archive covers it as it does any bag. Not done here:
signing (`stating`, `seal.statements`), what a statement does to a record (`verifying.statements`).
Invariants: what does not check itself, or is about no record of the archive, is not put away; the same
statement is put away once.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import os
import stat
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

import msgspec

from dossier import ordinary
from dossier.archive import bag_check, bags
from dossier.archive.catalogue import Entry
from dossier.errors import DossierError, UnreadableError, UsageError
from dossier.flows import stating
from dossier.flows.dossier_files import RECORD
from dossier.flows.shell import quoted
from dossier.flows.verifying import lying_beside
from dossier.model.statements import Scan, Statement
from dossier.seal import keycard, statements
from dossier.seal.codes import printable
from dossier.seal.statements import Read
from dossier.words import Catalogue

WORDS = Catalogue("en")
FOLDER = lying_beside.FOLDER  # below data/, as beside a dossier
README = "READ-ME.txt"
_CARD = "key-card.json"
_MOST_FILES = 100  # in a bag of what was said later: one statement, a key card, a picture of a paper


class Added(msgspec.Struct, frozen=True, kw_only=True):
    """What was done with one statement: its bag, and what to tell the person."""

    bag: str
    message: str
    new: bool
    notes: tuple[str, ...] = ()


def is_one(path: Path) -> bool:
    """Whether a file begins as a statement or receipt does."""
    return path.is_file() and statements.looks_like(lying_beside.small(path))


def put_later(path: Path, archive: Path, *, now: dt.datetime) -> Added:
    """Put a statement or receipt into a bag beside its record's. Raises UsageError, ArchiveError."""
    data, read = _in_order(path)
    bag = _bag_about(read, archive, path)
    digest = hashlib.sha256(data).hexdigest()
    # More of the digest where the bag of less of it is damaged.
    owns = [f"{bags.LATER}{_stem(read)}-{digest[:n]}" for n in range(8, len(digest) + 1, 8)]
    there = [one for own in owns for one in bags.of_record(archive, read.value.about.sha256, own)]
    if whole := next((one.name for one in there if not bag_check.check_bag(one).problems), ""):
        return Added(bag=whole, new=False, message=_said("already", read, whole))
    names = (bag.name + own for own in owns if not (bag.parent / (bag.name + own)).exists())
    name = next(names, bag.name + owns[-1])  # where it is taken, `make_bag` says so
    sources, notes = [bags.Source(f"{FOLDER}/{_stem(read)}.json", data)], _notes(read, bag)
    sources += _card(path, read)
    if isinstance(read.value, Statement) and (scan := read.value.scan):
        picture = _scan(path, scan)
        sources += picture
        notes += [] if picture else [WORDS.say("archive.later.no_scan", file=scan.name)]
    readme = {README: WORDS.say("archive.later.readme", bag=bag.name)}
    bags.make_bag(archive, name, sources, _info(read, bag, now), tags=readme)
    return Added(bag=name, new=True, message=_said("done", read, name), notes=tuple(notes))


def about_bag(bag: Path) -> str:
    """The name of the bag that something said later is about; "" of any other bag."""
    about, _, _ = bag.name.rpartition(bags.LATER)
    return about if _is_folder(bag / "data") and _is_folder(bag / "data" / FOLDER) else ""


def _is_folder(path: Path) -> bool:
    """No link to one, and one that can be seen."""
    try:
        return stat.S_ISDIR(path.lstat().st_mode)
    except OSError:
        return False


def entry_of(bag: Path) -> Entry | None:
    """A bag of something said later, as the catalogue lists it; None for any other bag."""
    about = about_bag(bag)
    if not about:
        return None
    read = next(_statements(bag), None)
    if read is None:
        said = WORDS.say("archive.later.unreadable", bag=bag.name)
        return Entry(bag=bag.name, about=about, said=said, text=bag.name)
    line = _line(read)
    return Entry(
        bag=bag.name,
        about=about,
        said=line,
        record=read.value.about.record,
        digest=read.value.about.sha256,
        bytes=bags.size(bag),
        text=f"{about}\n{line}",
    )


def _in_order(path: Path) -> tuple[bytes, Read]:
    try:
        data = ordinary.read(path, lying_beside.MAX_BYTES + 1)
        read = statements.read(data)
    except (OSError, UnreadableError):
        read = None
    if read is None or read.faults:
        raise UsageError(
            WORDS.say("archive.later.not_in_order", file=path),
            hint=WORDS.say("archive.later.not_in_order_hint", file=quoted(path)),
        )
    return data, read


def _bag_about(read: Read, archive: Path, path: Path) -> Path:
    """The bag of the record that a statement is about."""
    about = read.value.about
    for folder in bags.of_record(archive, about.sha256):
        try:
            if stating.named(folder / "data" / "dossier" / RECORD).named == about:
                return folder
        except DossierError:
            continue
    raise UsageError(
        WORDS.say("archive.later.no_record", file=path, record=about.record),
        hint=WORDS.say("archive.later.no_record_hint"),
    )


def _notes(read: Read, bag: Path) -> list[str]:
    """That another key than the record's has signed, where a statement by such a key needs a key card."""
    known = stating.named(bag / "data" / "dossier" / RECORD).kids
    other = isinstance(read.value, Statement) and not set(read.kids) & set(known)
    return [WORDS.say("archive.later.other_key")] if other else []


def _card(path: Path, read: Read) -> list[bags.Source]:
    """The key card beside the statement that names its signer, without which it may not count."""
    cards = [one for one in lying_beside.beside(path).cards if any(map(one.of, read.kids))]
    best = max(cards, key=lambda one: one.order, default=None)
    return [bags.Source(f"{FOLDER}/{_CARD}", keycard.write(best))] if best else []


def _scan(path: Path, scan: Scan) -> list[bags.Source]:
    """The picture of a paper, where the one that the statement names lies beside it."""
    plain = Path(scan.name).name == scan.name and not scan.name.startswith(".")
    picture = path.parent / scan.name
    if not plain or scan.name == _CARD or picture.is_symlink() or not picture.is_file():
        return []
    same = stating.scan_of(picture).sha256 == scan.sha256
    return [bags.Source(f"{FOLDER}/{scan.name}", picture)] if same else []


def _statements(bag: Path) -> Iterator[Read]:
    home = bag / "data" / FOLDER
    try:
        with os.scandir(home) as entries:
            names = sorted(entry.name for entry in islice(entries, _MOST_FILES))
    except OSError:
        return
    for path in (home / name for name in names):
        try:
            read = statements.read(lying_beside.small(path)) if is_one(path) else None
        except (OSError, UnreadableError):
            continue
        if read is not None:
            yield read


def _kind(read: Read) -> str:
    return read.value.kind if isinstance(read.value, Statement) else "receipt"


def _stem(read: Read) -> str:
    return f"{_kind(read).replace(' ', '-')}-{read.said_on.isoformat()}"


def _line(read: Read) -> str:
    kind = WORDS.say(f"statements.kind.{_kind(read)}")
    reason = " ".join(read.value.reason.split()) if isinstance(read.value, Statement) else ""
    reason = printable(reason, statements.LONGEST_REASON)
    return WORDS.say(
        f"archive.later.{'line' if reason else 'line_bare'}",
        date=read.said_on.isoformat(),
        kind=kind,
        reason=reason,
    )


def _said(key: str, read: Read, name: str) -> str:
    return WORDS.say(f"archive.later.{key}", kind=WORDS.say(f"statements.kind.{_kind(read)}"), bag=name)


def _info(read: Read, bag: Path, now: dt.datetime) -> dict[str, str]:
    value = read.value
    return {
        "Source-Organization": value.workshop.name if isinstance(value, Statement) else value.owner.name,
        "External-Description": WORDS.say("archive.later.description", line=_line(read)),
        "External-Identifier": value.about.record,
        "Internal-Sender-Description": WORDS.say("archive.info.sender", digest=value.about.sha256),
        "Bag-Group-Identifier": bag.name,
        "Bagging-Date": now.date().isoformat(),
    }
