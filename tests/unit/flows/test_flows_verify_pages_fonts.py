"""Where the fonts of the extra are missing, pages that need them cannot be judged."""

from __future__ import annotations

from typing import Any

import pytest

from dossier.flows.verifying import pages_again


@pytest.mark.parametrize(("words", "fails"), [("김민수", True), ("walnut", False)])
def test_missing_fonts_are_no_difference(words: str, fails: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """`differences` raises what its caller says as "could not be compared", before anything is drawn."""
    monkeypatch.setattr(pages_again, "has_extra", lambda: False)
    monkeypatch.setattr(pages_again, "missing_glyphs", lambda text: "".join(c for c in text if c == "수"))
    record: Any = {"condition": words}  # only its text is looked at
    if not fails:
        pages_again._have_fonts(record)
        return
    with pytest.raises(ValueError, match="수"):
        pages_again._have_fonts(record)
