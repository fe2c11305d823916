"""Whether a record's pages can be drawn again in minutes: a stranger's may be made to take hours.

Pure. Bounds are on what drawing takes its time for: rows and lines, one text, one list, all texts. Not done
here: drawing. Invariant: a record of 1,000 parts and 2,000 photographs is within them.
"""

from __future__ import annotations

from typing import Any

from dossier.seal.opening import Opening

MOST_LETTERS = 2 << 20  # in all texts together
MOST_ROWS = 20_000  # arrays, objects and line ends; one of 1,000 parts has about 10,000
LONGEST_TEXT = 50_000  # letters
LONGEST_LIST = 10_000


def is_large(opening: Opening) -> bool:
    """Whether the payload with what its disclosures say is beyond one of the bounds."""
    rows = letters = 0
    ahead: list[Any] = [opening.plain, *(one.value for one in opening.disclosed)]
    while ahead:
        value = ahead.pop()
        if isinstance(value, str):
            letters += len(value)
            rows += value.count("\n")
            if len(value) > LONGEST_TEXT or letters > MOST_LETTERS:
                return True
        elif isinstance(value, dict | list):
            rows += 1
            if len(value) > LONGEST_LIST:
                return True
            ahead += value.values() if isinstance(value, dict) else value
        if rows > MOST_ROWS:
            return True
    return False
