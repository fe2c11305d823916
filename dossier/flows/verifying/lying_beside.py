"""What lies beside a file under check: signed statements, receipts and key cards, and the rest by name.

At hand are the files named together, what lies in the same folder as the file under check or in a folder
`statements` there, and what was put away later beside its bag. Not done here: what they say
(`verifying.statements`). Invariants: every file and their number is bounded, links in a folder are not
followed; what may be a statement and was not looked at is named.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Sequence
from itertools import islice
from pathlib import Path
from typing import NamedTuple

import msgspec
from cryptography import x509

from dossier import ordinary
from dossier.errors import UnreadableError
from dossier.flows import dossier_files as files
from dossier.model.statements import SignedForm
from dossier.seal import chains, keycard, statements
from dossier.seal import record as seal
from dossier.seal.keycard import CardFile
from dossier.seal.statements import Read

FOLDER = "statements"
MOST_NAMES = 20_000  # in one folder; of each the first bytes are looked at
MOST_BAGS = 200_000  # beside a dossier's own in an archive
MOST_LATER = 100  # bags beside, of what was said later about one record
MOST_IN_BAG = 100  # names in one of these
MOST_READ = 1_000  # statements, receipts and key cards
MOST_BYTES = 8 << 20  # of these
MOST_FOLDERS = 4  # of the name below: capitals could make a thousand of it
MAX_BYTES = 1 << 20  # of one of them
# base64url of '{' and a quotation mark begins with "ey"; a record's payload begins with its `_sd_alg`.
_CARD, _SIGNED = b'{"card":{', b'{"payload":"ey'
# The same as another program may have saved it again; then it cannot be read as what it was, and is named.
_BEGINS = re.compile(rb'\s*\{\s*"(?:card"\s*:\s*\{|payload"\s*:\s*"ey(?!Jfc2RfYWxn))')
_START = 256  # bytes to tell it by
# The members in another order, or with escapes; not those of a record, which is no statement.
_RECORD = re.compile(rb'\{\s*"payload"\s*:\s*"eyJfc2RfYWxn')
_SIGNATURES = re.compile(rb'"signatures"\s*:')
_SIGNED_OTHERWISE = re.compile(rb'"(?:card"\s*:\s*\{|payload"\s*:\s*"ey(?!Jfc2RfYWxn))')
_ESCAPE = re.compile(rb"\\u00([2-7][0-9A-Fa-f])")
_LONGEST_OTHERWISE = 4 << 20  # bytes; four for each in UTF-32
_MOST_JSON = 16 << 20  # of all that is looked through for these


class Own(NamedTuple):
    """A file that is a statement, receipt or key card, which record's ("": a card's), and what it holds."""

    path: Path
    about: str
    form: SignedForm


class AtHand(msgspec.Struct, frozen=True, kw_only=True):
    """What was found: statements and receipts, key cards, all files, and names of what was not looked at."""

    read: tuple[Read, ...] = ()
    cards: tuple[CardFile, ...] = ()
    files: tuple[Path, ...] = ()
    no_files: tuple[Path, ...] = ()  # links, folders and whatever else lies among them
    about: frozenset[Own] = frozenset()
    unread: tuple[str, ...] = ()

    def __or__(self, other: AtHand) -> AtHand:
        read = {one.form: one for one in (*self.read, *other.read)}
        cards = {card.form: card for card in (*self.cards, *other.cards)}
        return AtHand(
            read=tuple(read.values()),
            cards=tuple(cards.values()),
            files=(*self.files, *other.files),
            no_files=(*self.no_files, *other.no_files),
            about=self.about | other.about,
            unread=tuple(dict.fromkeys((*self.unread, *other.unread))),
        )


NOTHING = AtHand()


class _Listed(NamedTuple):
    """The ordinary files of a folder, what else there may be a statement, and all that is no such file."""

    files: list[Path]
    unread: list[str]
    no_files: Sequence[Path] = ()


class _Found(msgspec.Struct):
    """What has been gathered so far, and how many bytes may still be read."""

    read: dict[SignedForm, Read] = msgspec.field(default_factory=dict)
    cards: dict[SignedForm, CardFile] = msgspec.field(default_factory=dict)
    about: set[Own] = msgspec.field(default_factory=set)
    left: int = msgspec.field(default_factory=lambda: MOST_BYTES)
    json_left: int = msgspec.field(default_factory=lambda: _MOST_JSON)

    def takes(self, data: bytes) -> bool:
        self.left -= len(data)
        return self.left >= 0 and len(self.about) < MOST_READ


def at_hand(paths: Iterable[Path]) -> AtHand:
    """The statements and key cards among the files that the reader named; what is none is passed over."""
    named = [path for path in paths if path.is_file()]
    unread = [str(path) for path in named[MOST_NAMES:]]
    return _gathered(_Listed(named[:MOST_NAMES], unread), Path())


def beside(path: Path) -> AtHand:
    """What lies in the folder of a file (or in the folder itself), and in its folder `statements`."""
    folder = path if path.is_dir() else path.parent
    listed = _listed(folder, MOST_NAMES)
    # What is under check, and what other checks name, is not asked for by itself once more.
    known = {files.DOSSIER, *files.BESIDE} if folder == path else {path.name}
    listed = listed._replace(unread=[name for name in listed.unread if name not in known])
    found = _gathered(listed, folder) | _put_away_later(folder) | _card_above(folder)
    some = sorted((one for one in _folders(folder) if is_for_them(one)), reverse=True)  # small letters first
    for inside in some[:MOST_FOLDERS]:
        found |= _below(inside, folder)
    return found | AtHand(unread=tuple(f"{one.name}/" for one in some[MOST_FOLDERS:]))


def is_for_them(folder: Path) -> bool:
    """Whether a folder beside a dossier is by its name, in whichever capitals, the one for statements."""
    return folder.name.lower() == FOLDER


def _below(inside: Path, folder: Path) -> AtHand:
    """What lies in a folder `statements`, in whichever capitals."""
    if inside.is_symlink():
        return AtHand(unread=(f"{inside.name}/",))
    listed = _listed(inside, MOST_NAMES)
    below = [f"{one.name}/" for one in _folders(inside)]
    unread = [f"{inside.name}/{n}" for n in (*listed.unread, *below)]
    return _gathered(listed._replace(unread=unread), folder)


def _card_above(folder: Path) -> AtHand:
    """The key card by its usual name in the folder above, where a workshop and a buyer of several keep it.

    It is a help to whoever has not confirmed the key: one that cannot be read there is passed over.
    """
    card = folder.resolve().parent / files.KEY_CARD
    if card.is_symlink() or not card.is_file():
        return NOTHING
    return AtHand(cards=_gathered(_Listed([card], []), card.parent).cards)


def _put_away_later(folder: Path) -> AtHand:
    """Of a dossier in a bag of an archive: what the bags beside that are about its record hold.

    The end of its own name, which is its record's, stands in theirs before what they are.
    """
    bag = folder.resolve().parents[1] if len(folder.resolve().parents) > 1 else folder
    if folder.resolve() != bag / "data" / "dossier" or not (bag / "bagit.txt").is_file():
        return NOTHING
    try:
        with os.scandir(bag.parent) as entries:
            some = list(islice(entries, MOST_BAGS + 1))
    except OSError:
        return AtHand(unread=("../../../",))
    later = sorted(Path(one.path) for one in some if f"--{bag.name.rpartition('--')[2]}--" in one.name)
    found = _in_bags(later, bag.parent)
    return found | AtHand(unread=("../../../",)) if len(some) > MOST_BAGS else found


def _in_bags(bags: Sequence[Path], archive: Path) -> AtHand:
    """What bags of something said later hold; one that holds none, is a link or one too many is named."""
    listed = [_in_bag(bag) for bag in bags[:MOST_LATER]]
    names = [f"{bag.name}/{n}" for bag, one in zip(bags, listed, strict=False) for n in one.unread]
    paths = [path for one in listed for path in one.files]
    found = _gathered(_Listed(paths, names, [path for one in listed for path in one.no_files]), archive)
    told = {one.path.parents[2] for one in found.about} | {archive / Path(n).parts[0] for n in found.unread}
    return found | AtHand(unread=tuple(f"{bag.name}/" for bag in bags if bag not in told))


def _in_bag(bag: Path) -> _Listed:
    inside = bag / "data" / FOLDER
    try:
        there = inside.is_dir() and not any(one.is_symlink() for one in (bag, bag / "data", inside))
    except OSError:  # a folder that cannot be looked into
        there = False
    if not there:
        return _Listed([], [])
    return _listed(inside, MOST_IN_BAG)


def small(path: Path) -> bytes:
    """The bytes of a file that may be a statement or key card, none of one that begins otherwise."""
    return _content(path) or b""


def certificates_beside(path: Path) -> list[x509.Certificate]:
    """The certificates in the file that lies beside a record of its own."""
    beside = path.parent / files.CERTIFICATE
    if beside.is_symlink():
        return []
    try:
        return chains.load_all(ordinary.read(beside, MAX_BYTES))
    except OSError:
        return []


def _gathered(listed: _Listed, folder: Path) -> AtHand:
    """`folder`: what names of unread files are said from."""
    found, unread = _Found(left=MOST_BYTES), list(listed.unread)
    for path in listed.files:
        data = _content(path, found)
        if data is None or (data and not (found.takes(data) and _take(path, data, found))):
            unread.append(str(path.relative_to(folder)))
    return AtHand(
        read=tuple(found.read.values()),
        cards=tuple(found.cards.values()),
        files=tuple(listed.files),
        no_files=tuple(listed.no_files),
        about=frozenset(found.about),
        unread=tuple(unread),
    )


def _take(path: Path, data: bytes, found: _Found) -> bool:
    """Put a key card, statement or receipt among `found`; False where it may be one and cannot be read."""
    try:
        if keycard.looks_like(data):
            card = keycard.read(data)
            found.cards[card.form] = card
            found.about.add(Own(path, "", card.form))
        elif (read := statements.read(data)) is not None:
            found.read[read.form] = read
            found.about.add(Own(path, read.value.about.sha256, read.form))
    except UnreadableError:
        return _is_record(data)
    return True


def _is_record(data: bytes) -> bool:
    """A record of a later version may begin with another member than those that are known."""
    try:
        seal.from_json(data)
    except UnreadableError:
        return False
    return True


def _listed(folder: Path, most: int) -> _Listed:
    """Ordinary files by name, at most so many. Links are not followed; hidden ones are what editors leave."""
    try:
        with os.scandir(folder) as entries:
            some = sorted(islice(entries, most + 1), key=lambda entry: entry.name)
    except OSError:
        return _Listed([], ["./"])
    links = [
        e.name
        for e in some
        if e.is_symlink() and not e.name.startswith(".") and not os.path.isdir(e.path)  # noqa: PTH112 - False where not allowed
    ]
    found = [folder / e.name for e in some[:most] if e.is_file(follow_symlinks=False)]
    others = [e.name for e in some if not (e.is_symlink() or e.is_file() or e.is_dir())]  # a pipe, a device
    no_files = [folder / e.name for e in some[:most] if not e.is_file(follow_symlinks=False)]
    return _Listed(found, [*links, *others, *(["./"] if len(some) > most else [])], no_files)


def _folders(folder: Path) -> list[Path]:
    try:
        with os.scandir(folder) as entries:
            return [folder / one.name for one in islice(entries, MOST_NAMES) if one.is_dir()]
    except OSError:
        return []


def _content(path: Path, found: _Found | None = None) -> bytes | None:
    """The bytes of what may be a statement or key card, b"" of another file, None of one that is shut.

    None too of one that another program saved again (`_BEGINS`, `_may_be`), that is longer than any is, or
    for which no bytes are left.
    """
    try:
        start = _plain(ordinary.read(path, _START))
        if not _BEGINS.match(start):
            is_other = not start.startswith(b"{") or _RECORD.match(start)
            return b"" if is_other or not _may_be(path, found) else None
        if found is not None and found.left <= 0:
            return None
        data = ordinary.read(path, MAX_BYTES + 1)
    except OSError:
        return None
    return data if len(data) <= MAX_BYTES and data.startswith((_CARD, _SIGNED)) else None


def _may_be(path: Path, found: _Found | None) -> bool:
    """Whether JSON may be a statement, receipt or key card that another program wrote in its own way."""
    if found is None or path.stat().st_size > _LONGEST_OTHERWISE:
        return False
    data = ordinary.read(path, MAX_BYTES)
    found.json_left -= len(data)
    if found.json_left < 0:  # any folder may be full of JSON, and nobody is helped where all of it is named
        return False
    text = _ESCAPE.sub(lambda one: bytes((int(one[1], 16),)), _plain(data))
    return bool(_SIGNATURES.search(text) and _SIGNED_OTHERWISE.search(text))


def _plain(data: bytes) -> bytes:
    """The bytes of a text without a byte order mark, in UTF-8 as far as they are ASCII."""
    return data.replace(b"\0", b"").lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n")
