"""PDF values and files as text, against qpdf (through pikepdf) and the form that a dossier is read in."""

from __future__ import annotations

import io
import unicodedata
from typing import Any

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dossier.container import values
from dossier.pages.tagging import Figure, Heading, Text
from dossier.pages.tagging.objects import (
    HEADER,
    MOST_BYTES,
    MOST_IN_NAME,
    BeyondLimitsError,
    File,
    Name,
    Ref,
    text,
)

DECIMALS = 6  # as many as qpdf writes

strings = st.text(st.characters(blacklist_categories=["Cs"]), max_size=20)
plain = st.one_of(
    st.booleans(),
    st.integers(-(10**9), 10**9),
    st.floats(-1e6, 1e6),
    strings,
    st.binary(max_size=20),
    st.text(st.characters(min_codepoint=0x21, max_codepoint=0x17F), min_size=1, max_size=8).map(Name),
    st.integers(1, 10**6).map(Ref),
)
keys = st.sampled_from([f"/{letter}{n}" for letter in "KaZ" for n in range(4)])
anything = st.recursive(
    plain, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(keys, inner, max_size=4), max_leaves=12
)


def read(written: str) -> Any:
    """By qpdf."""
    return pikepdf.Object.parse(f"[ {written} ]".encode("ascii"))[0]


@given(anything)
def test_any_value_has_the_one_form_that_a_dossier_is_read_in(value: Any) -> None:
    written = text(value).encode("ascii")
    assert values.serialize(values.parse(written)) == written


@given(strings)
def test_a_text_is_read_back_by_qpdf(string: str) -> None:
    assert str(read(text(string))) == string


def test_every_character_is_written_as_qpdf_writes_it() -> None:
    """By ISO 32000-1, D.2; but qpdf puts U+FFFD at 9F, which that table leaves undefined."""
    for code in [*range(0x3000), *range(0xFB00, 0x10000)]:
        character = chr(code)
        if unicodedata.category(character) == "Cs":
            continue
        wanted = bytes(pikepdf.String(character)) if character != "\ufffd" else b"\xfe\xff\xff\xfd"
        assert values.parse(text(character).encode("ascii")) == wanted, hex(code)


@pytest.mark.parametrize("start", ["\u00fe\u00ff", "\u00ff\u00fe", "\u00ef\u00bb\u00bf"])
def test_letters_that_look_like_a_mark_of_unicode_are_written_in_it(start: str) -> None:
    assert str(read(text(start + "x"))) == start + "x"
    assert bytes(read(text(start + "x"))) == bytes(pikepdf.String(start + "x"))


@given(st.floats(-1e6, 1e6))
def test_a_number_is_what_qpdf_makes_of_it(number: float) -> None:
    there = io.BytesIO()
    with pikepdf.new() as pdf:
        pdf.Root.X = pikepdf.Array([number])
        pdf.save(there)
    with pikepdf.open(there) as pdf:
        assert read(text(number)) == pdf.Root.X[0]


def test_the_file_is_read_by_qpdf_without_a_word() -> None:
    file = File()
    root, pages = file.reserve(), file.reserve()
    ends_in_return = file.stream(b"of an old machine\r", {})
    page = {"/Type": Name("Page"), "/Parent": pages, "/MediaBox": [0, 0, 595.25, 842], "/Resources": {}}
    file.put(pages, {"/Type": Name("Pages"), "/Count": 1, "/Kids": [file.add(page)]})
    file.put(root, {"/Type": Name("Catalog"), "/Pages": pages, "/X": ends_in_return})
    made = file.whole(file.add({"/Title": "Größe"}), bytes(16))
    assert made.startswith(HEADER)
    with pikepdf.open(io.BytesIO(made), attempt_recovery=False) as pdf:
        assert not pdf.check_pdf_syntax()
        assert bytes(pdf.Root.X.read_raw_bytes()) == b"of an old machine\r"
        assert str(pdf.trailer.Info.Title) == "Größe"
        assert bytes(pdf.trailer.ID[0]) == bytes(16)
        assert not pdf.get_warnings()


def test_another_document_has_another_version_identifier() -> None:
    def made(title: str) -> list[bytes]:
        file = File()
        root, pages = file.reserve(), file.add({"/Type": Name("Pages"), "/Count": 0, "/Kids": []})
        file.put(root, {"/Type": Name("Catalog"), "/Pages": pages})
        with pikepdf.open(io.BytesIO(file.whole(file.add({"/Title": title}), bytes(16)))) as pdf:
            return [bytes(part) for part in pdf.trailer.ID]

    assert made("a") == made("a")
    assert made("a")[0] == made("b")[0]
    assert made("a")[1] != made("b")[1]


def test_what_is_no_value_is_refused() -> None:
    with pytest.raises(TypeError, match="no PDF value: set"):
        text({1})


@pytest.mark.parametrize(
    ("value", "held"),
    [("a", MOST_BYTES), ("\u2022", MOST_BYTES), ("\u05d0", (MOST_BYTES - 2) // 2), (b"\xff", MOST_BYTES)],
)
def test_no_string_is_longer_than_an_archivable_file_may_hold(value: Any, held: int) -> None:
    """ISO 19005-3, 6.1.13: 32,767 bytes; counted by qpdf."""
    assert len(bytes(read(text(value * held)))) in (MOST_BYTES, MOST_BYTES - 1)
    with pytest.raises(BeyondLimitsError):
        text(value * (held + 1))


def test_no_name_is_longer_than_an_archivable_file_may_hold() -> None:
    """ISO 19005-3, 6.1.13: 127 bytes, which a letter beyond ASCII takes several of."""
    assert len(str(read(text(Name("n" * MOST_IN_NAME))))) == MOST_IN_NAME + 1
    for name in ("n" * (MOST_IN_NAME + 1), "\u6f22" * 43):
        with pytest.raises(BeyondLimitsError):
            text(Name(name))


def test_what_is_said_of_a_thing_is_shortened_and_what_is_read_is_not_lost(
    build: Any, styles: Any, assert_conforming: Any
) -> None:
    """By the validator, which knows the limits; a text that cannot be read in full is refused."""
    words = "\u0436" * 40_000
    pdf = build(
        [Heading("Words", 1, styles.heading), Figure(lambda canvas, *_: canvas.rect(0, 0, 9, 9), 9, 9, words)]
    )
    assert_conforming(pdf)
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        said = [
            str(one.Alt) for one in opened.objects if isinstance(one, pikepdf.Dictionary) and "/Alt" in one
        ]
    assert [(len(one), one[-1]) for one in said] == [(8000, "\u2026")]
    with pytest.raises(BeyondLimitsError) as refused:
        build([Heading("Words", 1, styles.heading), Text("\u05d0 " * 20_000, styles.body)])
    assert refused.value.begins.startswith("\u05d0 \u05d0")
