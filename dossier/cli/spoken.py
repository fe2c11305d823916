"""What a command prints stays on its line: names of files and words in them may be anybody's.

Not here: what is printed where (`show`, `result_text`).
"""

from __future__ import annotations

import unicodedata
from pathlib import Path

from dossier.words import Catalogue


class Spoken(Catalogue):
    """The words of a command, for a terminal: what is filled in is printed by `line`."""

    def say(self, key: str, /, **values: object) -> str:
        plain = {
            name: line(str(value)) if isinstance(value, str | Path) else value
            for name, value in values.items()
        }
        return super().say(key, **plain)


def line(text: str) -> str:
    """On one line: names of files may be anything, and must not move the cursor.

    Composed (UAX 15, NFC): a Mac may spell ü as u and a mark, which a console of one code page cannot show.
    """
    plain = "".join(c if c.isprintable() or c == "\u00a0" else "\N{REPLACEMENT CHARACTER}" for c in text)
    return unicodedata.normalize("NFC", plain)
