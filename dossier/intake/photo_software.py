"""Whether what a photograph names as its software is a program on a computer, and not the camera's own.

A camera writes a number, its model, or words such as "version"; a program writes its name. So a word that is
neither the camera's name nor one that cameras write is a program's.

Not done here: reading the tag, saying it. Pure. A hint: an application that took the photograph counts as a
program too. Not found: a program without a word of four letters, or one that leaves the camera's text there.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

_APART = re.compile(r"[\W_]+")
_SHORTEST = 4  # letters; shorter ones are as often parts of a number


def is_program(software: str, camera: str, words: Sequence[str], whole: Sequence[str]) -> bool:
    """`words` are those that cameras write, `whole` parts of what only they write; both in lower case."""
    said, known = software.casefold(), camera.casefold()
    if any(part in said for part in whole):
        return False
    parts = (part for part in _APART.split(said) if part.isalpha() and len(part) >= _SHORTEST)
    return any(part not in known and part not in words for part in parts)
