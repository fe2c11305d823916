"""The signature's slot: filled and read back, and nothing but that is read."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.model import signature_slot as slot

WHEN = dt.datetime(2026, 3, 1, 12, 30, 5, tzinfo=dt.timezone(dt.timedelta(hours=2)))
texts = st.text(max_size=60)


@given(texts, texts, texts, st.binary(max_size=300))
@settings(deadline=None, max_examples=60)
def test_there_and_back(name: str, reason: str, location: str, contents: bytes) -> None:
    covered = slot.byte_range(1000, 60_000)
    filled = slot.filled(covered, slot.entries(WHEN, name, reason, location), contents)
    info = slot.read(filled)
    assert len(filled) == len(slot.blank()) == slot.LENGTH
    assert info is not None
    assert (info.byte_range, info.when) == (covered, "D:20260301103005Z")
    assert (info.name, info.reason, info.location) == (name, reason, location)
    assert bytes.fromhex(info.contents.decode()).rstrip(b"\0") == contents.rstrip(b"\0")


def test_the_byte_range_leaves_out_exactly_the_contents() -> None:
    """ISO 32000-1 12.8.1: all of the file but the string, brackets included."""
    before, after = b"x" * 77, b"y" * 33
    whole = before + slot.blank() + after
    a, b, c, d = slot.byte_range(len(before), len(whole))
    assert (a, c + d) == (0, len(whole))
    assert whole[b:c] == b"<" + b"0" * (2 * slot.CONTENTS_BYTES) + b">"


@pytest.mark.parametrize("at", [0, 40, 80, slot.CONTENTS_AT - 3, slot.CONTENTS_AT, slot.LENGTH - 2])
def test_any_other_byte_is_not_read(at: int) -> None:
    filled = slot.filled(slot.byte_range(9, 99_999), slot.entries(WHEN, "x"))
    assert slot.read(filled) is not None
    assert slot.read(filled[:at] + b"!" + filled[at + 1 :]) is None


def test_a_blank_one_is_no_signature() -> None:
    assert slot.read(slot.blank()) is None
    assert slot.read(b"") is None


def test_what_does_not_fit() -> None:
    with pytest.raises(ValueError, match="do not fit"):
        slot.filled((0, 1, 2, 3), b"x" * 3000)
    with pytest.raises(ValueError, match="do not fit"):
        slot.filled((0, 1, 2, 3), b"", bytes(slot.CONTENTS_BYTES + 1))
