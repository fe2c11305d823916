"""The number of the way in which pages are drawn: one more whenever any record gives other pages than before.

It stands in `pages.json` beside the program's version, so that a check knows whether pages that differ were
drawn otherwise (could not tell) or were changed (does not match). Not done here: drawing. A test holds it
against what is drawn (tests/unit/pages/test_pages_drawing.py).
"""

from __future__ import annotations

from dossier import __version__

DRAWING = 22
PROGRAM = f"dossier {__version__}, pages {DRAWING}"
