"""The hash tree of RFC 9162 section 2.1.1, which is that of RFC 6962, with any hash of hashlib. Pure."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence


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
        paired = [
            hashlib.new(algorithm, b"\1" + level[at] + level[at + 1]).digest()
            for at in range(0, len(level) - 1, 2)
        ]
        level = [*paired, *([level[-1]] if len(level) % 2 else [])]
    return level[0]
