"""Parts that were lost under one heading with parts that are there: every world of which piece met what.

Of five coats and two hats that were lost, one hat is made now, and all of it is cleaned: one is still lost.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from itertools import combinations

from stories_made import account, job, lines, part, record, rows

from dossier.account.findings import assess
from dossier.account.history import with_history
from dossier.account.parts import parts_now
from dossier.model.rows import Part
from dossier.model.words import CameAs, Done

DEPTH: dict[Done, int] = {"cleaned": 1, "new surface": 2, "part renewed": 3}
STATES = (
    "original, no work recorded",
    "original, treated",
    "original, new surface",
    "original, part renewed",
)
Typed = tuple[Done, str, int]  # what, on which row, on how many of its pieces; 0 is all
World = tuple[tuple[str, int], ...]  # of each piece what it is and how deep work went


def test_what_is_still_lost_is_counted_though_all_was_cleaned() -> None:
    parts = [
        part("5", "not known", pieces=7),
        part("5.1", pieces=5, part_of="5"),
        part("5.4", "missing", pieces=2, part_of="5"),
    ]
    work = rows(("replaced", "5.1", 1), ("added", "5.4", 1), ("cleaned", "5"))
    story = with_history(job(parts, work), [record(2025, parts, rows(("cleaned", "5.1")))])
    found = {now: (low, high) for now, low, high in lines(story)}
    assert found["missing"] == (1, 1)
    assert sum(low for low, _ in found.values()) == 7
    assert {line.now: line.parts for line in account(story)}["missing"] == ("5.4",)
    (lost,) = [row for row in parts_now(story.job.parts, work, story.origins) if row.now == "missing"]
    assert lost.work == ()  # what is not there was not cleaned


def registers(count: int) -> Iterator[tuple[list[Part], dict[str, list[int]], list[CameAs], list[Typed]]]:
    chance = random.Random(11)
    for _ in range(count):
        sizes = [chance.randint(1, 3) for _ in range(chance.randint(2, 3))]
        came: list[CameAs] = [chance.choice(("original", "missing", "earlier replacement")) for _ in sizes]
        came[-1] = came[-1] if "missing" in came else "missing"
        n, at = sum(sizes), 0
        parts, where = [part("1", "not known", pieces=n)], {"1": [*range(n)]}
        for number, size, came_as in zip(("1.a", "1.b", "1.c"), sizes, came, strict=False):
            parts.append(part(number, came_as, pieces=size, part_of="1"))
            where[number] = [*range(at, at := at + size)]
        pieces = [one for size, one in zip(sizes, came, strict=True) for _ in range(size)]
        yield parts, where, pieces, typed(chance, where, dict(zip(where, ["", *came], strict=False)))


def typed(chance: random.Random, where: dict[str, list[int]], came: dict[str, str]) -> list[Typed]:
    found: dict[str, Typed] = {}
    for at in range(chance.randint(1, 4)):
        on = chance.choice(["1", *where])
        k = chance.randint(0, len(where[on]) - 1)
        if on == "1":
            found[f"{at}"] = (chance.choice([*DEPTH]), on, chance.choice((0, 0, min(k, 1))))
        elif came[on] == "missing":
            found[on] = ("added", on, k)  # once
        else:
            found[f"{at}"] = (chance.choice([*DEPTH, "replaced"]), on, k)
    return [*found.values()]


def worlds(where: dict[str, list[int]], work: list[Typed], world: World) -> Iterator[World]:
    if not work:
        yield world
        return
    done, on, k = work[0]
    some = [at for at in where[on] if (world[at][0] == "missing") == (done == "added")]
    for chosen in combinations(some, k or len(some)):
        after = list(world)
        for at in chosen:
            what, depth = world[at]
            is_new = done in ("added", "replaced")
            after[at] = ("new", 0) if is_new else (what, max(depth, DEPTH[done]) if what != "new" else 0)
        yield from worlds(where, work[1:], tuple(after))


def test_what_was_lost_and_what_was_not_hold_together_in_every_world() -> None:
    exact = states = 0
    for place, (parts, where, pieces, work) in enumerate(registers(300)):
        every = [
            Counter(STATES[depth] if what == "original" else what for what, depth in world)
            for world in worlds(where, work, tuple((came_as, 0) for came_as in pieces))
        ]
        if not every:  # more work on what is there than there was
            continue
        before = [record(2001, parts)] if place % 3 else []
        told: Counter[tuple[str, str]] = Counter()
        for now, low, high in lines(with_history(job(parts, rows(*work)), before)):
            state = "new" if now.startswith("new,") else now
            told[state, "low"] += low
            told[state, "high"] += high
        for state in {state for world in every for state in world} | {state for state, _ in told}:
            least, most = min(w[state] for w in every), max(w[state] for w in every)
            assert told[state, "low"] <= least and most <= told[state, "high"], (pieces, work, state)
            exact += (told[state, "low"], told[state, "high"]) == (least, most)
            states += 1
    assert exact > 0.9 * states  # and hardly ever wider than need be


def test_what_was_brought_and_taken_away_again_is_missing() -> None:
    """By hand: three were lost, three made anew, two of these taken away: one is new, two are lost."""
    lost = [part("1", "missing", pieces=3)]
    work = rows(("added", "1"), ("taken away", "1", 2))
    for before in ([], [record(2001, lost)]):
        found = {now: (low, high) for now, low, high in lines(with_history(job(lost, work), before))}
        assert found == {"new, likeness not known": (1, 1), "missing": (2, 2)}


def test_some_of_a_heading_are_some_of_what_was_there() -> None:
    """By hand: nine pipes came and three were lost; nine of the twelve were cleaned, which is all nine."""
    pipes = [
        part("1", "not known", pieces=12),
        part("2", pieces=5, part_of="1"),
        part("3", pieces=4, part_of="1"),
        part("4", "missing", pieces=3, part_of="1"),
    ]
    story = with_history(job(pipes, rows(("cleaned", "1", 9))))
    assert lines(story) == [("original, treated", 9, 9), ("missing", 3, 3)]
    assert "missing-but-worked-on" not in {one.code for one in assess(story.job)}
    for on, k in (("1", 10), ("4", 1)):  # more than there were, and what was lost by its own number
        found = assess(job(pipes, rows(("cleaned", on, k))))
        assert "missing-but-worked-on" in {one.code for one in found}
