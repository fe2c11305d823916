"""Whether a record's pages can be drawn again in minutes: a stranger's may be made to take hours.

Pure. Bounds are on what drawing takes its time for: rows and lines, one text, one list, all texts, turns from
one direction of writing to the other, long words with soft hyphens. Not done here: drawing.
Invariant: a record of 1,000 parts and 2,000 photographs is within them.
"""

from __future__ import annotations

import re
import unicodedata
from typing import Any

from dossier.seal.opening import Opening

MOST_LETTERS = 2 << 20  # in all texts together
MOST_ROWS = 20_000  # arrays, objects and line ends; one of 1,000 parts has about 10,000
LONGEST_TEXT = 50_000  # letters
LONGEST_LIST = 10_000
MOST_TURNS = 100_000  # between left to right and right to left, each of which is a piece of a line of its own
LONGEST_WORD = 100  # letters; in a longer one each soft hyphen is tried, which grows with the square
MOST_SQUARES = 20_000_000  # of the lengths of longer ones with soft hyphens
_CONTROLS = frozenset(["LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"])  # UAX 9, table 4
_SOFT_HYPHEN = "\u00ad"
_BETWEEN = re.compile(r"[ \t\r\n]")


def is_large(opening: Opening) -> bool:
    """Whether the payload with what its disclosures say is beyond one of the bounds."""
    rows = letters = turns = squares = 0
    ahead: list[Any] = [opening.plain, *(one.value for one in opening.disclosed)]
    while ahead:
        value = ahead.pop()
        if isinstance(value, str):
            letters += len(value)
            rows += value.count("\n")
            if len(value) > LONGEST_TEXT or letters > MOST_LETTERS:
                return True
            if not value.isascii():
                turns, squares = turns + _turns(value), squares + _squares(value)
        elif isinstance(value, dict | list):
            rows += 1
            if len(value) > LONGEST_LIST:
                return True
            ahead += value.values() if isinstance(value, dict) else value
        if rows > MOST_ROWS or turns > MOST_TURNS or squares > MOST_SQUARES:
            return True
    return False


def _turns(text: str) -> int:
    """How often letters of one direction follow letters of the other, and the marks that say so."""
    turns, last = 0, "L"
    for kind in map(unicodedata.bidirectional, text):
        if kind in _CONTROLS:
            turns += 1
        elif kind in ("L", "R", "AL"):
            side = "L" if kind == "L" else "R"
            turns, last = turns + (side != last), side
    return turns


def _squares(text: str) -> int:
    """The squares of the lengths of long words with soft hyphens."""
    if _SOFT_HYPHEN not in text:
        return 0
    words = (word for word in _BETWEEN.split(text) if len(word) > LONGEST_WORD)
    return sum(len(word) ** 2 for word in words if _SOFT_HYPHEN in word)
