"""Cutting a text short where a reader sees one character end (a plain form of Unicode Annex 29).

Not done here: the whole of that annex. A cut never parts a letter from its accents, an emoji from its
joiners, tones or selectors, the two halves of a flag, or the letters of one Korean syllable.
"""

from __future__ import annotations

import unicodedata

ELLIPSIS = "\u2026"
_JOINER = "\u200d"
_WORD = 12  # how far back a cut looks for a space


def shortened(text: str, most: int) -> str:
    """`text` in at most `most` characters, ending in an ellipsis where it was cut."""
    if len(text) <= most:
        return text
    cut = most - 1
    while cut > 0 and not _ends_before(text, cut):
        cut -= 1
    space = text.rfind(" ", max(cut - _WORD, 1), cut + 1)
    return text[: space if space > 0 else cut].rstrip() + ELLIPSIS


def _ends_before(text: str, index: int) -> bool:
    """Whether a character as a reader sees it ends before `text[index]`."""
    before, after = text[index - 1], text[index]
    if _extends(after) or before == _JOINER or _is_jamo_pair(before, after):
        return False
    return not (_is_flag(after) and _flags_before(text, index) % 2)


def _extends(letter: str) -> bool:
    """Marks, joiners, selectors and skin tones, which belong to what stands before them."""
    modifier = "\U0001f3fb" <= letter <= "\U0001f3ff"
    return modifier or letter in (_JOINER, "\u200c") or unicodedata.category(letter) in ("Mn", "Mc", "Me")


def _is_jamo_pair(before: str, after: str) -> bool:
    """A vowel or final consonant of a syllable written in Hangul jamo (U+1160 to U+11FF)."""
    return "\u1160" <= after <= "\u11ff" and (
        "\u1100" <= before <= "\u11ff" or "\uac00" <= before <= "\ud7a3"
    )


def _is_flag(letter: str) -> bool:
    return "\U0001f1e6" <= letter <= "\U0001f1ff"


def _flags_before(text: str, index: int) -> int:
    """How many regional indicators stand together just before `index`."""
    count = 0
    while count < index and _is_flag(text[index - count - 1]):
        count += 1
    return count
