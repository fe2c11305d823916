"""Words are broken where the dictionaries say, held against the library that ships them (pyphen)."""

from __future__ import annotations

import pyphen
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth

from dossier.pages import fonts
from dossier.pages.hyphens import LEAST, fitted, hyphenated

SOFT = "\u00ad"
REFERENCE = {"en": "en_GB", "fr": "fr", "it": "it_IT"}


@pytest.mark.parametrize("language", REFERENCE)
def test_breaks_are_those_of_the_library(language: str) -> None:
    reference = pyphen.Pyphen(lang=REFERENCE[language], left=LEAST, right=LEAST)

    @settings(deadline=None, max_examples=60)
    @given(st.text("abcdefghilmnoprstuvzéè", min_size=1, max_size=24))
    def held_against(word: str) -> None:
        assert hyphenated(word, language) == reference.inserted(word, SOFT)

    held_against()
    for word in ("upholstery", "caractéristiques", "consolidamento", "Restoration"):
        assert hyphenated(word, language) == reference.inserted(word, SOFT)


def test_a_german_compound_is_broken_at_syllables() -> None:
    """By the rules of German spelling (2006, section 107 and after); from memory."""
    broken = hyphenated("Kofferschlossriegelfeder", "de")
    assert broken.split(SOFT) == ["Kof", "fer", "schloss", "rie", "gel", "fe", "der"]


def test_only_what_does_not_fit_is_touched() -> None:
    fonts.register()
    style = ParagraphStyle("cell", fontName=fonts.SANS, fontSize=8)
    text = "Vorderwandbespannung, 9.3 dm2 (Rindsleder) 1234567890123456789012345678901234567890"
    width = stringWidth("Vorderwandbespan-", fonts.SANS, 8)
    shown = fitted(text, style, width, "de")
    assert shown.replace(SOFT, "") == text
    assert [word for word in shown.split() if SOFT in word] == [
        "Vor\u00adder\u00adwand\u00adbe\u00adspan\u00adnung,"
    ]
    assert fitted(text, style, 1000, "de") == text
    assert fitted(text, style, width, "ja") == text


@pytest.mark.parametrize("word", ["", "ab", "x" * 5000, "\u0130stanbul", "\u6f22\u5b57", "..."])
def test_odd_words_come_back_whole(word: str) -> None:
    assert hyphenated(word, "de").replace(SOFT, "") == word
