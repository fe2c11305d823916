"""Whether a bag is as it was put away: what lies in it, held against what its lists say.

Nothing outside the bag is looked at, since links are named and not followed, and nothing ends the check: what
cannot be read is named and the rest is looked at. Not here: bags of others, which may be valid and look
otherwise; to tests the `bagit` library (Library of Congress) says that ours are valid.
Invariants: nothing is raised; beside reading each file once, the work is bounded.
"""

from __future__ import annotations

import errno
import hashlib
import os
import sys
import unicodedata
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

import msgspec

from dossier import ordinary
from dossier.archive import bag_form
from dossier.archive.bag_form import ALGORITHMS
from dossier.errors import NotCanonicalError
from dossier.words import Catalogue

MOST_ENTRIES = 2 * bag_form.MOST_FILES  # files and folders
MOST_NAMED = 200  # problems of one bag
_LONGEST_NAME = 1000  # letters; a disk has names of 255, and composing takes the square of a letter's marks
_CHUNK = 1 << 20
_JUNCTION = 0xA0000003  # IO_REPARSE_TAG_MOUNT_POINT of Windows, which is no link to Python 3.11
_BELOW = f"{bag_form.PAYLOAD}/"
_OF_SYSTEM = frozenset({".ds_store", "thumbs.db", "desktop.ini"})
_MOST = {
    **dict.fromkeys((bag_form.DECLARED, bag_form.INFO), bag_form.MOST_TAGS),
    **{bag_form.list_name(a, of_tags=False): bag_form.MOST_LIST for a in ALGORITHMS},
    **{bag_form.list_name(a, of_tags=True): bag_form.MOST_TAGS for a in ALGORITHMS},
}
Digests = dict[str, dict[str, str]]  # by path, by algorithm


class BagReport(msgspec.Struct, frozen=True, kw_only=True):
    """What re-hashing one bag found; `problems` is empty when every file is as it was put away."""

    bag: str
    files: int = 0
    bytes: int = 0
    problems: tuple[str, ...] = ()


class _Lying(msgspec.Struct):
    """The ordinary files of a bag by their paths, and what is said of that which could not be looked into."""

    files: set[str] = msgspec.field(default_factory=set)
    closed: dict[str, str] = msgspec.field(default_factory=dict)
    beside: list[str] = msgspec.field(default_factory=list)  # folders that no bag of ours has
    entries: int = 0

    def is_closed(self, path: str) -> bool:
        above = (path, *(str(one) for one in PurePosixPath(path).parents), "")
        return any(one in self.closed for one in above)


class _Problems(msgspec.Struct):
    """By path. Gravest first: what was added in its thousands must not hide what was changed."""

    changed: dict[str, str] = msgspec.field(default_factory=dict)
    gone: dict[str, str] = msgspec.field(default_factory=dict)
    other: dict[str, str] = msgspec.field(default_factory=dict)

    def named(self) -> tuple[str, ...]:
        everything = [*self.changed.values(), *self.gone.values(), *self.other.values()]
        more = len(everything) - MOST_NAMED
        return (*everything[:MOST_NAMED], *([_say("more", n=more)] if more > 0 else []))

    def are_of_payload(self) -> bool:
        return any(path.startswith(_BELOW) for path in (*self.changed, *self.gone, *self.other))


def check_bag(folder: Path) -> BagReport:
    """Re-hash every file of a bag against its lists, and look for files that these do not name."""
    lying = _lying(folder)
    found = _Problems()
    if lying.entries > MOST_ENTRIES:
        return BagReport(bag=folder.name, problems=(_say("too_many", n=MOST_ENTRIES),))
    texts = dict(_texts(folder, lying, found))
    payload = _listed(texts, found, of_tags=False)
    own = _listed(texts, found, of_tags=True)
    hashed = dict(_compared(folder, lying, {**(payload or {}), **(own or {})}, found))
    _beside(lying, set(hashed), found, payload=payload is not None, own=own is not None)
    sizes = [size for path, size in hashed.items() if path.startswith(_BELOW)]
    said = bag_form.said(texts.get(bag_form.INFO, b""), bag_form.SIZE)
    # Other programs go by it.
    if said not in ("", f"{sum(sizes)}.{len(sizes)}") and not found.are_of_payload():
        found.changed[bag_form.INFO] = _say("changed", file=bag_form.INFO)
    return BagReport(bag=folder.name, files=len(sizes), bytes=sum(sizes), problems=found.named())


def is_link(entry: os.DirEntry[str]) -> bool:
    """Also where Windows calls it a junction. Raises OSError."""
    if sys.platform == "win32" and entry.stat(follow_symlinks=False).st_reparse_tag == _JUNCTION:
        return True
    return entry.is_symlink()


def _say(key: str, **values: object) -> str:
    return Catalogue().say(f"archive.audit.{key}", **values)


def _lying(folder: Path) -> _Lying:
    lying = _Lying()
    waiting = [""]
    while waiting and lying.entries <= MOST_ENTRIES:
        home = waiting.pop()
        try:
            with os.scandir(folder / home) as entries:
                waiting += _folders(lying, home, entries)
        except OSError as error:
            why = error.strerror or type(error).__name__
            lying.closed[home.rstrip("/")] = _say("closed", file=home.rstrip("/") or folder.name, why=why)
    return lying


