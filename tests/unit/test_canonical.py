"""Canonical JSON against RFC 8785's own examples and against an independent implementation."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.canonical import (
    LARGEST_INTEGER,
    MAX_DEPTH,
    _is_plainly_canonical,
    _parse,
    decode,
    decode_all,
    encode,
    read,
)
from dossier.errors import NotCanonicalError

_TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
_VALUES = st.recursive(
    _TEXT | st.booleans() | st.integers(-LARGEST_INTEGER, LARGEST_INTEGER),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(_TEXT, inner, max_size=4),
    max_leaves=20,
)


def test_members_are_ordered_by_utf16_units() -> None:
    """RFC 8785 section 3.2.3, the sorting example: the order printed there."""
    value = {
        "\u20ac": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew Letter Dalet With Dagesh",
        "1": "One",
        "\U0001f600": "Emoji: Grinning Face",
        "\u0080": "Control",
        "\u00f6": "Latin Small Letter O With Diaeresis",
    }
    expected = (
        '{"\\r":"Carriage Return","1":"One","\u0080":"Control",'
        '"\u00f6":"Latin Small Letter O With Diaeresis",'
        '"\u20ac":"Euro Sign","\U0001f600":"Emoji: Grinning Face","\ufb33":"Hebrew Letter Dalet With Dagesh"}'
    )
    assert encode(value) == expected.encode()


def test_strings_are_escaped_as_the_rfc_prints_them() -> None:
    """RFC 8785 section 3.2.4: the UTF-8 bytes of the "string" member of its example, in hex as printed."""
    printed = bytes.fromhex(
        "22 73 74 72 69 6e 67 22 3a 22 e2 82 ac 24 5c 75 30 30 30 66 5c 6e"
        "41 27 42 5c 22 5c 5c 5c 5c 5c 22 2f 22"
    )
    assert encode({"string": '\u20ac$\u000f\u000aA\'B"\\\\"/'}) == b"{" + printed + b"}"


def test_the_largest_integers_stand() -> None:
    """RFC 8785 appendix B: 2**53 - 1 (printed as 9007199254740991 in RFC 7493 section 2.2)."""
    assert encode([LARGEST_INTEGER, -LARGEST_INTEGER, 0]) == b"[9007199254740991,-9007199254740991,0]"


@given(_VALUES)
@settings(deadline=None, max_examples=300)
def test_agrees_with_the_rfc8785_package(value: Any) -> None:
    data = encode(value)
    assert data == rfc8785.dumps(value)
    assert decode(data) == value


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b" 1",
        b"1\n",
        b"-0",
        b"1e0",
        b"1.0",
        b"01",
        b"null",
        b"NaN",
        b"9007199254740992",
        b"18446744073709551616",
        b"1" * 100_000,
        b'"\\u00e9"',
        b'"\\/"',
        b'"\\u001F"',
        b'"\\ud800"',
        b'"\xed\xa0\x80"',
        b'"\xff"',
        b"\xef\xbb\xbf1",
        b'{"b":1,"a":2}',
        b'{"a":1,"a":1}',
        b'{"a":1,}',
        b"[1] ",
        b"[1][2]",
        b"[" * 100_000,
        b'{"a":' * 100_000,
        b"[" * 100_000 + b"]" * 100_000,
        b"{1:2}",
        b"'a'",
        b'"' + b'\\"' * 50_000,
    ],
    ids=lambda data: repr(data[:16]),
)
def test_every_other_form_is_refused(data: bytes) -> None:
    with pytest.raises(NotCanonicalError) as caught:
        decode(data)
    assert caught.value.code == "not-canonical"


@pytest.mark.parametrize(
    "value",
    [None, 1.0, float("nan"), 2**53, -(2**53), "\ud800", {"\udfff": 1}, {1: 2}, b"x", {1, 2}, object()],
    ids=lambda value: type(value).__name__,
)
def test_what_has_no_form_is_refused(value: object) -> None:
    with pytest.raises(NotCanonicalError):
        encode(value)


def test_depth_and_size_are_bounded() -> None:
    deepest = b"[" * MAX_DEPTH + b"]" * MAX_DEPTH
    assert decode(deepest)
    with pytest.raises(NotCanonicalError, match="deep"):
        decode(b"[" + deepest + b"]")
    with pytest.raises(NotCanonicalError, match="more than the 3 allowed"):
        decode(b"[12]", max_bytes=3)


def test_many_small_arrays_are_refused_before_they_take_memory() -> None:
    """8 MiB of empty arrays would become several hundred MiB of objects."""
    with pytest.raises(NotCanonicalError, match="arrays and objects"):
        decode(b"[" + b"[]," * 2_700_000 + b"[]]")


def test_the_place_that_differs_is_named() -> None:
    with pytest.raises(NotCanonicalError, match="at byte 5"):
        decode(b'{"a":  1}')


def test_every_letter_is_written_as_the_quick_way_takes_it() -> None:
    """RFC 8785 section 3.2.2.2, letter by letter: what is quickly accepted is what `encode` gives."""
    letters = [chr(n) for n in range(0x110000) if not 0xD800 <= n < 0xE000]
    quick = msgspec.json.Encoder(order="sorted")
    assert [letter for letter in letters if quick.encode(letter) != encode(letter)] == []


@given(_VALUES, st.data())
@settings(deadline=None, max_examples=400)
def test_what_is_quickly_accepted_is_what_encode_gives(value: Any, data: st.DataObject) -> None:
    """A byte changed, put in or taken out, or a piece of JSON put in: the quick way accepts nothing more."""
    whole = encode(value)
    at = data.draw(st.integers(0, len(whole)))
    piece = data.draw(
        st.sampled_from(
            [b"", b"null", b"1.0", b"1e0", b"-0", b"0" * 16, b"9" * 16, b" ", b'"', b"\\", b"[", b"]"]
        )
        | st.binary(max_size=2)
    )
    changed = whole[:at] + piece + whole[at + data.draw(st.integers(0, 2)) :]
    try:
        parsed = _parse(changed)
    except NotCanonicalError:
        return
    try:
        strict = encode(parsed) == changed
    except NotCanonicalError:
        strict = False
    assert strict or not _is_plainly_canonical(parsed, changed, MAX_DEPTH)


@pytest.mark.parametrize(
    "data",
    [
        b'{"\xee\x80\x80":1,"\xf0\x9f\x98\x80":2}',  # by code points; UTF-16 has them the other way round
        b'{"a":1.5}',
        b'{"a":null}',
        b"[1e5]",
        b"[true,1e5]",
        b"[9007199254740992]",
        b"[" * 33 + b"]" * 33,
        b'["\\"]",' + b"[" * 32 + b"]" * 32 + b"]",  # brackets in a string do not make it flatter
    ],
)
def test_the_quick_way_does_not_take(data: bytes) -> None:
    assert not _is_plainly_canonical(_parse(data), data, MAX_DEPTH)
    with pytest.raises(NotCanonicalError):
        decode(data)


@given(st.lists(st.binary(max_size=12) | _VALUES.map(encode), max_size=5))
@settings(deadline=None)
def test_several_at_once_are_what_each_is(texts: list[bytes]) -> None:
    together = decode_all(texts)
    if together is not None:
        assert together == [decode(text) for text in texts]


@pytest.mark.parametrize(
    "texts",
    [
        [b"[1],[2", b"3]"],  # joined by a comma they would be two arrays
        [b"1,2"],
        [b'"a', b'b"'],
        [b'["a"', b'"b"]', b""],
        [b"[]", b" []"],
        [b"1e0", b"2"],
        [b'{"b":1,"a":2}'],
        [b"[" * 33 + b"]" * 33],
    ],
)
def test_what_is_not_canonical_alone_is_not_so_together(texts: list[bytes]) -> None:
    assert decode_all(texts) is None


def test_several_at_once_nest_as_deep_as_one() -> None:
    deep = b"[" * 32 + b"]" * 32
    assert decode_all([deep, deep]) == [decode(deep)] * 2
    assert decode_all([]) == []


def test_what_was_read_once_is_parsed_once_and_given_to_one_alone() -> None:
    found = read(b'{"a":[1]}')
    first, second = decode(found), decode(found)
    assert first == second == {"a": [1]}
    assert first is not second
    with pytest.raises(NotCanonicalError):
        read(b'{"a": 1}')
