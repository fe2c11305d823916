"""Whether a record's pages can be drawn again in seconds: a stranger's may be made to take hours.

Laying them out is counted as it goes (`MOST_EFFORT`); the other bounds are on what takes its time before that
or within one step: rows and lines, one text, one list, all texts, a name that each row says again, long words
with soft hyphens, letters of too many kinds. Not done here: drawing.
Invariant: a record of 350 parts and 700 photographs is within them, and so is one of 300 and 400 that says as
much of each as the demo jobs do (in Japanese, which is set letter by letter, of 100).
"""

from __future__ import annotations

import re
from typing import Any

import msgspec

from dossier.seal.opening import Opening

MOST_EFFORT = 4_000_000  # units of `pages.tagging.effort`, some 5 s
MOST_LETTERS = 1 << 20  # in all texts together
MOST_ROWS = 8_000  # arrays, objects and line ends: more fill hundreds of pages and as many megabytes
LONGEST_TEXT = 50_000  # letters
LONGEST_LIST = 10_000
MOST_REPEATED = 5_000_000  # letters: the longest name of a part or person, were it said again in each row
LONGEST_WORD = 100  # letters; in a longer one each soft hyphen is tried, which grows with the square
MOST_SQUARES = 20_000_000  # of the lengths of longer ones with soft hyphens
MOST_DIFFERENT = 5_000  # letters: what fonts know of more is not kept, and all are embedded
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


class _Found(msgspec.Struct):
    """What was counted so far."""

    rows: int = 0
    letters: int = 0
    longest: int = 0
    longest_name: int = 0
    longest_list: int = 0
    squares: int = 0
    different: set[str] = msgspec.field(default_factory=set)

    def add(self, text: str, *, is_name: bool) -> None:
        length = len(text)
        self.longest_name = max(self.longest_name, length if is_name else 0)
        self.letters += length
        self.longest = max(self.longest, length)
        self.rows += text.count("\n")
        self.different.update(text)
        self.squares += _squares(text) if length <= LONGEST_TEXT else 0

    def is_beyond(self) -> bool:
        return (
            self.letters > MOST_LETTERS
            or self.longest > LONGEST_TEXT
            or self.longest_list > LONGEST_LIST
            or self.longest_name * self.rows > MOST_REPEATED
            or self.rows > MOST_ROWS
            or self.squares > MOST_SQUARES
            or len(self.different) > MOST_DIFFERENT
        )


def _squares(text: str) -> int:
    """The squares of the lengths of long words with soft hyphens."""
    if _SOFT_HYPHEN not in text:
        return 0
    words = (word for word in _BETWEEN.split(text) if len(word) > LONGEST_WORD)
    return sum(len(word) ** 2 for word in words if _SOFT_HYPHEN in word)
