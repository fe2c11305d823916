"""The way of one record to an archive's evidence, in one file that its holder can check without the archive.

`record-evidence.json`: the document that was stamped, its time-stamp, and the nodes of both hash trees
between the record and their roots (the reduced hash tree of RFC 4998 section 4.2, in the form of RFC 9162
section 2.1.3). Not done here: time-stamps; what the record's leaf is over. Invariant: a file that is not in
the one form, or whose way is longer or shorter than its place has, is refused.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

import msgspec

from dossier import canonical
from dossier.archive import bags, leaves, tree
from dossier.archive.evidence import Evidence, Kept, as_bytes, read_leaves
from dossier.archive.evidence import read as read_evidence
from dossier.errors import NotCanonicalError

FORMAT = "1.0"
MOST_BYTES = 512 << 10
_LENGTHS = {"sha256": 64, "sha512": 128}
_HEX = re.compile(r"(?:[0-9a-f]{2})*")


class RecordPath(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """`place`: of the leaf in the tree, from 0. `sha256`, `sha512`: the nodes of each tree, from below."""

    format: str
    evidence: Evidence
    stamp: str  # evidence.tsr, hexadecimal
    place: int
    sha256: tuple[str, ...]
    sha512: tuple[str, ...]
    record_stamp: str = ""  # record.tsr as it lies in the bag, hexadecimal


def make(kept: Kept, bag: str, record_stamp: bytes) -> bytes:
    """The file for the record in `bag`. Raises NotCanonicalError, and KeyError where no leaf is of it."""
    found = read_leaves(kept)
    names = {one.name: place for place, one in enumerate(found)}
    place = names[bag + leaves.OF_RECORD]
    nodes = {a: tree.path(leaves.by(found, a), place, a) for a in bags.ALGORITHMS}
    return _bytes(
        RecordPath(
            format=FORMAT,
            evidence=read_evidence(kept.document),
            stamp=kept.stamp.hex(),
            place=place,
            record_stamp=record_stamp.hex(),
            **{a: tuple(node.hex() for node in some) for a, some in nodes.items()},
        )
    )


def read(data: bytes) -> RecordPath:
    """Raises NotCanonicalError."""
    try:
        value: Any = canonical.decode(data, max_bytes=MOST_BYTES)
        found = msgspec.convert(value, RecordPath)
        read_evidence(as_bytes(found.evidence))
    except msgspec.ValidationError as error:
        raise NotCanonicalError(str(error)) from error
    if found.format != FORMAT or _bytes(found) != data or not _fits(found):
        raise NotCanonicalError("not the one form of a record's evidence")
    return found


def leads(found: RecordPath, record: bytes) -> bool:
    """Whether both ways lead from what the record's leaf is over to the roots that were stamped."""
    own = leaves.of_record(record)
    return all(
        _climbed(found, a, getattr(own, a)) == getattr(found.evidence.root, a) for a in bags.ALGORITHMS
    )


def _climbed(found: RecordPath, algorithm: str, start: str) -> str:
    nodes = [bytes.fromhex(one) for one in getattr(found, algorithm)]
    return tree.climb(bytes.fromhex(start), found.place, found.evidence.leaves, nodes, algorithm).hex()


def _fits(found: RecordPath) -> bool:
    """Whether all hexadecimal is that, and each way has the length of its place."""
    if not 0 <= found.place < found.evidence.leaves:
        return False
    steps = len(list(tree.sides(found.place, found.evidence.leaves)))
    ways = all(_is_way(getattr(found, a), steps, length) for a, length in _LENGTHS.items())
    return ways and all(map(_HEX.fullmatch, (found.stamp, found.record_stamp)))


def _is_way(nodes: Sequence[str], steps: int, length: int) -> bool:
    return len(nodes) == steps and all(len(one) == length and _HEX.fullmatch(one) for one in nodes)


def _bytes(value: RecordPath) -> bytes:
    return canonical.encode(msgspec.to_builtins(value))
