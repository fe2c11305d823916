"""Words as they are compared, against what Unicode Standard Annex 15 gives of a whole text (unicodedata)."""

from __future__ import annotations

import unicodedata
from typing import Any

import pytest

from dossier.archive import catalogue
from dossier.words import compare

MARKS = "\u0301\u0316"  # of two classes: put in order, they change places
TEXTS = (
    "Überzug, Größe 3½",
    "e\u0301t\u00e9",
    f"a{MARKS}b",
    "か\u3099\u304c\uff76\uff9e",
    "\u1112\u1161\u11ab",
    "\u0f73\u0f73",
)


@pytest.mark.parametrize("text", TEXTS, ids=ascii)
def test_letter_by_letter_gives_what_the_whole_text_gives(text: str) -> None:
    marked = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(c for c in marked if c in "\u3099\u309a" or not unicodedata.combining(c))
    assert compare.normal(text) == " ".join(
        compare._WORD.findall(unicodedata.normalize("NFC", bare).casefold())
    )


def test_no_letter_with_thousands_of_marks_is_put_in_order(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its marks would be sorted, in the square of their number; a stranger's record may have such a name."""
    seen: list[int] = []

    def normalize(form: Any, text: str) -> str:
        seen.append(sum(map(bool, map(unicodedata.combining, text))))
        return text

    monkeypatch.setattr(compare.unicodedata, "normalize", normalize)
    compare._bare.cache_clear()
    name = "ash " + "a" + MARKS * 5000
    compare.normal(name)
    catalogue._normal(name)
    compare._bare.cache_clear()
    assert max(seen) == 1
