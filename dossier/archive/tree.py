"""The hash tree of RFC 9162 section 2.1, which is that of RFC 6962, with any hash of hashlib. Pure.

A leaf is hashed with 0x00 before it and a node with 0x01, so that neither can stand for the other.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence


def leaf(data: bytes, algorithm: str) -> bytes:
    """The hash of a leaf: of 0x00 and its data."""
    return hashlib.new(algorithm, b"\0" + data).digest()


def root(leaves: Sequence[bytes], algorithm: str) -> bytes:
    """The root over the hashes of the leaves, in their order; of none, the hash of nothing.

    Nodes are the hash of 0x01 and two nodes. A last node without a partner goes up as it is, which gives the
    same tree as the RFC's split at the largest power of two.
    """
    level = list(leaves)
    if not level:
        return hashlib.new(algorithm).digest()
    while len(level) > 1:
        level = _above(level, algorithm)
    return level[0]


def path(leaves: Sequence[bytes], place: int, algorithm: str) -> list[bytes]:
    """The nodes that lead from the leaf at `place` to the root, from below (RFC 9162 section 2.1.3.1)."""
    level, at, found = list(leaves), place, []
    while len(level) > 1:
        if at ^ 1 < len(level):
            found.append(level[at ^ 1])
        level, at = _above(level, algorithm), at // 2
    return found


def sides(place: int, count: int) -> Iterator[bool]:
    """For each node of a path in a tree of `count` leaves, whether it stands on the left."""
    at, last = place, count - 1
    while last:
        if at % 2 or at < last:
            yield bool(at % 2)
        at, last = at // 2, last // 2


def climb(start: bytes, place: int, count: int, nodes: Sequence[bytes], algorithm: str) -> bytes:
    """The root that a path leads to from the hash of a leaf (RFC 9162 section 2.1.3.2).

    Raises ValueError where the path is longer or shorter than that of this place.
    """
    at = start
    for left, node in zip(sides(place, count), nodes, strict=True):
        at = _node(node, at, algorithm) if left else _node(at, node, algorithm)
    return at


def _above(level: Sequence[bytes], algorithm: str) -> list[bytes]:
    paired = [_node(level[at], level[at + 1], algorithm) for at in range(0, len(level) - 1, 2)]
    return [*paired, *([level[-1]] if len(level) % 2 else [])]


def _node(left: bytes, right: bytes, algorithm: str) -> bytes:
    return hashlib.new(algorithm, b"\1" + left + right).digest()
