"""One value, one text."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pikepdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.container.values import Name, Ref, Value, parse, serialize, text_of, text_string
from dossier.errors import NotCanonicalError

names = st.text(st.characters(max_codepoint=255), max_size=12).map(lambda t: Name("/" + t))
atoms = st.one_of(
    st.booleans(),
    st.integers(-(10**17), 10**17),
    st.decimals(-(10**9), 10**9, places=4),
    names,
    st.binary(max_size=30),
    st.integers(1, 10**9).map(Ref),
)
tree = st.recursive(
    st.one_of(st.none(), atoms),
    lambda inner: st.one_of(
        st.lists(inner, max_size=5), st.dictionaries(names, inner.filter(lambda v: v is not None), max_size=5)
    ),
    max_leaves=20,
)


@given(tree)
@settings(deadline=None, max_examples=150)
def test_there_and_back(value: Value) -> None:
    text = serialize(value)
    assert parse(text) == value
    assert serialize(parse(text)) == text
    assert b"\n" not in text


TOKENS = [
    b"<<",
    b">>",
    b"[",
    b"]",
    b"/A",
    b"/B",
    b"1",
    b"0",
    b"R",
    b"(x)",
    b"<00>",
    b"null",
    b" ",
    b"-0",
    b"1.5",
]
texts = st.binary(max_size=60) | st.lists(st.sampled_from(TOKENS), max_size=12).map(b" ".join)


@given(texts)
@settings(deadline=None, max_examples=400)
def test_whatever_is_read_is_written_the_same(text: bytes) -> None:
    try:
        value = parse(text)
    except NotCanonicalError:
        return
    assert serialize(value) == text


# pikepdf gives names as UTF-8, and no name with a null byte or none at all.
ascii_names = st.text(st.characters(min_codepoint=1, max_codepoint=127), min_size=1, max_size=12)
simple = atoms.filter(lambda value: not isinstance(value, Ref | Name))


@given(st.dictionaries(ascii_names.map(lambda t: Name("/" + t)), simple, max_size=5))
@settings(deadline=None, max_examples=200)
def test_qpdf_reads_the_same(value: dict[Name, Any]) -> None:
    """An independent reader of ISO 32000-1 7.3 (qpdf, through pikepdf)."""
    read = pikepdf.Object.parse(serialize(value))
    assert isinstance(read, pikepdf.Dictionary)
    assert {key: plain(read[key]) for key in dict(read)} == value


def plain(value: Any) -> Any:
    if isinstance(value, pikepdf.String):
        return bytes(value)
    return value


DEEP = b"[ " * 60 + b"] " * 59 + b"]"
REFUSED = [
    *[b"", b" 1", b"1 ", b"1  2", b"01", b"-0", b"+1", b"1.", b".5", b"9" * 30, b"1e5", b"True", b"%c", DEEP],
    *[b"<< /B 1 /A 2 >>", b"<< /A 1 /A 2 >>", b"<< /A null >>", b"<< /A >>", b"<< 1 2 >>", b"<<>>"],
    *[b"[ 1", b"1 ]", b"[ ]]", b"[ << ] >>", b"<61>", b"<AB>", b"< ab >", b"(\n)", b"(\\n)"],
    *[b"/#41", b"/#2F", b"/a#", b"1 1 R", b"0 0 R", b"1 0 R 2", b"R"],
]


@pytest.mark.parametrize("text", REFUSED)
def test_another_text_for_a_value_is_refused(text: bytes) -> None:
    with pytest.raises(NotCanonicalError):
        parse(text)


def test_texts() -> None:
    assert text_string("plain") == b"plain"
    assert text_of(text_string("zw\u00f6lf \u2014 \U0001f4bc")) == "zw\u00f6lf \u2014 \U0001f4bc"
    assert serialize(Decimal("1.50")) == b"1.50"