def _folders(lying: _Lying, home: str, entries: Iterator[os.DirEntry[str]]) -> Iterator[str]:
    """The folders to look into, after what is no folder was taken note of."""
    for entry in entries:
        lying.entries += 1
        if lying.entries > MOST_ENTRIES:
            return
        path = home + entry.name
        if is_link(entry):
            lying.closed[path] = _say("link", file=path)
        elif entry.is_file(follow_symlinks=False):
            lying.files.add(path)
        elif not entry.is_dir(follow_symlinks=False):
            lying.closed[path] = _say("unfit", file=path)
        elif home or entry.name == bag_form.PAYLOAD:
            yield f"{path}/"
        else:
            lying.beside.append(path)


def _texts(folder: Path, lying: _Lying, found: _Problems) -> Iterator[tuple[str, bytes]]:
    for name, most in _MOST.items():
        if name not in lying.files:
            if not lying.is_closed(name):
                found.gone[name] = _say("gone", file=name)
            continue
        try:
            data = ordinary.whole(folder / name, most)
        except OSError as error:
            lying.closed[name] = (
                _say("unfit", file=name) if error.errno == errno.EFBIG else _unreadable(name, error)
            )
            continue
        if name == bag_form.DECLARED and data != bag_form.DECLARATION.encode():
            found.changed[name] = _say("changed", file=name)
        yield name, data


def _unreadable(path: str, error: OSError) -> str:
    return _say("unreadable", file=path, why=error.strerror or type(error).__name__)


def _listed(texts: dict[str, bytes], found: _Problems, *, of_tags: bool) -> Digests | None:
    """What the lists of one kind name; None where none of them can be read."""
    lists: dict[str, dict[str, str]] = {}
    for algorithm in ALGORITHMS:
        name = bag_form.list_name(algorithm, of_tags=of_tags)
        try:
            if name in texts:
                lists[algorithm] = bag_form.read_list(texts[name], algorithm, of_tags=of_tags)
        except NotCanonicalError:
            found.changed[name] = _say("no_list", file=name)
    if len({frozenset(one) for one in lists.values()}) > 1:
        first, second = (bag_form.list_name(a, of_tags=of_tags) for a in ALGORITHMS)
        found.changed[first] = _say("lists_differ", file=first, other=second)
    paths = sorted({path for one in lists.values() for path in one})
    listed = {path: {a: one[path] for a, one in lists.items() if path in one} for path in paths}
    return listed if lists else None


def _compared(folder: Path, lying: _Lying, listed: Digests, found: _Problems) -> Iterator[tuple[str, int]]:
    """The path, as the disk spells it, and the size of every file that is listed and there."""
    spelt: dict[str, str] | None = None
    for path, digests in listed.items():
        there = path if path in lying.files else None
        if there is None:
            if spelt is None:  # a disk of macOS may spell names anew
                spelt = {_composed(one): one for one in lying.files}
            there = spelt.get(_composed(path))
        if there is None:
            if not lying.is_closed(path):
                found.gone[path] = _say("gone", file=path)
            continue
        try:
            size, own = _hashed(folder / there)
        except OSError as error:
            lying.closed[there] = _unreadable(path, error)
            size, own = 0, digests
        if any(own[algorithm] != digest for algorithm, digest in digests.items()):
            found.changed.setdefault(path, _say("changed", file=path))
        yield there, size


def _composed(path: str) -> str:
    short = max(map(len, path.split("/"))) <= _LONGEST_NAME
    return unicodedata.normalize("NFC", path) if short else path


def _hashed(path: Path) -> tuple[int, dict[str, str]]:
    hashers = {a: hashlib.new(a) for a in ALGORITHMS}
    size = 0
    with ordinary.opened(path) as file:
        while chunk := file.read(_CHUNK):
            size += len(chunk)
            for hasher in hashers.values():
                hasher.update(chunk)
    return size, {a: h.hexdigest() for a, h in hashers.items()}


def _beside(lying: _Lying, hashed: set[str], found: _Problems, *, payload: bool, own: bool) -> None:
    """What lies there and is not listed, as far as there is a list; and what could not be looked into."""
    found.other |= {path: lying.closed[path] for path in sorted(lying.closed)}
    lists = {bag_form.list_name(a, of_tags=True) for a in ALGORITHMS}
    for path in sorted(lying.files - hashed - lists):
        if payload and path.startswith(_BELOW):
            found.other[path] = _say("added", file=path)
        elif own and not path.startswith(_BELOW) and not _is_of_system(path):
            found.other[path] = _say("unlisted", file=path)
    found.other |= {path: _say("unlisted", file=path) for path in sorted(lying.beside)}


def _is_of_system(name: str) -> bool:
    """What the window of a folder leaves in it, on macOS and Windows, when somebody only looks."""
    return name.casefold() in _OF_SYSTEM or name.startswith("._")
