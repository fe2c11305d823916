"""Names for the marks of people. The cases are invented: how one is typed stands nowhere outside."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dossier.words.marks import marks_in, marks_of, with_names

NAMES = {
    "AB": "Ada Binder",
    "Lo": "Lou Obi",
    "an": "Annis Ode",
    "De": "Dela Roy",
    "ÄB": "Äda Born",
    "A/B": "Both",
}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("AB", "Ada Binder"),
        ("Lo and AB", "Lou Obi and Ada Binder"),
        ("AB,Lo", "Ada Binder,Lou Obi"),
        ("Lo , by hand", "Lou Obi , by hand"),
        ("cut to length by AB", "cut to length by Ada Binder"),
        ("by hand (Lo)", "by hand (Lou Obi)"),
        ("von ÄB", "von Äda Born"),
        ("A/B", "Both"),
        ("bought from an old shop", "bought from an old shop"),
        ("De Vries, locksmith", "De Vries, locksmith"),
        ("Lomax; AB-steel; ABBA", "Lomax; AB-steel; ABBA"),
        ("", ""),
    ],
)
def test_a_mark_by_itself_or_of_capitals_has_its_name(text: str, said: str) -> None:
    assert with_names(text, NAMES) == said


@given(
    st.lists(st.sampled_from([*NAMES, "Lomax", "by", " ", ", ", " and ", "\n", "(", ")", "-"])).map("".join)
)
def test_names_are_those_of_the_marks_found(text: str) -> None:
    """What the pages write of a record that has these people alone is what the sentences write of all."""
    found = marks_of(text, NAMES)
    assert with_names(text, {mark: NAMES[mark] for mark in found}) == with_names(text, NAMES)
    assert (with_names(text, NAMES) == text) == (not found)


def test_what_is_asked_about_is_each_by_itself() -> None:
    assert marks_in("M.B. and AB, by hand") == ("M.B. and AB, by hand", "M.B.", "AB", "by hand")


def test_spaces_without_end_are_gone_over_once() -> None:
    """In the square of their number these would take an hour."""
    text = f"AB{' ' * 1_000_000}x and{' ' * 1_000_000}Lo"
    assert with_names(text, NAMES) == text.replace("AB", NAMES["AB"]).replace("Lo", NAMES["Lo"])
