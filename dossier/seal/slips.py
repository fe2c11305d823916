"""Groups of digits as people type them from paper, and which of them is probably mistyped. Pure.

A person does this once in many years, in trouble: what word processors put between groups is taken, and a
slip is told by the number of its group, never by its digits. Not done here: what they mean (`seal.recovery`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence

GROUP = 5
_BETWEEN = r"[\s.,;:/·•\-\u2010-\u2015]+"  # also spaces that do not break, and every dash
_RUN = re.compile(rf"(?<![^\W_])\d{{{GROUP}}}(?:{_BETWEEN}\d{{{GROUP}}})*(?![^\W_])")
_TOKEN = re.compile(r"[^\W_]+")
_LIKE_DIGITS = frozenset("OoQDIlSBZ|")  # as zero, one, five, eight and two are misread

Groups = tuple[str, ...]


def windows(text: str, count: int) -> Iterator[Groups]:
    """Every `count` groups of five digits that follow each other in a text, oldest first."""
    for run in _RUN.findall(text):
        groups = re.findall(r"\d+", run)
        yield from (tuple(groups[at : at + count]) for at in range(len(groups) - count + 1))


def odd_groups(text: str, count: int) -> list[int]:
    """Which of `count` groups, from 1, are not five digits; none where the text does not hold that many."""
    tokens = [one for one in _TOKEN.findall(text) if _is_like_a_group(one)]
    odd = [place for place, one in enumerate(tokens, 1) if not (len(one) == GROUP and one.isdigit())]
    return odd if len(tokens) == count else []


def _is_like_a_group(token: str) -> bool:
    digits = sum(letter.isdigit() for letter in token)
    return digits >= GROUP // 2 and all(letter.isdigit() or letter in _LIKE_DIGITS for letter in token)


def longest(text: str) -> int:
    """How many groups follow each other at most."""
    return max((len(re.findall(r"\d+", run)) for run in _RUN.findall(text)), default=0)


def suspects(groups: Sequence[str], is_right: Callable[[Groups], bool]) -> list[int]:
    """The groups, from 1, in which one slip of the usual kinds would explain that the whole is not right."""
    found = (
        place
        for place in range(len(groups))
        for other in _slips(groups, place)
        if is_right((*groups[:place], *other, *groups[place + len(other) :]))
    )
    return sorted({place + 1 for place in found})


def _slips(groups: Sequence[str], place: int) -> Iterator[Groups]:
    """What may have been meant: another digit, two the other way round, the group and the next so."""
    group = groups[place]
    for at in range(GROUP):
        yield from ((group[:at] + digit + group[at + 1 :],) for digit in "0123456789" if digit != group[at])
    for at in range(GROUP - 1):
        yield (group[:at] + group[at + 1] + group[at] + group[at + 2 :],)
    if place + 1 < len(groups):
        yield groups[place + 1], group
