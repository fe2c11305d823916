"""The language of a stretch of text: said where its letters tell, read back from the structure.

Checked against ISO 32000-1, 14.9.2 (Lang of structure elements), page-validation's PDF/UA-1 (clause 7.2), and
the character sets of the languages (JIS X 0208, GB 2312, Big5) as Python's codecs have them.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dossier.pages import fonts
from dossier.pages.tagging import DataTable, Document, Heading, Meta, Text, plain
from dossier.pages.tagging.languages import by_language, speaks

Build = Callable[..., bytes]


@pytest.mark.parametrize(
    ("text", "language"),
    [
        ("ليلى حداد", "ar"),
        ("محمد", "und-Arab"),  # the same letters in Arabic, Persian and Urdu
        ("گلچین پژمان", "fa"),
        ("יוסף כהן", "he"),
        ("Ἀθηνᾶ Παπαδοπούλου", "el"),
        ("Анна Петрова", "und-Cyrl"),
        ("Рыжов", "ru"),
        ("Ґалаган", "uk"),
        ("髙橋ヨシ子", "ja"),
        ("張偉", "und-Hani"),  # traditional characters that JIS has too
        ("张伟", "zh-Hans"),
        ("김민수", "ko"),
        ("กรุงเทพมหานคร", "th"),
        ("Łukasz Þóra", ""),
        ("12.50 €", ""),
        ("Ω", ""),
        ("(1998) כהן, 12!", "he"),
    ],
)
def test_letters_of_one_kind_name_the_whole(text: str, language: str) -> None:
    assert by_language(text) == [(language, text)]


@pytest.mark.parametrize("word", ["थैला", "กระเป๋า", "שָׁלוֹםָ"])
def test_a_mark_stays_with_its_letter_beside_another_script(word: str) -> None:
    """UAX 29, GB9 and GB9a: no boundary before Extend and SpacingMark; cut off, it has a dotted circle."""
    assert by_language(f"{word} bag")[0][1] in (word, f"{word} ")


@pytest.mark.parametrize(
    ("text", "stretches"),
    [
        ("Owner: יוסף כהן, 12 King St.", [("", "Owner: "), ("he", "יוסף כהן"), ("", ", 12 King St.")]),
        ("a μm, ΔE 2", [("", "a μm, ΔE 2")]),
        ("marked 東京ギター no. 3", [("", "marked "), ("ja", "東京ギター"), ("", " no. 3")]),
    ],
)
def test_a_mixed_text_is_cut_at_its_letters(text: str, stretches: list[tuple[str, str]]) -> None:
    assert by_language(text) == stretches


@given(st.text(st.sampled_from("a1 .,(אבكپ國国ギ가ГыΔΩ\n"), max_size=30))
def test_nothing_is_lost(text: str) -> None:
    assert "".join(stretch for _, stretch in by_language(text)) == text


@pytest.mark.parametrize(
    ("language", "document", "said"),
    [
        ("ja", "ja", False),
        ("und-Hani", "ja", False),
        ("ja", "de", True),
        ("zh-Hant", "zh", False),
        ("", "en", False),
    ],
)
def test_the_language_of_the_document_is_not_said_again(language: str, document: str, said: bool) -> None:
    assert speaks(language, document) is said


def test_every_stretch_says_its_language(build: Build, styles: Any, assert_conforming: Any) -> None:
    body = styles.body
    story = [
        Heading(plain("Work-box of ليلى حداد"), 1, styles.heading),
        Text("ليلى حداد", body),
        Text("Owner: יוסף כהן, at 12 King St.", body),
        Text("Marked 東京ギター inside, and Παπαδοπούλου below.", body),
        Text('Рыжов, see <a href="https://check.example/r">the page</a>', body),
        DataTable(["Part", "Name"], [["1", "יוסף"], ["2", "lid of the חדר box"]], [80, 120], styles.look),
    ]
    pdf = build(story)
    assert_conforming(pdf)
    assert list(_said(pdf)) == [
        ("ar", "ليلى حداد"), ("ar", "ليلى حداد"), ("he", "יוסף כהן"), ("ja", ""), ("el", ""), ("ru", ""),
        ("he", "יוסף"), ("he", "חדר"),
    ]  # fmt: skip


def test_a_japanese_document_marks_no_japanese(build: Build, styles: Any, meta: Meta) -> None:
    story = [Heading("革鞄", 1, styles.heading), Text("持ち手は יוסף が作った。", styles.body)]
    made = Document(replace(meta, language="ja"), (400, 400), (40, 40, 40, 40), fonts.fonts()).build(story)
    assert list(_said(made)) == [("he", "יוסף")]


def _said(pdf: bytes) -> Iterator[tuple[str, str]]:
    """(Lang, ActualText) of each structure element that has a language, in reading order."""
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        yield from list(_below(opened.Root.StructTreeRoot.K))


def _below(kid: Any) -> Iterator[tuple[str, str]]:
    if isinstance(kid, pikepdf.Array):
        for one in kid:
            yield from _below(one)
    elif isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
        if "/Lang" in kid:
            yield str(kid.Lang), str(kid.get("/ActualText", ""))
        yield from _below(kid.get("/K", pikepdf.Array([])))
