"""Directions: cases of UAX #9, and agreement with another implementation (python-bidi)."""

from __future__ import annotations

import re
from unicodedata import category

import pytest
from bidi import get_display
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from dossier.pages.tagging import bidi
from dossier.pages.tagging.composed import base_of

# Rules of UAX #9 on small texts; Hebrew letters stand for R, Arabic ones for AL. Expected levels worked out
# by hand from the rules (no file of the Unicode Character Database is read).
CASES = [
    ("abc", 0, [0, 0, 0]),
    ("אבג", 1, [1, 1, 1]),  # P2, P3
    ("a אב", 0, [0, 0, 1, 1]),  # N1, N2
    ("אב a", 1, [1, 1, 1, 2]),
    ("א12", 1, [1, 2, 2]),  # I2
    ("ع12", 1, [1, 2, 2]),  # W2: Arabic numbers after an Arabic letter
    ("א 1,2", 1, [1, 1, 2, 2, 2]),  # W4
    ("א 5%", 1, [1, 1, 2, 2]),  # W5
    ("a(ב)c", 0, [0, 0, 1, 0, 0]),  # N0: nothing of the embedding's direction but around
    ("א(ב)", 1, [1, 1, 1, 1]),
    ("a\u2067ב\u2069c", 0, [0, 0, 1, 0, 0]),  # X5a: isolate
    ("a\u202eb\u202cc", 0, [0, 0, 1, 1, 0]),  # X5: override
    ("א\u05b8ב", 1, [1, 1, 1]),  # W1: a mark goes with its letter
]


@pytest.mark.parametrize(("text", "base", "levels"), CASES, ids=range(len(CASES)))
def test_levels_by_the_rules(text: str, base: int, levels: list[int]) -> None:
    assert bidi.base_level(text) == base
    assert bidi.levels(text) == levels


_LETTERS = st.text(
    st.sampled_from(
        "abאבגעا ب12٣٤,.+-%$()[] !\u0301\u05b0\u2067\u2066\u2068\u2069\u202b\u202c\u202e\u202a\u202d"
    ),
    max_size=24,
)
_OTHER_WAY = str.maketrans(")]", "([")  # the reference mirrors brackets, here the shaper does


def _visible(text: str) -> str:
    """Without the characters that show nothing, which implementations leave in different places."""
    return "".join(c for c in text.translate(_OTHER_WAY) if category(c) != "Cf")


def test_space_at_the_end_of_a_line_goes_back_to_the_level_of_the_line() -> None:
    """UAX 9, L1, also after an embedding that X9 takes out. FriBidi 1.0.8 says 2 1 1."""
    text = "1\u202a "
    assert bidi.line_levels(text, bidi.levels(text, 1), 1)[::2] == [2, 1]


@settings(max_examples=400, deadline=None)
@given(text=_LETTERS, base=st.sampled_from([0, 1]))
def test_order_agrees_with_another_implementation(text: str, base: int) -> None:
    # There the library of the registry leaves such a space at the level of the embedding.
    assume(not re.search(r"[\u202a-\u202e].*\s[\u202a-\u202e\u2066-\u2069]*$", text))
    levels = bidi.line_levels(text, bidi.levels(text, base), base)
    order = bidi.visual_order(levels)
    assert sorted(order) == list(range(len(text)))
    drawn = "".join(text[i] for i in order)
    assert _visible(drawn) == _visible(get_display(text, base_dir="LR"[base]))


def test_an_isolate_that_is_the_whole_text_gives_its_direction() -> None:
    """UAX 9, HL1; without the rule P2 looks past isolates, as the library of the registry does."""
    name = "\u20681 אבג\u2069"
    assert (base_of(name), base_of(f"{name}, {name}"), base_of("\u2068a\u2069")) == (1, 0, 0)
