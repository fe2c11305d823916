"""Photographs that may be of another job: a sitting of its own that shows nothing which any other shows.

By time and by what is seen: photographs taken within two hours of each other are one sitting; sittings hang
together where a photograph of the one has landmarks in common with one of the other. A hint is given only
where the rest of the job hangs together from before the work to after it, and where the sitting by itself
clearly shows one thing.

Not done here: slips (`account.slip`), saying it. Not found, on purpose, as there it would be a guess:
strangers within two hours of the job's own photographs, on the same cloth or table, fewer than three, or
taken during the work, when a thing that was opened looks like nothing before. Invariants: deterministic;
photographs without a time are never named.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Literal

import msgspec

from dossier.pictures import pairing
from dossier.pictures.agreement import Agreed

GAP = timedelta(hours=2)
FEWEST = 3  # photographs of a sitting that is a stranger, each of which matches another of it
MOST = 0.4  # of the photographs that have a time: more is no exception any more
_DOUBTFUL = 5  # landmarks that agree; chance gave 4 at most (see `pairing`)
Pairs = Mapping[tuple[int, int], Agreed]


class Shot(msgspec.Struct, frozen=True, kw_only=True):
    """When a photograph was taken (None: not said), and whether before or after the work (None: neither)."""

    taken: datetime | None
    side: Literal["before", "after"] | None


def find(shots: Sequence[Shot], near: Pairs) -> list[list[int]]:
    """Sittings (indices in the order they were taken) that may be of another job.

    `near`: the nearest pairs of the photographs, lower index first (`pairing.neighbours`).
    """
    sittings = _sittings(shots)
    own = _job(sittings, shots, near)
    timed = sum(map(len, sittings))
    alone = [
        one for one in sittings if one not in own and _clear(one, shots, near) and not _outside(one, near)
    ]
    return alone if own and sum(map(len, alone)) <= MOST * timed else []


def _sittings(shots: Sequence[Shot]) -> list[list[int]]:
    times = [(shot.taken, index) for index, shot in enumerate(shots) if shot.taken is not None]
    found: list[list[int]] = []
    last: datetime | None = None
    for taken, index in sorted(times):
        if last is None or taken - last > GAP:
            found.append([])
        found[-1].append(index)
        last = taken
    return found


def _job(sittings: list[list[int]], shots: Sequence[Shot], near: Pairs) -> list[list[int]]:
    """The sittings that hang together from before to after the work; [] where that is not clear."""
    groups: list[list[list[int]]] = []
    for sitting in sittings:
        joined = [g for g in groups if any(_match(sitting, other, near) for other in g)]
        groups = [g for g in groups if g not in joined] + [[sitting, *(s for g in joined for s in g)]]
    sizes = sorted((sum(map(len, g)) for g in groups), reverse=True)
    largest = max(groups, key=lambda g: sum(map(len, g)), default=[])
    sides = {shots[index].side for sitting in largest for index in sitting}
    clear = len(largest) > 1 and {"before", "after"} <= sides and (len(sizes) < 2 or sizes[0] > sizes[1])
    return largest if clear else []


def _match(one: list[int], other: list[int], near: Pairs) -> bool:
    return any(_held(a, b, near) >= pairing.LIKELY for a in one for b in other)


def _held(one: int, other: int, near: Pairs) -> int:
    found = near.get((min(one, other), max(one, other)))
    return found.count if found else 0


def _clear(sitting: list[int], shots: Sequence[Shot], near: Pairs) -> bool:
    """Whether it shows one thing, from outside the work."""
    if len(sitting) < FEWEST or any(shots[index].side is None for index in sitting):
        return False
    return all(_match([index], [other for other in sitting if other != index], near) for index in sitting)


def _outside(sitting: list[int], near: Pairs) -> bool:
    """Whether there is even a doubtful match with a photograph that is not of it."""
    return any(found.count >= _DOUBTFUL for pair, found in near.items() if len({*pair} & {*sitting}) == 1)
