"""Whether a record's pages can be drawn again in minutes: a stranger's may be made to take hours.

Bounds are on what drawing takes its time for: rows and lines, one text and its lines, one list, all texts, a
name that each row says again, turns from one direction of writing to the other, changes of script, long words
with soft hyphens. Letters count as they are printed: one that no font has is written as its number.
Not done here: drawing.
Invariant: a record of 350 parts and 700 photographs is within them, and so is one of 300 and 400 that says as
much of each as the demo jobs do.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from typing import Any

from dossier.seal.opening import Opening

MOST_LETTERS = 1 << 20  # in all texts together
MOST_ROWS = 8_000  # arrays, objects and line ends: more fill hundreds of pages and as many megabytes
LONGEST_TEXT = 50_000  # letters
MOST_LINES = 1_000  # line ends in one text: what is left of it is laid out anew on each page
LONGEST_LIST = 10_000
MOST_REPEATED = 5_000_000  # letters: the longest name of a part or person, were it said again in each row
MOST_TURNS = 100_000  # between left to right and right to left, each of which is a piece of a line of its own
MOST_CHANGES = 200_000  # of script from left to right: each is a piece of a line in another font
LONGEST_WORD = 100  # letters; in a longer one each soft hyphen is tried, which grows with the square
MOST_SQUARES = 20_000_000  # of the lengths of longer ones with soft hyphens
_CONTROLS = frozenset(["LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"])  # UAX 9, table 4
_ONE_FONT = 0x900  # Latin, Greek and Cyrillic letters stand below
_EAST_ASIAN = 0x2E80  # and what is behind
_NAMES = ("part", "name")
_NOT_DRAWN = "annotations"  # `places` in another form
_SOFT_HYPHEN = "\u00ad"
_BETWEEN = re.compile(r"[ \t\r\n]")


def is_large(opening: Opening) -> bool:
    """Whether the payload with what its disclosures say is beyond one of the bounds."""
    found = _Found()
    ahead: list[tuple[str, Any]] = [
        ("", one) for one in (opening.plain, *(one.value for one in opening.disclosed))
    ]
    while ahead:
        name, value = ahead.pop()
        if isinstance(value, str):
            found.add(value, is_name=name in _NAMES)
        elif isinstance(value, dict | list):
            found.rows += 1
            found.longest_list = max(found.longest_list, len(value))
            inside = value.items() if isinstance(value, dict) else [("", one) for one in value]
            ahead += [one for one in inside if one[0] != _NOT_DRAWN]
        if found.is_beyond():
            return True
    return False


@dataclass
class _Found:
    """What was counted so far."""

    rows: int = 0
    letters: int = 0
    longest: int = 0
    most_lines: int = 0
    longest_name: int = 0
    longest_list: int = 0
    turns: int = 0
    changes: int = 0
    squares: int = 0

    def add(self, text: str, *, is_name: bool) -> None:
        length = _printed(text)
        self.longest_name = max(self.longest_name, length if is_name else 0)
        self.letters += length
        self.longest = max(self.longest, length)
        lines = text.count("\n")
        self.rows += lines
        self.most_lines = max(self.most_lines, lines)
        if not text.isascii() and length <= LONGEST_TEXT:
            self.turns += _turns(text)
            self.changes += _changes(text)
            self.squares += _squares(text)

    def is_beyond(self) -> bool:
        return (
            self.letters > MOST_LETTERS
            or self.longest > LONGEST_TEXT
            or self.most_lines > MOST_LINES
            or self.longest_list > LONGEST_LIST
            or self.longest_name * self.rows > MOST_REPEATED
            or self.rows > MOST_ROWS
            or self.turns > MOST_TURNS
            or self.changes > MOST_CHANGES
            or self.squares > MOST_SQUARES
        )


def _printed(text: str) -> int:
    """How many letters of a text stand on a page; of one beyond the bound how many it has."""
    if len(text) > LONGEST_TEXT or (text.isascii() and text.isprintable()):
        return len(text)
    from dossier.pages.setting import printable  # noqa: PLC0415 - reportlab, only where pages are drawn

    return len(printable(text))


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


def _changes(text: str) -> int:
    """How often letters of one script follow letters of another, none of them from right to left."""
    changes, last = 0, None
    for letter in text:
        if unicodedata.bidirectional(letter) == "L":
            script = _script(ord(letter))
            changes, last = changes + (last not in (None, script)), script
    return changes


def _script(code: int) -> int:
    """Whose letters are mostly set in one font; rows of 128 are, between the West's and East Asia's."""
    if code < _ONE_FONT:
        return 0
    return code >> 7 if code < _EAST_ASIAN else _EAST_ASIAN


def _squares(text: str) -> int:
    """The squares of the lengths of long words with soft hyphens."""
    if _SOFT_HYPHEN not in text:
        return 0
    words = (word for word in _BETWEEN.split(text) if len(word) > LONGEST_WORD)
    return sum(len(word) ** 2 for word in words if _SOFT_HYPHEN in word)
