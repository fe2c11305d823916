"""Marks of people in a text that takes any words ("HS", "HS and Lo", "Hs, by hand"), and names for them.

Not here: where only a mark will do (`intake.rows.known_person`). Pure.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping

_BETWEEN = re.compile(r"([,;/&+()\n]|\s(?:and|und|et|e|y)\s)")
_WORD = re.compile(r"([\w-]{2,})")


def marks_in(text: str) -> tuple[str, ...]:
    """What is typed for a person, whole and one by one ("AB, MB"; "AB and MB"), be it a mark or not."""
    return tuple(dict.fromkeys(filter(None, (text, *map(str.strip, _BETWEEN.split(text)[::2])))))


def marks_of(text: str, marks: Collection[str]) -> set[str]:
    """The marks for which `with_names` writes names."""
    return {word for word, is_mark in _parted(text, marks) if is_mark}


def with_names(text: str, names: Mapping[str, str]) -> str:
    """With the name for each mark that stands by itself between commas or "and", and for each of capitals.

    Any other word stays the word it is, also where somebody's mark is written so ("an", "De" of De Vries).
    """
    return "".join(names[word] if is_mark else word for word, is_mark in _parted(text, names))


def _parted(text: str, marks: Collection[str]) -> Iterator[tuple[str, bool]]:
    """All of the text in order, and whether it is a mark."""
    if text in marks:
        yield text, True
        return
    for piece in _BETWEEN.split(text):
        alone = piece.strip()
        if alone in marks:
            before, _, after = piece.partition(alone)
            yield from ((before, False), (alone, True), (after, False))
        else:
            yield from ((word, word in marks and word.isupper()) for word in _WORD.split(piece))
