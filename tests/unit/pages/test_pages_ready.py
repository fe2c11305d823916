"""What is looked up beforehand: afterwards a page in that language needs nothing more from the disk."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.pages import fonts, ready
from dossier.pages.tagging.fontfile import embedded
from dossier.words import Catalogue
from dossier.words.dates import long_date


@pytest.mark.parametrize(("language", "said"), [("en", "14 March 2026"), ("de", "14. März 2026")])
def test_words_and_dates_are_read_from_the_disk_once(
    language: str, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The dates as CLDR has them."""
    ready.make_ready(language, notes=True)

    def refused(*_: object, **__: object) -> None:
        raise AssertionError("a file was opened")

    monkeypatch.setattr(Path, "open", refused)
    monkeypatch.setattr("builtins.open", refused)
    assert long_date(language, "2026-03-14") == said
    assert Catalogue(language).say("pages.running.draft_mark")
    assert all("simple" in vars(embedded(font.name)) for font in fonts.fonts())
