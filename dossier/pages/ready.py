"""What pages need once in a process, looked up before the first of them is drawn.

For whoever has a moment to spare before it has something to draw: without it the same is looked up later.
"""

from __future__ import annotations

import qrcode.main  # noqa: F401 - brought in here, so that the first code need not wait for it

from dossier.pages import code, fonts  # noqa: F401 - `code`: as above
from dossier.pages.tagging.fontfile import embedded
from dossier.pages.tagging.profile import srgb
from dossier.words import Catalogue
from dossier.words.dates import long_date

_ANY_DAY, _ANY_MONTH = "2000-01-01", "2000-01"


def make_ready(language: str, *, notes: bool) -> None:
    """Fonts and what each can draw, the words of the pages and of the record, how dates are written, sRGB.

    `notes`: whether there are any, which are read as markup.
    """
    for font in fonts.register():
        _ = embedded(font.name).simple
    words = Catalogue(language)
    words.has("pages.running.draft_mark")
    words.token("")
    for text in (_ANY_DAY, _ANY_MONTH):
        long_date(language, text)
    srgb()
    if notes:
        from dossier.pages import markdown  # noqa: F401, PLC0415 - start-up: only where there are notes
