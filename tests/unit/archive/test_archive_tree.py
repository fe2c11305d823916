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
