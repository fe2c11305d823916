"""The hash tree against RFC 9162 section 2.1.1 and the known answers of the RFC 6962 implementations."""

from __future__ import annotations

import hashlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.archive import tree

# The inputs and root that implementations of RFC 6962 are tested with (openly published test data).
INPUTS = [
    "",
    "00",
    "10",
    "2021",
    "3031",
    "40414243",
    "5051525354555657",
    "606162636465666768696a6b6c6d6e6f",
]
ROOT = "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328"


def test_known_answers() -> None:
    assert tree.root([], "sha256").hex().startswith("e3b0c442")
    assert tree.root([], "sha256") == hashlib.sha256().digest()
    assert tree.leaf(b"", "sha256").hex().startswith("6e340b9c")
    assert tree.leaf(b"L123456", "sha256").hex().startswith("395aa064")
    leaves = [tree.leaf(bytes.fromhex(one), "sha256") for one in INPUTS]
    assert tree.root(leaves, "sha256").hex() == ROOT


def by_the_rfc(leaves: list[bytes], algorithm: str) -> bytes:
    """RFC 9162 section 2.1.1 word for word: split at the largest power of two smaller than n."""
    if len(leaves) == 1:
        return leaves[0]
    k = 1
    while 2 * k < len(leaves):
        k *= 2
    left, right = by_the_rfc(leaves[:k], algorithm), by_the_rfc(leaves[k:], algorithm)
    return hashlib.new(algorithm, b"\1" + left + right).digest()


@pytest.mark.parametrize("algorithm", ["sha256", "sha512"])
@settings(deadline=None, max_examples=60)
@given(leaves=st.lists(st.binary(max_size=8), min_size=1, max_size=70))
def test_the_tree_is_that_of_the_rfc(algorithm: str, leaves: list[bytes]) -> None:
    hashed = [tree.leaf(one, algorithm) for one in leaves]
    assert tree.root(hashed, algorithm) == by_the_rfc(hashed, algorithm)


def checked_by_the_rfc(
    start: bytes, place: int, count: int, path: list[bytes], algorithm: str
) -> bytes | None:
    """RFC 9162 section 2.1.3.2 word for word, up to the comparison with the root."""
    if place >= count:
        return None
    fn, sn, r = place, count - 1, start
    for p in path:
        if sn == 0:
            return None
        if fn & 1 or fn == sn:
            r = hashlib.new(algorithm, b"\1" + p + r).digest()
            while not fn & 1 and fn != 0:
                fn, sn = fn >> 1, sn >> 1
        else:
            r = hashlib.new(algorithm, b"\1" + r + p).digest()
        fn, sn = fn >> 1, sn >> 1
    return r if sn == 0 else None


@pytest.mark.parametrize("algorithm", ["sha256", "sha512"])
def test_every_path_leads_to_the_root_as_the_rfc_walks_it(algorithm: str) -> None:
    for count in range(1, 34):
        hashed = [tree.leaf(bytes([at]), algorithm) for at in range(count)]
        whole = tree.root(hashed, algorithm)
        for place, own in enumerate(hashed):
            path = tree.path(hashed, place, algorithm)
            assert tree.climb(own, place, count, path, algorithm) == whole
            assert checked_by_the_rfc(own, place, count, path, algorithm) == whole


@settings(deadline=None, max_examples=100)
@given(
    place=st.integers(0, 40), count=st.integers(1, 40), length=st.integers(0, 8), own=st.binary(max_size=2)
)
def test_a_path_is_taken_as_the_rfc_takes_it(place: int, count: int, length: int, own: bytes) -> None:
    """Too long, too short, of another place: the same answer as the algorithm of the RFC gives."""
    path = [bytes([at]) * 32 for at in range(length)]
    try:
        found = tree.climb(own, place, count, path, "sha256") if place < count else None
    except ValueError:
        found = None
    assert found == checked_by_the_rfc(own, place, count, path, "sha256")


def test_a_node_is_never_a_leaf() -> None:
    """Domain separation (RFC 9162 section 2.1.1): the two halves of a node, said to be a leaf's data."""
    hashed = [tree.leaf(bytes([at]), "sha256") for at in range(4)]
    whole, halves = tree.root(hashed, "sha256"), hashed[0] + hashed[1]
    right = tree.path(hashed, 0, "sha256")[1]
    assert tree.climb(hashlib.sha256(b"\1" + halves).digest(), 0, 2, [right], "sha256") == whole
    assert tree.climb(tree.leaf(halves, "sha256"), 0, 2, [right], "sha256") != whole


def test_the_path_of_the_known_tree() -> None:
    """RFC 9162 section 2.1.5 draws the paths of a tree of seven: of its leaf 3 they are c, g and l."""
    d = [tree.leaf(bytes.fromhex(one), "sha256") for one in INPUTS[:7]]
    a, b, c, d0, e, f = d[:6]

    def node(left: bytes, right: bytes) -> bytes:
        return hashlib.sha256(b"\1" + left + right).digest()

    g, h, i = node(a, b), node(c, d0), node(e, f)
    k, last = node(g, h), node(i, d[6])
    assert tree.path(d, 0, "sha256") == [b, h, last]
    assert tree.path(d, 3, "sha256") == [c, g, last]
    assert tree.path(d, 4, "sha256") == [f, d[6], k]
    assert tree.path(d, 6, "sha256") == [i, k]
