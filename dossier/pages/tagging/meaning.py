"""What a character means to a program that reads text from a page (ISO 19005-3, 6.2.11.7).

Private, unassigned and control characters have no meaning that can be said; they read as U+FFFD.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

_NO_MEANING = "Cc", "Cs", "Co", "Cn"  # Unicode categories that ToUnicode cannot carry


@lru_cache(maxsize=4096)
def meaning(character: str) -> str:
    """The character that extracted text shows: U+FFFD where this one stands for none."""
    if unicodedata.category(character) in _NO_MEANING or character == "\ufeff":
        return "\ufffd"
    return character


def readable(text: str) -> str:
    """`text` as extracted text shows it; line ends stay."""
    return "".join(c if c == "\n" else meaning(c) for c in text)
