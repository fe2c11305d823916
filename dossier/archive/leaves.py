"""The leaves of an archive's hash tree: of each bag its own and, where it holds a record, the record's.

`leaves.txt` lists them a line each, in their order: a leaf's place in the tree is the number of its line. It
is not stamped itself, since the roots of `evidence.json` bind it; so nobody who is handed one record's way to
the root is told of other jobs. Not done here: what the leaf of a record is over (the caller gives its bytes).
Invariant: a list that is not exactly what is written here is refused.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Annotated, NamedTuple

import msgspec

from dossier import ordinary
from dossier.archive import bag_form, bags, tree
from dossier.errors import ArchiveError, NotCanonicalError
from dossier.words import Catalogue

FILE = "leaves.txt"
MOST_BYTES = 128 << 20
OF_RECORD = "/record"  # after the bag's name
_IN_NO_LINE = re.compile(r"[\x00-\x1f\x7f\ud800-\udfff]")
_LINE = re.compile(rb"([0-9a-f]{64}) ([0-9a-f]{128}) ([^\x00-\x1f\x7f/]+(?:/record)?)\n")

RecordOf = Callable[[Path], bytes]  # what the leaf of a bag's record is over; nothing where it has none


class Hashes(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Hexadecimal, of the same thing by both hashes."""

    sha256: Annotated[str, msgspec.Meta(pattern=r"\A[0-9a-f]{64}\Z")]
    sha512: Annotated[str, msgspec.Meta(pattern=r"\A[0-9a-f]{128}\Z")]


class Leaf(NamedTuple):
    """One leaf: the bag's name, with `/record` after it of its record; and its hashes."""

    name: str
    hashes: Hashes

    @property
    def bag(self) -> str:
        return self.name.removesuffix(OF_RECORD)


def can_be_listed(bag: str) -> bool:
    """Whether the name of a bag, which somebody may have changed, can stand in a line."""
    return not _IN_NO_LINE.search(bag)


def of_bag(bag: Path, record_of: RecordOf) -> list[Leaf]:
    """The leaves of a bag. Raises ArchiveError where a tag manifest cannot be read."""
    try:
        tags = {
            a: ordinary.whole(bag / bag_form.list_name(a, of_tags=True), bag_form.MOST_TAGS)
            for a in bag_form.ALGORITHMS
        }
    except OSError as error:
        words = Catalogue()
        raise ArchiveError(
            words.say("renewal.unreadable", file=error.filename, why=error.strerror)
        ) from error
    own = Leaf(bag.name, Hashes(**{a: tree.leaf(data, a).hex() for a, data in tags.items()}))
    record = record_of(bag)
    return [own, Leaf(bag.name + OF_RECORD, of_record(record))] if record else [own]


def of_record(data: bytes) -> Hashes:
    return Hashes(**{a: tree.leaf(data, a).hex() for a in bag_form.ALGORITHMS})


def of_archive(archive: Path, record_of: RecordOf) -> list[Leaf]:
    """All leaves, in their order. Raises ArchiveError."""
    return [leaf for bag in bags.bag_folders(archive) for leaf in of_bag(bag, record_of)]


def write(leaves: Iterable[Leaf]) -> bytes:
    """`leaves.txt`."""
    lines = [f"{one.hashes.sha256} {one.hashes.sha512} {one.name}\n" for one in leaves]
    return "".join(lines).encode()


def read(data: bytes) -> list[Leaf]:
    """Raises NotCanonicalError where `data` is not exactly what `write` gives of leaves in their order."""
    found = [_read_line(line) for line in io.BytesIO(data)]
    if not _in_order(found):
        raise NotCanonicalError("not the one form of a list of leaves")
    return found


def _read_line(line: bytes) -> Leaf:
    """Line by line, and no further than the first that is wrong: a list may be made to cost time."""
    parts = _LINE.fullmatch(line)
    if parts is None:
        raise NotCanonicalError("not a line of a list of leaves")
    try:
        return Leaf(parts[3].decode(), Hashes(parts[1].decode(), parts[2].decode()))
    except UnicodeDecodeError as error:
        raise NotCanonicalError(str(error)) from error


def roots(leaves: Sequence[Leaf]) -> Hashes:
    """The roots of both trees."""
    return Hashes(**{a: tree.root(by(leaves, a), a).hex() for a in bag_form.ALGORITHMS})


def by(leaves: Iterable[Leaf], algorithm: str) -> list[bytes]:
    """The leaves' hashes by one of the two."""
    return [bytes.fromhex(getattr(one.hashes, algorithm)) for one in leaves]


def _in_order(leaves: Sequence[Leaf]) -> bool:
    """Bags by name, each once; a record's leaf right after its bag's."""
    keys = [(one.bag, one.name != one.bag) for one in leaves]
    bags_there = {one.name for one in leaves if one.name == one.bag}
    return keys == sorted(set(keys)) and {one.bag for one in leaves} == bags_there
