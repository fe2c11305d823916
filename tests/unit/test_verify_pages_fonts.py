"""Where the fonts of the extra are missing, pages that need them cannot be judged."""

from __future__ import annotations

from typing import Any

import pytest

from dossier import verify_pages


@pytest.mark.parametrize(("words", "fails"), [("김민수", True), ("walnut", False)])
def test_missing_fonts_are_no_difference(words: str, fails: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """`differences` raises what its caller says as "could not be compared", before anything is drawn."""
    monkeypatch.setattr(verify_pages, "has_extra", lambda: False)
    monkeypatch.setattr(verify_pages, "missing_glyphs", lambda text: "".join(c for c in text if c == "수"))
    record: Any = {"condition": words}  # only its text is looked at
    if not fails:
        verify_pages._have_fonts(record)
        return
    with pytest.raises(ValueError, match="수"):
        verify_pages._have_fonts(record)
