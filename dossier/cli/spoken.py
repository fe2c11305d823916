"""What a command prints stays on its line: names of files and words in them may be anybody's.

What a reader may want to type again (names, paths, commands) is printed as it is spelt (`plain`).

Not here: what is printed where (`show`, `result_text`).
"""

from __future__ import annotations

import unicodedata
from pathlib import Path

from dossier.words import Catalogue

_JOINERS = "\u200c\u200d"  # zero width non-joiner and joiner (UAX 31, 2.3)


class Spoken(Catalogue):
    """The words of a command, for a terminal: what is filled in is printed as `plain`."""

    def say(self, key: str, /, **values: object) -> str:
        filled = {
            name: plain(str(value)) if isinstance(value, str | Path) else value
            for name, value in values.items()
        }
        return super().say(key, **filled)


def plain(text: str) -> str:
    """On one line: names of files may be anything, and must not move the cursor."""
    return "".join(c if _is_harmless(c) else " " if c == "\t" else "\N{REPLACEMENT CHARACTER}" for c in text)


def _is_harmless(sign: str) -> bool:
    """Letters, signs and blanks of any script, and what joins or parts letters within words of some."""
    return sign.isprintable() or unicodedata.category(sign) == "Zs" or sign in _JOINERS


def line(text: str) -> str:
    """The same, composed (UAX 15, NFC): a Mac may spell ü as u and a mark, which a console of one code page
    cannot show.
    """
    return unicodedata.normalize("NFC", plain(text))
