"""Rows under a heading over records and papers: what all of them have together, against every world.

64 pins stand in rows of 9 and 55. A record, a paper and a job may each speak of so many of the 64, and nobody
knows in which row: the rows then have ranges, and together they have what was said.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from itertools import combinations, product

import pytest
from stories_made import job, lines, now_of, part, record, rows
from test_account_altered import DEPTH, Piece

from dossier.account.history import Story, with_history
from dossier.account.sentences import disclosure
from dossier.model.earlier import EarlierOpened
from dossier.model.rows import HistoryClaim, Part, Work
from dossier.model.words import DONE, Done
from dossier.words import Catalogue

PINS = [
    part("1", pieces=64, part="pins"),
    part("1.a", pieces=9, part="front pins", part_of="1"),
    part("1.b", pieces=55, part="back pins", part_of="1"),
]
FEW = [part("1", pieces=4), part("1.a", pieces=1, part_of="1"), part("1.b", pieces=3, part_of="1")]
WHERE = {"1": range(4), "1.a": range(1), "1.b": range(1, 4)}
Step = list[tuple[str, str, int]]


def paper(*done: tuple[str, str, int], date: str = "2005-01-01") -> tuple[HistoryClaim, ...]:
    return tuple(
        HistoryClaim(
            what="a bill", date=date, by="the old shop", known_from="paper", done=kind, parts=(on,), pieces=k
        )
        for kind, on, k in done
    )


def of(story: Story, number: str) -> dict[str, tuple[int, int]]:
    return {row.now: (row.pieces_low, row.pieces_high) for row in now_of(story) if row.part == number}


@pytest.mark.parametrize("date", ["1995-01-01", "2005-01-01"])
def test_a_paper_on_a_heading_is_one_on_its_rows(date: str) -> None:
    """A record of 2001 has the rows, a bill of before it or after it 20 of the 64 pins as replaced: of
    the 55 at least 20 - 9 = 11 and at most 20, of the 9 at most 9; never are all 64 original.
    """
    earlier = [record(2001, PINS)]
    story = with_history(job(PINS, history=paper(("replaced", "1", 20), date=date)), earlier)
    assert of(story, "1.a")["earlier replacement"] == (0, 9)
    assert of(story, "1.b")["earlier replacement"] == (11, 20)


def test_a_paper_on_rows_that_are_one_again_is_on_all_of_them() -> None:
    """By hand: a record of 2001 has rows of 2 and 3, a bill of 2005 says 4 of the 5 replaced, the job has
    one row: one is original. The bill had been on the first row alone, so that three were.
    """
    earlier = [record(2001, [part("1", pieces=2), part("1.2", pieces=3)])]
    story = with_history(job([part("1", pieces=5)], history=paper(("replaced", "1", 4))), earlier)
    assert of(story, "1") == {"earlier replacement": (4, 4), "original, no work recorded": (1, 1)}


def test_a_row_that_no_record_had_is_none_of_a_heading_that_keeps_all_its_own() -> None:
    """By hand: a lock and a handle are replaced; the next job lists a label under their heading as well: it
    is original. It had been a replacement for certain, as both pieces of the heading were.
    """
    under = [part("1.a", part_of="1"), part("1.2", part_of="1")]
    earlier = [record(2001, [part("1", pieces=2), *under], rows(("replaced", "1.a 1.2")))]
    label = part("1.3", part_of="1")
    told = lines(with_history(job([part("1", pieces=3), *under, label]), earlier))
    assert told == [("original, no work recorded", 1, 1), ("earlier replacement", 2, 2)]


def test_what_a_paper_says_of_some_of_a_heading_is_not_read_of_a_row() -> None:
    """It says 20 of 64: not that the 9 were replaced, nor 20 of the 55."""
    pins = job(PINS, history=paper(("replaced", "1", 20)))
    story = with_history(pins, [record(2001, PINS)])
    told = disclosure(story.job, now_of(story), Catalogue("en"), story.histories, pins.parts)
    said = [one.text for one in told if "the old shop" in one.text]
    assert len(said) == 2 and all("20 of 64 replaced (from a paper" in text for text in said)


def test_all_of_a_heading_by_a_paper_is_all_of_its_rows() -> None:
    story = with_history(job(PINS, history=paper(("replaced", "1", 0))), [record(2001, PINS)])
    assert lines(story) == [("earlier replacement", 64, 64)]


def test_rows_of_two_records_have_together_what_each_said() -> None:
    """20 of 64 replaced in 2001, 5 of 64 in 2002: 20 to 25 are new since, 39 to 44 original."""
    first = record(2001, PINS, rows(("replaced", "1", 20)))
    second = record(2002, PINS, rows(("replaced", "1", 5)), [first])
    found = lines(with_history(job(PINS), [first, second]))
    assert found == [("original, no work recorded", 39, 44), ("earlier replacement", 20, 25)]


def test_rows_that_stand_elsewhere_hold_together_what_they_held() -> None:
    """In 2002 the row of 9 stands for itself. By hand: 20 of the 64 were replaced, none came back and none
    more was, so 20 are; the rows alone have at least 11, of the 55, and up to 9 and 20.
    """
    first = record(2001, PINS, rows(("replaced", "1", 20)))
    apart = [part("1.a", pieces=9), part("1.b", pieces=55)]
    second = record(2002, apart, (), [first])
    found = {now: span for now, *span in lines(with_history(job(PINS), [first, second]))}
    assert found["earlier replacement"] == [20, 20]


def test_rows_that_a_record_has_as_one_part_come_from_it_later() -> None:
    """Rows in 2000; in 2001 one part of 64 pins, 20 of which are replaced; rows again in the job: together
    20 and 44, in the 55 at least 20 - 9 = 11 of the 20.
    """
    first = record(2000, PINS)
    second = record(2001, PINS[:1], rows(("replaced", "1", 20)), [first])
    story = with_history(job(PINS), [first, second])
    assert lines(story) == [("original, no work recorded", 44, 44), ("earlier replacement", 20, 20)]
    assert of(story, "1.b")["earlier replacement"] == (11, 20)


def test_a_paper_on_a_row_leaves_what_a_record_said_of_all() -> None:
    """All 64 pins were new in 2001, in a record without rows; a bill of 2005 on the 9 makes none original."""
    claims = paper(("altered", "1.a", 0))
    earlier = [record(2001, PINS[:1], rows(("replaced", "1")))]
    story = with_history(job(PINS, history=claims), earlier)
    assert lines(story) == [("earlier replacement", 64, 64)]
    told = [said for one in story.histories for said in one.said if said.done == "altered"]
    assert {(said.pieces, said.of) for said in told} == {(9, 64)}


def test_old_pieces_some_of_which_were_no_originals_are_not_called_so() -> None:
    """Of 20 sticks 3 were new by a record of 2001; of the 4 that are new now, some may stand for those."""
    sticks = [part("1", pieces=20, part="sticks")]
    four = job(sticks, rows(("replaced", "1", 4)))
    story = with_history(four, [record(2001, sticks, rows(("replaced", "1", 3)))])
    told = disclosure(story.job, now_of(story), Catalogue("en"), story.histories, four.parts)
    (new,) = (one.text for one in told if one.group == "new")
    assert "Where the old pieces are now is not recorded." in new
    first = disclosure(four, now_of(with_history(four)), Catalogue("en"))
    assert any("Where the originals are now is not recorded." in one.text for one in first)


def test_undated_work_on_a_heading_and_on_a_row_goes_by_its_order() -> None:
    """All pins cut down, then the 9 replaced: the new ones are not cut down. The other way round they are."""
    for order, cut in (
        ((("altered", "1"), ("replaced", "1.a")), False),
        ((("replaced", "1.a"), ("altered", "1")), True),
    ):
        now = now_of(with_history(job(PINS, rows(*order)), []))
        assert [row.altered for row in now if row.part == "1.a"] == [cut]


def worlds(steps: list[Step]) -> Iterator[list[Piece]]:
    every = [list(combinations(WHERE[on], k)) for step in steps for _, on, k in step]
    for chosen in product(*every):
        pieces, met = [Piece() for _ in range(4)], iter(chosen)
        for step in steps:
            for piece in pieces:
                piece.next_record()
            for done, _, _ in step:
                for place in next(met):
                    pieces[place].meet(done)
        yield pieces


def told_of(steps: list[Step], papers: list[bool], as_one: list[bool], *, known: bool) -> Story:
    """`as_one`: the record has the pins as one part, without rows."""
    earlier, claims = [], ()
    for year, (step, is_paper, one) in enumerate(zip(steps[:-1], papers, as_one, strict=False), 2001):
        parts = FEW[:1] if one else FEW
        if is_paper:
            claims = (*claims, *paper(*step, date=f"{year}-01-01"))
        else:
            typed = rows(*[(done, on, k) for done, on, k in step])
            earlier.append(
                record(year, parts, typed, earlier if known else (), history=claims if known else ())
            )
    return with_history(
        job(FEW, rows(*[(done, on, k) for done, on, k in steps[-1]]), history=claims), earlier
    )


def histories(count: int) -> Iterator[tuple[list[Step], list[bool], list[bool], bool]]:
    chance = random.Random(2)
    for _ in range(count):
        steps: list[Step] = []
        for _ in range(chance.randint(2, 3)):
            places = [chance.choice(["1", "1", "1.a", "1.b"]) for _ in range(chance.randint(0, 2))]
            kinds = ["replaced", *DEPTH]
            steps.append([(chance.choice(kinds), on, chance.randint(1, len(WHERE[on]))) for on in places])
        papers = [len(step) == 1 and chance.random() < 0.4 for step in steps]
        as_one = [all(on == "1" for _, on, _ in step) and chance.random() < 0.4 for step in steps]
        yield steps, papers, as_one, chance.random() < 0.6


def test_rows_and_lines_hold_in_every_world() -> None:
    for steps, papers, as_one, known in histories(250):
        story = told_of(steps, papers, as_one, known=known)
        every = list(worlds(steps))
        together = {now: (low, high) for now, low, high in lines(story)}
        for number, places in WHERE.items():
            spans = together if number == "1" else of(story, number)
            counts = [Counter(pieces[place].now for place in places) for pieces in every]
            for state in {state for one in counts for state in one}:
                low, high = spans.get(state, (0, 0))
                met = [one[state] for one in counts]
                assert low <= min(met) and max(met) <= high, (steps, papers, as_one, known, number, state)


def test_worked_example_ten_of_one_row_replaced_after_twenty_of_the_heading() -> None:
    """By hand: of the ten, none to ten were among the twenty; so 10 to 20 of these are here, and 34 to 44
    original ones. The rows of 9 and 55 alone leave 1 to 29 and 25 to 53.
    """
    before = record(2010, PINS, rows(("replaced", "1", 20)))
    assert lines(with_history(job(PINS, rows(("replaced", "1.b", 10))), [before])) == [
        ("original, no work recorded", 34, 44),
        ("earlier replacement", 10, 20),
        ("new, likeness not known", 10, 10),
    ]


def test_nine_of_a_heading_are_nine_whatever_else_was_done_to_a_row() -> None:
    """The nine are new whichever they are; of the 55 that were cleaned, 46 to 55 are not among them."""
    work = rows(("replaced", "1", 9), ("cleaned", "1.b"))
    counts = {now: (low, high) for now, low, high in lines(with_history(job(PINS, work)))}
    assert counts["new, likeness not known"] == (9, 9)
    assert counts["original, treated"] == (46, 55)


def test_pieces_that_were_away_and_are_read_have_not_their_surface() -> None:
    """Four given a new surface in 2001, three taken away in 2002; four are read as original, and no refitting
    is recorded: by hand, three are others, and one has its surface of 2001. They had been "3 to 2".
    """
    four = [part("1", pieces=4)]
    first = record(2001, four, rows(("new surface", "1")))
    second = record(2002, four, rows(("taken away", "1", 3)), [first])
    story = with_history(job(four, rows(("cleaned", "1", 3))), [first, second])
    assert lines(story) == [("original, new surface", 1, 1), ("earlier replacement", 3, 3)]


def test_what_work_on_the_heading_replaced_comes_back_as_replaced() -> None:
    """By hand: of one and three pins three of the four were replaced, then two of the row of three taken
    away; three of the four are put back now. Three are no originals, and a fourth where one of the two that
    were away is another now. It had been "none to three".
    """
    before = record(2001, FEW, rows(("replaced", "1", 3), ("taken away", "1.b", 2)))
    found = lines(with_history(job(FEW, rows(("taken off and refitted", "1", 3))), [before]))
    counts = {now: (low, high) for now, low, high in found}
    assert counts["earlier replacement"][0] <= 3 and counts["earlier replacement"][1] >= 4


def test_ranges_stay_ranges_whatever_was_done_to_rows_and_heading() -> None:
    chance = random.Random(1)

    def work() -> tuple[Work, ...]:
        places = [chance.choice(["1", "1", "1.a", "1.b"]) for _ in range(chance.randint(0, 4))]
        return rows(*[(chance.choice(DONE), on, chance.randint(0, len(WHERE[on]))) for on in places])

    for _ in range(600):
        earlier: list[EarlierOpened] = []
        for year in range(2001, 2001 + chance.randint(0, 3)):
            parts = FEW if chance.random() < 0.6 else FEW[:1]
            earlier.append(record(year, parts, work(), earlier if chance.random() < 0.5 else ()))
        found = lines(with_history(job(FEW, work()), earlier))
        assert all(0 <= low <= high for _, low, high in found)
        assert sum(low for _, low, _ in found) <= 4 <= sum(high for *_, high in found)


def test_a_log_that_contradicts_itself_below_two_headings_has_ranges_still() -> None:
    """By hand: both of the back replaced leave one of the sides, so two of these not examined cannot be."""
    pins, work = nested(), rows(("replaced", "1.b"), ("replaced", "1.c"), ("not examined", "1.x", 2))
    assert all(low <= high for _, low, high in lines(with_history(job(pins, work))))


def test_rows_that_were_worked_on_one_by_one_are_added_up() -> None:
    """By hand: of five single pins three were cleaned, one row each, and one of five replaced, nobody says
    which: two or three are cleaned ones.
    """
    pins = [part("1", pieces=5), *(part(f"1.{n}", part_of="1") for n in "abcde")]
    work = rows(("replaced", "1", 1), ("cleaned", "1.a"), ("cleaned", "1.b"), ("cleaned", "1.c"))
    counts = {now: (low, high) for now, low, high in lines(with_history(job(pins, work)))}
    assert counts["original, treated"] == (2, 3) and counts["new, likeness not known"] == (1, 1)


@pytest.mark.parametrize("word", ["left as found", "not examined"])
def test_what_was_left_is_not_what_work_on_the_heading_met(word: Done) -> None:
    """By hand: of one and three pins the three were left, and one of the four has a new surface: that is the
    other one, as it is where the four stand in one row.
    """
    counts = {
        now: (low, high)
        for now, low, high in lines(with_history(job(FEW, rows((word, "1.b"), ("new surface", "1", 1)))))
    }
    assert counts["not known" if word == "not examined" else f"original, {word}"] == (3, 3)
    assert counts["original, new surface"] == (1, 1) and "original, no work recorded" not in counts
    whole = lines(with_history(job(FEW[:1], rows((word, "1", 3), ("new surface", "1", 1)))))
    assert {now: (low, high) for now, low, high in whole} == counts


def nested(front: int = 1, back: int = 2, top: int = 2) -> list[Part]:
    """Pins of a case; those of its sides stand under a heading of their own."""
    return [
        part("1", pieces=front + back + top),
        part("1.x", pieces=front + back, part_of="1"),
        part("1.a", pieces=front, part_of="1.x"),
        part("1.b", pieces=back, part_of="1.x"),
        part("1.c", pieces=top, part_of="1"),
    ]


def test_a_paper_on_a_row_below_two_headings_leaves_what_was_said_of_all() -> None:
    """All five renewed in part in 2001, in a record without rows; two replaced by a bill of 2002: by hand,
    three are renewed in part and two earlier replacements. That of the others had been lost.
    """
    pins = nested()
    claims = paper(("replaced", "1.b", 0), date="2002-01-01")
    first = record(2001, pins[:1], rows(("part renewed", "1")))
    story = with_history(job(pins, history=claims), [first])
    assert of(story, "1.a")["original, part renewed"] == (0, 1)
    for now, pieces in (("original, part renewed", 3), ("earlier replacement", 2)):
        low, high = next(span for state, *span in lines(story) if state == now)
        assert low <= pieces <= high


def test_a_paper_on_a_heading_is_one_on_the_headings_below_and_above_it() -> None:
    """All five a new surface by a bill of 2002: five have it, also where the record of 2001 has two of three,
    nobody knows which. Three replaced by a bill stay so where a later record has all five as one.
    """
    pins = nested()
    two = record(2001, pins, rows(("new surface", "1.x", 2)))
    claims = paper(("new surface", "1", 0), date="2002-01-01")
    assert lines(with_history(job(pins, history=claims), [two])) == [("original, new surface", 5, 5)]
    claims = paper(("replaced", "1.x", 0), date="2002-01-01")
    earlier = [record(2001, pins), record(2003, pins[:1])]
    story = with_history(job(pins[:1], history=claims), earlier)
    assert lines(story) == [("original, no work recorded", 2, 2), ("earlier replacement", 3, 3)]


def test_rows_below_two_headings_are_counted_by_their_own_heading() -> None:
    """All five renewed in part, one of the three given a new surface: five are renewed. A record that has
    them as one part had made seven to five of it.
    """
    pins = nested()
    cleaned = record(2001, pins[:1], rows(("part renewed", "1", 4)))
    work = rows(("part renewed", "1"), ("new surface", "1.x", 1))
    assert lines(with_history(job(pins, work), [cleaned])) == [("original, part renewed", 5, 5)]


def test_what_was_altered_below_two_headings_stays_so_where_all_are_one_part_later() -> None:
    """Both of the back were cut down in 2001; in 2002 all five are one part; then rows again."""
    pins = nested()
    first = record(2001, pins, rows(("altered", "1.b"), ("altered", "1.x", 1), ("cleaned", "1", 2)))
    story = with_history(job(pins), [first, record(2002, pins[:1])])
    assert all(row.altered for row in now_of(story))


def test_two_papers_below_two_headings_speak_of_the_same_pieces() -> None:
    """By hand: one of the back replaced in 2001 and all three of the sides in 2002 are three; no record."""
    claims = (
        *paper(("replaced", "1.b", 1), date="2001-01-01"),
        *paper(("replaced", "1.x", 0), date="2002-01-01"),
    )
    counts = {now: span for now, *span in lines(with_history(job(nested(), history=claims)))}
    assert counts["earlier replacement"] == [3, 3]


def test_rows_that_are_one_part_again_are_all_told() -> None:
    """By hand: of 64 pins 20 are replaced; then they stand in rows of 9 and 55, and 5 of the 55 are; then
    they are one again: 20 to 25 are not the first. The second record says two things, of each row its own,
    and whoever has the last record alone counts the same. It had counted 20.
    """
    whole = [part("1", pieces=64, part="pins")]
    first = record(2001, whole, rows(("replaced", "1", 20)))
    second = record(2002, PINS, rows(("replaced", "1.b", 5)), [first])
    story = with_history(job(whole), [first, second])
    (told,) = story.histories
    assert [(said.part, said.pieces) for said in told.said] == [("", 64), ("1.a", 9), ("1.b", 55)]
    assert ("new, likeness not known", 5) in [(row.now, row.high) for row in told.said[2].now]
    last = record(2003, whole, (), [first, second])
    for earlier in ([first, second], [first, second, last], [last]):
        assert of(with_history(job(whole), earlier), "1")["earlier replacement"] == (20, 25)


@pytest.mark.parametrize("dotted", [False, True])
def test_of_rows_that_were_one_in_between_none_is_what_it_was_before(dotted: bool) -> None:
    """By hand: three pieces in three rows, then one part that is replaced, then rows again: none is original,
    whoever has which of the records. Of rows 1.2 and 1.3 the first record alone had been heard.
    """
    rows_of = [part("1"), part("1.2"), part("1.3")] if dotted else [part("1", pieces=3)]
    if not dotted:
        rows_of += [part(f"1.{letter}", part_of="1") for letter in "abc"]
    first = record(2000, rows_of)
    second = record(2001, [part("1", pieces=3)], rows(("replaced", "1")), [first])
    for earlier in ([first, second], [second]):
        assert lines(with_history(job(rows_of), earlier)) == [("earlier replacement", 3, 3)]


@pytest.mark.parametrize("replaced", ["1 1.2 1.3", "1.2 1.3"])
@pytest.mark.parametrize("dotted", [False, True])
def test_rows_read_alike_that_are_one_later_count_each(dotted: bool, replaced: str) -> None:
    """By hand: of rows of two pieces each, two rows or all three are replaced; then they are one part of six:
    four or six are not the first. Of all rows read alike one had been told, and whoever had the last record
    alone counted its two.
    """
    numbers = {
        "1": "1" if dotted else "1.a",
        "1.2": "1.2" if dotted else "1.b",
        "1.3": "1.3" if dotted else "1.c",
    }
    heading = [] if dotted else [part("1", pieces=6)]
    each = [part(number, pieces=2, part_of="" if dotted else "1") for number in numbers.values()]
    work = rows(("replaced", " ".join(numbers[number] for number in replaced.split())))
    first = record(2000, [*heading, *each], work)
    whole = [part("1", pieces=6)]
    second = record(2001, whole, (), [first])
    count = 2 * len(replaced.split())
    for earlier in ([first], [first, second], [second]):
        story = with_history(job(whole), earlier)
        assert of(story, "1")["earlier replacement"] == (count, count)
        (told,) = story.histories
        assert [(s.part, s.pieces) for s in told.said[:3]] == [(n, 2) for n in numbers.values()]


def test_a_row_is_what_it_is_read_as_only_where_that_is_sure() -> None:
    """By hand: 2 of 5 pieces are replaced, none to both of the 3 in 1.a. Of the 3 one is then read as a
    replacement and two as original: who knows which were replaced. Both had counted as original for certain.
    """
    before = [part("1", pieces=5), part("1.a", pieces=3, part_of="1"), part("1.b", pieces=2, part_of="1")]
    first = record(2000, before, rows(("replaced", "1", 2)))
    within = [part("1.a1", pieces=2, part_of="1.a"), part("1.a2", "earlier replacement", part_of="1.a")]
    story = with_history(job([*before[:2], *within, before[2]]), [first])
    assert of(story, "1.a1")["earlier replacement"] == (0, 2)


def test_what_was_renewed_while_not_known_stays_so_whatever_each_row_is_read_as() -> None:
    """By hand: 2 of 5 pins read as not known are renewed in part; then 3 are read as original, 2 as not known
    still: of the three none to two were renewed. They had been three without any work for certain.
    """
    first = record(2000, [part(came_as="not known", pieces=5)], rows(("part renewed", "1", 2)))
    story = with_history(job([part(pieces=3), part("1.2", "not known", pieces=2)]), [first])
    original = ("original, no work recorded", 1, 3), ("original, part renewed", 0, 2)
    assert lines(story) == [*original, ("not known", 2, 2)]


def test_a_refitted_piece_is_what_the_workshop_reads_it_as() -> None:
    """It was original and taken away; who refits it says that it is a replacement. It had counted as
    original, against both the record and the row of the job.
    """
    away = record(2000, [part()], rows(("taken away", "1")))
    refitted = rows(("taken off and refitted", "1"))
    assert lines(with_history(job([part()], refitted), [away])) == [("original, treated", 1, 1)]
    other = with_history(job([part("1", "earlier replacement")], refitted), [away])
    assert lines(other) == [("earlier replacement", 1, 1)]


def test_rows_that_are_one_and_rows_again_and_again_cost_little() -> None:
    """Two rows and one part by turns, 40 times: each turn had doubled what was looked through."""
    both, whole = [part("1"), part("1.2")], [part("1", pieces=2)]
    turns = [record(1900 + year, whole if year % 2 else both) for year in range(40)]
    (told,) = with_history(job(whole), turns).histories
    assert len(told.said) == 20 + 2 * 20


def test_a_heading_within_what_became_one_is_some_of_it_whoever_carries_the_record() -> None:
    """By hand: front pins 1.a are two rows and one of them is replaced; then two of all three pins are, and
    then they are one. Whoever lacks the second record has it from the third: of 1.a both may be replaced.
    """
    inner = [part("1.a", pieces=2, part_of="1"), part("1.a1", part_of="1.a"), part("1.a2", part_of="1.a")]
    nested, whole = [part("1", pieces=3), *inner, part("1.b", part_of="1")], [part("1", pieces=3)]
    first = record(2000, nested, rows(("replaced", "1.a1")))
    second = record(2001, nested, rows(("replaced", "1", 2)), [first])
    third = record(2002, whole, (), [second])
    story = with_history(job([whole[0], inner[0], part("1.b", part_of="1")]), [first, third])
    assert of(story, "1.a")["earlier replacement"][1] == 2


def test_what_was_said_of_rows_that_are_one_is_told_once() -> None:
    """Of 16 rows of four pins two were replaced: by hand, 8 and 56 of 64. Each row had been a reading."""
    whole = [part("1", pieces=64, part="pins")]
    each = [part(f"1.{letter}", pieces=4, part_of="1") for letter in "abcdefghijklmnop"]
    first = record(2000, [*whole, *each], rows(("replaced", "1.a 1.b")))
    story = with_history(job(whole), [first])
    told = [one.text for one in disclosure(story.job, now_of(story), Catalogue("en"), story.histories, whole)]
    (said,) = (text for text in told if "as said before" in text)
    assert said.count("Workshop of 2000") == 1
    assert "8 of 64" in said and "56 of 64" in said
