"""Rows under one heading that came in several ways, against every world of which piece met what.

Of 8 windows, 5 original and 3 replaced before, "3 of the 8" are replaced now: which, nobody knows.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from itertools import combinations, product

from stories_made import job, lines, part, rows

from dossier.account.history import with_history
from dossier.model.rows import Part
from dossier.model.words import CameAs, Done

CAME: tuple[CameAs, ...] = ("original", "earlier replacement", "later addition", "from another object")
DEPTH: dict[Done, int] = {"cleaned": 1, "new surface": 2, "part renewed": 3}
STATES = (
    "original, no work recorded",
    "original, treated",
    "original, new surface",
    "original, part renewed",
)
Typed = tuple[Done, str, int]  # what, on which row, on how many of its pieces


def state_of(came_as: CameAs, met: list[Done]) -> str:
    depth, is_new = 0, False
    for done in met:
        if done == "replaced":
            depth, is_new = 0, True
        else:
            depth = max(depth, DEPTH[done])
    if is_new:
        return "new"
    return STATES[depth] if came_as == "original" else came_as


def registers(count: int) -> Iterator[tuple[list[Part], dict[str, list[int]], list[CameAs], list[Typed]]]:
    chance = random.Random(3)
    for _ in range(count):
        sizes = [chance.randint(1, 3) for _ in range(chance.randint(2, 3))]
        came = [chance.choice(CAME[: chance.choice((2, 4))]) for _ in sizes]
        n, at = sum(sizes), 0
        parts, where = [part("1", "not known", pieces=n)], {"1": [*range(n)]}
        for number, size, came_as in zip(("1.a", "1.b", "1.c"), sizes, came, strict=False):
            parts.append(part(number, came_as, pieces=size, part_of="1"))
            where[number] = [*range(at, at := at + size)]
        kinds: list[Done] = ["replaced", *DEPTH]
        places = [chance.choice(["1", "1", *where]) for _ in range(chance.randint(1, 3))]
        typed = [(chance.choice(kinds), on, chance.randint(1, len(where[on]))) for on in places]
        pieces = [one for size, one in zip(sizes, came, strict=True) for _ in range(size)]
        yield parts, where, pieces, typed


def counted(parts: list[Part], where: dict[str, list[int]], typed: list[Typed]) -> Counter[tuple[str, str]]:
    work = rows(*((done, on, 0 if k == len(where[on]) else k) for done, on, k in typed))
    found: Counter[tuple[str, str]] = Counter()
    for now, low, high in lines(with_history(job(parts, work))):
        state = "new" if now.startswith("new,") else now
        found[state, "low"] += low
        found[state, "high"] += high
    return found


def test_rows_that_came_in_several_ways_hold_together_in_every_world() -> None:
    exact = states = 0
    for parts, where, pieces, typed in registers(250):
        told = counted(parts, where, typed)
        every = [list(combinations(where[on], k)) for _, on, k in typed]
        worlds = [
            Counter(
                state_of(came_as, [typed[i][0] for i, met in enumerate(chosen) if place in met])
                for place, came_as in enumerate(pieces)
            )
            for chosen in product(*every)
        ]
        for state in {state for world in worlds for state in world} | {state for state, _ in told}:
            met = [world[state] for world in worlds]
            low, high = told[state, "low"], told[state, "high"]
            assert low <= min(met) and max(met) <= high, (parts, typed, state)
            exact += (low, high) == (min(met), max(met))
            states += 1
    assert (
        exact / states > 0.98
    )  # ranges of each row alone were right too, and told nobody how many there are


def test_three_of_eight_windows_are_three() -> None:
    windows = [
        part("10", "not known", pieces=8),
        part("11", pieces=5, part_of="10"),
        part("12", "earlier replacement", pieces=3, part_of="10"),
    ]
    found = lines(with_history(job(windows, rows(("replaced", "10", 3)))))
    assert ("new, likeness not known", 3, 3) in found
