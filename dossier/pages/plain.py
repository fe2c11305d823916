"""Paragraphs of plain text, made without parsing them as markup: most of a dossier's paragraphs are plain.

What comes out is the same as from the parser (a test compares them); it takes a third of the time.
"""

from __future__ import annotations

import re
from typing import Any

from reportlab.lib.styles import ParagraphStyle

from dossier.pages.setting import markup, printable
from dossier.pages.tagging import Text

_PARSED = ("\n", "\xad")  # line ends, and the hyphens that show only where a line breaks
_BLANKS = re.compile("[ \t\n\r\f\v]+")


def plain(text: str, style: ParagraphStyle, role: str = "P") -> Text:
    """A paragraph of any text, printed as it is; line ends are kept."""
    shown = printable(text).strip()
    if not shown or any(mark in shown for mark in _PARSED):
        return Text(markup(text), style, role)
    fragment = _fragment(style).clone(text=_BLANKS.sub(" ", shown))
    return Text(None, style, role, frags=[fragment])


def _fragment(style: ParagraphStyle) -> Any:
    """What reportlab's parser makes of one word in this style, kept with the style."""
    if not hasattr(style, "plain_fragment"):
        style.plain_fragment = Text("x", style).frags[0]
    return style.plain_fragment
