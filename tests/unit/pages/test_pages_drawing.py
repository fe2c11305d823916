"""Whoever changes what is drawn gives it another number, so that no check calls older pages altered.

Compared is what check 7 compares: decoded content and resources of the pages, in every language, and the text
on how to check. After a change that is meant, add one to `DRAWING` in dossier/pages/drawing.py, then

    DOSSIER_DRAWING=write pytest tests/unit/pages/test_pages_drawing.py
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from dossier.container import compare
from dossier.container.read import DEFAULT_LIMITS
from dossier.model.record import OpenRecord
from dossier.pages import document, how_to_check
from dossier.pages.drawing import DRAWING
from dossier.words import LANGUAGES

KNOWN = Path(__file__).resolve().parents[2] / "data" / "drawing.json"


def digests(record: OpenRecord, pictures: Mapping[str, bytes], page_options: Any) -> dict[str, str]:
    found = {}
    for language in LANGUAGES:
        options = page_options(language=language)
        drawn = compare._document(document.draw(record, pictures, options), DEFAULT_LIMITS)
        said = how_to_check.text(record, options, stamped=True)
        whole = json.dumps([drawn.page_digests(), sorted(drawn.part_digests().items()), said])
        found[language] = hashlib.sha256(whole.encode()).hexdigest()
    return found


def test_other_pages_have_another_number(
    rich_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Any
) -> None:
    known: dict[str, Any] = json.loads(KNOWN.read_text(encoding="utf-8"))
    found = digests(rich_record, rich_pictures, page_options)
    if os.environ.get("DOSSIER_DRAWING") == "write" and known["number"] != DRAWING:
        text = json.dumps({"number": DRAWING, "digests": found}, indent=1)
        KNOWN.write_text(f"{text}\n", encoding="utf-8")
        return
    changed = [language for language in LANGUAGES if known["digests"].get(language) != found[language]]
    assert changed == [], "other pages are drawn than before: see the words at the head of this file"
    assert known["number"] == DRAWING, "written for another number: see the words at the head of this file"
