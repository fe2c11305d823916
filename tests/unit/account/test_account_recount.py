"""A recount by hand of five pins that records list in other ways each time: every pin is followed by itself.

The lists: one row; two rows; three rows under a heading; two of these one row; the same under a heading of
their own; lists that cut across these. Each row of work may have met any choice of the pins of its row. What
the program counts, by row and together, must hold what every choice comes to. Nothing here is reckoned with
the program's own rules.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from itertools import combinations, product
from math import comb
from typing import Any

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from stories_made import job, lines, now_of, part, record, rows
from worlds_made import Piece

from dossier.account.history import Story, with_history
from dossier.model.earlier import EarlierOpened
from dossier.model.rows import HistoryClaim, Part
from dossier.model.words import Done

ALL = range(5)
Step = tuple[str, list[tuple[str, str, int]]]  # a list, and what was done to so many of which of its rows
PINS: Mapping[str, dict[str, range]] = {
    "one": {"1": ALL},
    "two": {"1": range(3), "1.2": range(3, 5)},
    "three": {"1": ALL, "1.a": range(1), "1.b": range(1, 3), "1.c": range(3, 5)},
    "side": {"1": ALL, "1.x": range(3), "1.c": range(3, 5)},
    "nested": {"1": ALL, "1.x": range(3), "1.a": range(1), "1.b": range(1, 3), "1.c": range(3, 5)},
    "other": {"1": ALL, "1.a": range(1), "1.y": range(1, 5)},
    "dotted": {"1": ALL, "1.a": range(1), "1.b": range(1, 2), "1.b.2": range(2, 3), "1.c": range(3, 5)},
    "deep": {"1": ALL, "1.a": range(1), "1.b": range(1, 3), "1.c": range(3, 5)},
}
NEW = {"1": "brass", "1.b": "steel", "1.c": "brass"}  # written beside some of the rows
HEADING = {"three": dict.fromkeys(["1.a", "1.b", "1.c"], "1"), "side": dict.fromkeys(["1.x", "1.c"], "1")}
PINS["dots"] = {"1": range(1), "1.2": range(3, 5), "1.3": range(1, 3)}
PINS["deep"].update({"1.z": range(3, 4), "1.w": range(4, 5)})
HEADING["deep"] = {**HEADING["three"], "1.z": "1.c", "1.w": "1.c"}
HEADING["other"] = dict.fromkeys(["1.a", "1.y"], "1")
HEADING["dotted"] = dict.fromkeys(["1.a", "1.b", "1.b.2", "1.c"], "1")
HEADING["nested"] = {**HEADING["side"], "1.a": "1.x", "1.b": "1.x"}


def parts_of(name: str, new: Mapping[str, str] = {}) -> list[Part]:
    """`new`: the new material written beside a row."""
    over, rows = HEADING.get(name, {}), PINS[name]
    of = {n: {"material": "brass", "new_material": new[n]} if n in new else {} for n in rows}
    return [part(n, pieces=len(pins), part_of=over.get(n, ""), **of[n]) for n, pins in rows.items()]


def worlds(steps: list[Step]) -> Iterator[list[Piece]]:
    every = [list(combinations(PINS[name][on], k)) for name, done in steps for _, on, k in done]
    for chosen in product(*every):
        met, pins = iter(chosen), [Piece() for _ in ALL]
        for _, done in steps:
            of: dict[int, list[str]] = defaultdict(list)
            for word, _, _ in done:
                for pin in next(met):
                    of[pin].append(word)
            for at, one in enumerate(pins):
                one.come_in(of[at])
                for word in of[at]:
                    one.meet(word)
        yield pins


def told_of(steps: list[Step], *, known: bool, at_hand: int = 0) -> Story:
    """`known`: each record counted in those before it; `at_hand`: so many of the last ones (0: all)."""
    earlier: list[EarlierOpened] = []
    for year, (name, done) in enumerate(steps[:-1], 2001):
        earlier.append(record(year, parts_of(name), rows(*done), earlier[:] if known else ()))
    return with_history(job(parts_of(steps[-1][0]), rows(*steps[-1][1])), earlier[-at_hand:])


def spans_of(story: Story) -> dict[tuple[str, str], tuple[int, int]]:
    """By row, and by "" for all together, what there is: fewest and most, whatever the new ones are like."""
    found: dict[tuple[str, str], tuple[int, int]] = defaultdict(lambda: (0, 0))
    told = [(row.part, row.now, row.pieces_low, row.pieces_high) for row in now_of(story)]
    for number, now, low, high in [*told, *(("", *line) for line in lines(story))]:
        key = number, "new" if now.startswith("new") else now
        found[key] = found[key][0] + low, found[key][1] + high
    return found


def hold(steps: list[Step], *, known: bool, at_hand: int = 0) -> None:
    spans, name = spans_of(told_of(steps, known=known, at_hand=at_hand)), steps[-1][0]
    counted: dict[str, range] = {"": ALL} | {
        number: pins for number, pins in PINS[name].items() if number not in HEADING.get(name, {}).values()
    }
    every = list(worlds(steps))
    for number, pins in counted.items():
        counts = [Counter(world[pin].now for pin in pins) for world in every]
        for now in {now for one in counts for now in one} | {now for of, now in spans if of == number}:
            low, high = spans.get((number, now), (0, 0))
            assert low <= min(one[now] for one in counts), (number, now)
            assert max(one[now] for one in counts) <= high, (number, now)


def step_of(name: str) -> st.SearchStrategy[Any]:
    words = st.sampled_from(["replaced", "part renewed", "new surface", "cleaned", "taken away"])
    places = st.sampled_from(sorted(PINS[name]))
    work = places.flatmap(lambda on: st.tuples(words, st.just(on), st.integers(1, len(PINS[name][on]))))
    return st.tuples(st.just(name), st.lists(work, max_size=2))


STEPS = st.lists(st.sampled_from(sorted(PINS)).flatmap(step_of), min_size=2, max_size=4)


@settings(deadline=None, max_examples=25)
@given(STEPS, st.sampled_from([(True, 0), (False, 0), (True, 1)]))
@example([("one", [("taken away", "1", 2)]), ("two", []), ("two", []), ("two", [])], (True, 1))
def test_however_the_pins_are_listed_every_world_lies_inside(
    steps: list[Step], heard: tuple[bool, int]
) -> None:
    """Also where the last record alone is at hand: what it carries of the others had been of the wrong row
    once a part had become rows, so that replaced pins came back as original for certain.
    """
    known, at_hand = heard
    ways = 1
    for name, done in steps:
        for _, on, k in done:
            ways *= comb(len(PINS[name][on]), k)
    assume(ways <= 200)
    hold(steps, known=known, at_hand=at_hand)


def test_rows_of_two_families_are_counted_within_each_other_once() -> None:
    """By hand: a record has 1.x as one row; rows 1.a to 1.c stand in the job, where 4 of the 5 are replaced.
    Four are new. What is had of two rows, and of all three, was each taken off, which made "5 to 4".
    """
    steps: list[Step] = [("side", []), ("three", [("new surface", "1.a", 1), ("replaced", "1", 4)])]
    hold(steps, known=True)
    assert spans_of(told_of(steps, known=True))["", "new"] == (4, 4)


def test_rows_that_other_rows_stood_for_in_between_are_some_of_their_heading() -> None:
    """By hand: three rows; then two of them are one, 1.x, and all three of its pins are replaced and one of
    the others; then three rows again: four are no originals. They had come back as original for certain.
    """
    between: Step = "side", [("replaced", "1.c", 1), ("replaced", "1.x", 3)]
    hold([("three", []), between, ("three", [])], known=False)


def test_a_row_in_place_of_others_is_of_their_pieces_and_of_no_other_row() -> None:
    """By hand: one pin of 1.b is taken away; then 1.x stands for 1.a and 1.b beside 1.c: one of its three is
    no original. It had been three of any five, of which those that are away are the last to be among them.
    """
    hold([("three", [("taken away", "1.b", 1)]), ("side", [])], known=False)


def test_rows_of_one_part_hold_together_no_more_originals_than_it_had() -> None:
    """By hand: three of five pins are replaced; then they stand in rows, one heading below another, and then
    they are one part again: two are originals at most. Row by row each might have been, which made five.
    """
    first = record(2001, parts_of("one"), rows(("replaced", "1", 3)))
    second = record(2002, parts_of("nested"), (), [first])
    told = {now: (low, high) for now, low, high in lines(with_history(job(parts_of("one")), [first, second]))}
    assert told["original, no work recorded"][1] == 2 and told["earlier replacement"][0] == 3


def test_a_paper_speaks_of_the_rows_that_the_job_has() -> None:
    """By hand: five pins are one row in a record, and rows of three and two in the job. A bill of the three
    is of three pins (it had been of five). One of the two replaced by an older bill, then four of the five
    renewed in part by the record: of the four that are original three or four are (it had been two or three).
    """

    def claim(done: Done, part: str, date: str, pieces: int = 0) -> tuple[HistoryClaim]:
        return (
            HistoryClaim(what=done, date=date, known_from="paper", parts=(part,), done=done, pieces=pieces),
        )

    def counted(earlier: EarlierOpened, history: tuple[HistoryClaim]) -> dict[str, tuple[int, int]]:
        found = lines(with_history(job(parts_of("two"), history=history), [earlier]))
        return {now: (low, high) for now, low, high in found}

    five = record(2001, parts_of("one"))
    assert counted(five, claim("part renewed", "1", "2002"))["original, part renewed"] == (3, 3)
    four = record(2001, parts_of("one"), rows(("part renewed", "1", 4)))
    low, high = counted(four, claim("replaced", "1.2", "1999", 1))["original, part renewed"]
    assert low <= 3 and high >= 4


@pytest.mark.parametrize("at_hand", [1, 2])
def test_a_part_split_in_equal_rows_is_told_by_the_last_record_alone(at_hand: int) -> None:
    """By hand: one of two is taken away and never refitted, then each is a row: one is no original, and at
    most one is. Of whoever had the last record alone both had been original for certain.
    """
    split = [part("1"), part("1.2")]
    first = record(2001, [part("1", pieces=2)], rows(("taken away", "1", 1)))
    second = record(2002, split, (), [first])
    told = {now: most for now, _, most in lines(with_history(job(split), [first, second][-at_hand:]))}
    assert told["original, no work recorded"] == 1 and told["earlier replacement"] >= 1


def most_of(story: Story) -> int:
    """How many of the pins may be original at most, by what is said of all together."""
    told = lines(story)
    maybe = sum(high for now, _, high in told if now.startswith("original") or now == "not known")
    no = sum(low for now, low, _ in told if not (now.startswith("original") or now == "not known"))
    return min(maybe, len(ALL) - no)


@settings(deadline=None, max_examples=20)
@given(STEPS, st.sampled_from(sorted(PINS)))
@example([("one", [("replaced", "1", 3)]), ("two", [("part renewed", "1", 1)])], "two")
@example([("one", [("replaced", "1", 2)]), ("two", []), ("one", [("cleaned", "1", 4)])], "one")
@example([("three", [("replaced", "1", 3)]), ("three", [("taken away", "1.a", 1)])], "three")
@example([("nested", [("taken away", "1.a", 1)]), ("one", [])], "nested")
@example([("two", [("replaced", "1.2", 1), ("replaced", "1", 2)]), ("dots", [])], "one")
@example([("nested", [("replaced", "1.x", 1)]), ("three", [])], "side")
@example([("two", [("part renewed", "1", 3), ("taken away", "1", 1)]), ("nested", [])], "side")
def test_nothing_is_original_again_because_pins_are_listed_in_rows(steps: list[Step], last: str) -> None:
    """None is refitted or read anew, however the job lists them last. Of two that may be original, each row
    of three and two had up to two; once one of the rows counted as another, all three had more together; and
    rows below two headings were each counted alone.
    """
    earlier: list[EarlierOpened] = []
    most = [len(ALL)]
    for year, (name, done) in enumerate(steps, 2001):
        earlier.append(record(year, parts_of(name, NEW), rows(*done), earlier[:]))
        most.append(most_of(with_history(job(parts_of(last, NEW)), earlier)))
    assert most == sorted(most, reverse=True)


def test_a_heading_is_what_its_rows_are_where_they_stand_elsewhere() -> None:
    """By hand: 1.x is a heading of two rows, one of which is replaced while it stands elsewhere; then 1.x is
    one row: one of its three is no original. It had been what it was before.
    """
    hold([("nested", []), ("three", [("replaced", "1.a", 1)]), ("side", [])], known=True)


def test_a_split_row_that_is_gone_is_among_the_rows_under_its_number() -> None:
    """By hand: of rows 1 and 1.2 the second is replaced; then 1 is a heading of three rows: two of the five
    are no originals. All five had counted as original.
    """
    hold([("two", [("replaced", "1.2", 2)]), ("three", [])], known=True)


def test_rows_that_became_a_heading_are_not_what_other_rows_stand_for() -> None:
    """By hand: one pin of 1.x is taken away; then 1.a and 1.b stand for it, and 1.c is a heading of rows: one
    of the five is no original. It had been three of any five, as 1.c is no row any more either.
    """
    hold([("side", [("taken away", "1.x", 1)]), ("deep", [])], known=False)


def test_a_heading_of_which_other_rows_have_some_is_nothing_any_more() -> None:
    """By hand: 1.a, of heading 1.x, is taken away while 1.y stands for all others; then the rows are back:
    1.b is original. It had been a replacement for certain, as 1.x was 1.a alone.
    """
    hold([("nested", []), ("other", [("taken away", "1.a", 1)]), ("nested", [])], known=True)


def test_a_heading_one_of_whose_rows_was_split_has_all_its_pieces() -> None:
    """By hand: all five are replaced while 1.b stands in two rows; then 1.x is one row: none is original."""
    hold([("nested", []), ("dotted", [("replaced", "1", 5)]), ("side", [])], known=False)
