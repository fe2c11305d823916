"""What laying out takes is counted as it goes: a stranger's pages cannot take hours (FORMAT.md, check 7)."""

from __future__ import annotations

import unicodedata
from contextlib import nullcontext
from typing import Any

import pytest
from reportlab.lib.styles import ParagraphStyle

from dossier.errors import TooMuchError
from dossier.pages import fonts
from dossier.pages.tagging.boxes import fill
from dossier.pages.tagging.effort import within
from dossier.pages.tagging.text import Text, plain


@pytest.mark.parametrize(
    ("more", "less"),
    [
        ("x " * 800, "x " * 400),  # what is left of a text is broken anew on each page
        ("x" * 1600, "x" * 800),  # also of a word that is longer than a page
        ("x\n" * 60, "x\n" * 30),
        ("\u05d0\u05d1 " * 100, "ab " * 100),  # set letter by letter
        ("a\u4e2d" * 100, "\u4e2d" * 200),  # each letter is in another font than the one before
        ("a \u05d0 " * 100, "\u05d0 " * 200),  # and in another direction
    ],
)
def test_what_takes_longer_to_lay_out_counts_for_more(more: str, less: str) -> None:
    """A bound that lets the one through refuses the other, also where it is no longer."""
    allowed = len(more) * _effort(less) // len(less)
    with pytest.raises(TooMuchError), within(allowed):
        _lay_out(more)
    with within(allowed):
        _lay_out(less)


def test_stretches_in_other_languages_count_when_they_are_made() -> None:
    """Each is an object of reportlab's, half a kilobyte: twenty such texts of 50,000 letters took 619 MB."""
    for text in ("a\u05d0" * 500, "a" * 500 + "\u05d0" * 500):
        with pytest.raises(TooMuchError) if text[1] != "a" else nullcontext(), within(10_000):
            Text(plain(text), ParagraphStyle("plain", fontName=fonts.SANS))


def test_a_letter_with_thousands_of_marks_is_not_composed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sorting its marks takes the square of their number: 50,000 took 5 s, in one text within the bounds."""
    lengths: list[int] = []
    normalize = unicodedata.normalize

    def noted(form: Any, text: str) -> str:
        lengths.append(len(text))
        return normalize(form, text)

    monkeypatch.setattr(unicodedata, "normalize", noted)
    of_its_own = (
        "e\u0301\u0317\u032d\u0301\u0317"  # what was composed once is kept, whichever test it was for
    )
    _lay_out(of_its_own + " a" + "\u0301\u0316" * 500)
    assert len(of_its_own) in lengths
    assert max(lengths) < 40


def _effort(text: str) -> int:
    """The least that must be allowed for a text, within 10 %."""
    most = 500
    while True:
        try:
            with within(most):
                _lay_out(text)
            return most
        except TooMuchError:
            most += most // 10


def _lay_out(text: str) -> None:
    fonts.register()
    rest: list[Any] = [Text(plain(text), ParagraphStyle("plain", fontName=fonts.SANS))]
    while rest:
        rest = fill(rest, 100.0, 60.0, force=True).rest
