"""The way of one record to an archive's evidence, in one file that its holder can check without the archive.

`record-evidence.json`: the document that was stamped, its time-stamp, and the nodes of both hash trees
between the record and their roots (the reduced hash tree of RFC 4998 section 4.2, in the form of RFC 9162
section 2.1.3); the same of each evidence before that has the record, since each renews the time-stamp of the
one before it (RFC 4998 section 5). Not done here: time-stamps; what the record's leaf is over. Invariant: a
file that is not in the form of a 1.x, or whose way is longer or shorter than its place has, is refused.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import islice, pairwise
from typing import Any

import msgspec

from dossier import canonical
from dossier.archive import bag_form, leaves, tree
from dossier.archive.evidence import Evidence, Kept, as_bytes, previous, read_leaves
from dossier.archive.evidence import read as read_evidence
from dossier.archive.leaves import Leaf
from dossier.errors import NotCanonicalError
from dossier.model.record import FORMAT_PATTERN

FORMAT = "1.0"
_FORMAT = re.compile(FORMAT_PATTERN)
MOST_BYTES = 512 << 10
MOST_EARLIER = 64  # renewals
_LENGTHS = {"sha256": 64, "sha512": 128}
_HEX = re.compile(r"(?:[0-9a-f]{2})*")


class Way(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """`place`: of the leaf in the tree, from 0. `sha256`, `sha512`: the nodes of each tree, from below.

    Members that a later 1.x adds are passed over, but for those of `evidence`, which was stamped as it is.
    """

    evidence: Evidence
    stamp: str  # evidence.tsr, hexadecimal
    place: int
    sha256: tuple[str, ...]
    sha512: tuple[str, ...]


class RecordPath(Way, frozen=True, kw_only=True):
    """The way to the last evidence, and those to the ones before it, the last first."""

    format: str
    record_stamp: str = ""  # record.tsr as it lies in the bag, hexadecimal
    earlier: tuple[Way, ...] = ()

    @property
    def ways(self) -> tuple[Way, ...]:
        return (self, *self.earlier)


def make(kept: Sequence[Kept], bag: str, record_stamp: bytes) -> bytes:
    """The file for the record in `bag`, by all evidence of its archive, the last at its end.

    Of more than a file may hold, the newest. Raises NotCanonicalError, and KeyError where the last has no
    leaf of it.
    """
    ways = list(islice(_ways(kept, bag + leaves.OF_RECORD), MOST_EARLIER + 1))
    if not ways:
        raise KeyError(bag)
    last, *earlier = ways
    members = {name: getattr(last, name) for name in Way.__struct_fields__}
    while True:
        made = RecordPath(format=FORMAT, record_stamp=record_stamp.hex(), earlier=tuple(earlier), **members)
        if len(data := as_bytes(made)) <= MOST_BYTES or not earlier:
            return data
        earlier.pop()


def _ways(kept: Sequence[Kept], name: str) -> Iterator[Way]:
    """Of a leaf to each evidence that has it, from the last one back."""
    wanted: Leaf | None = None
    for one in reversed(kept):
        found = read_leaves(one)
        leaf = next((leaf for leaf in found if leaf.name == name), None)
        if leaf is None or wanted not in (None, leaf):
            return
        wanted, place = leaf, found.index(leaf)
        nodes = {a: tree.path(leaves.by(found, a), place, a) for a in bag_form.ALGORITHMS}
        yield Way(
            evidence=read_evidence(one.document),
            stamp=one.stamp.hex(),
            place=place,
            **{a: tuple(node.hex() for node in some) for a, some in nodes.items()},
        )


def read(data: bytes) -> RecordPath:
    """Raises NotCanonicalError."""
    try:
        value: Any = canonical.decode(data, max_bytes=MOST_BYTES)
        found = msgspec.convert(value, RecordPath)
        for way in found.ways:
            read_evidence(as_bytes(way.evidence))
    except msgspec.ValidationError as error:
        raise NotCanonicalError(str(error)) from error
    fits = len(found.earlier) <= MOST_EARLIER and all(map(_fits, found.ways))
    fits = fits and bool(_HEX.fullmatch(found.record_stamp)) and bool(_FORMAT.fullmatch(found.format))
    if not fits or value.get("record_stamp") == "" or value.get("earlier") == []:
        raise NotCanonicalError("not the one form of a record's evidence")
    return found


def leads(found: RecordPath, record: bytes) -> bool:
    """Whether all ways lead from what the record's leaf is over to the roots that were stamped.

    And whether each evidence is over the one before.
    """
    own, ways = leaves.of_record(record), found.ways
    return all(_is_over(later, before) for later, before in pairwise(ways)) and all(
        _climbed(way, a, getattr(own, a)) == getattr(way.evidence.root, a)
        for way in ways
        for a in bag_form.ALGORITHMS
    )


def _is_over(later: Way, before: Way) -> bool:
    return later.evidence.previous == previous(as_bytes(before.evidence), bytes.fromhex(before.stamp))


def _climbed(found: Way, algorithm: str, start: str) -> str:
    nodes = [bytes.fromhex(one) for one in getattr(found, algorithm)]
    return tree.climb(bytes.fromhex(start), found.place, found.evidence.leaves, nodes, algorithm).hex()


def _fits(found: Way) -> bool:
    """Whether all hexadecimal is that, and each way has the length of its place."""
    if not 0 <= found.place < found.evidence.leaves:
        return False
    steps = len(list(tree.sides(found.place, found.evidence.leaves)))
    ways = all(_is_way(getattr(found, a), steps, length) for a, length in _LENGTHS.items())
    return ways and bool(_HEX.fullmatch(found.stamp))


def _is_way(nodes: Sequence[str], steps: int, length: int) -> bool:
    return len(nodes) == steps and all(len(one) == length and _HEX.fullmatch(one) for one in nodes)
