"""The account across records: examples counted by hand, and the rules of FORMAT.md section 3.1."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from originals import original_range
from stories_made import account, job, lines, now_of, part, record, rows, states

from dossier.account.findings import gaps_of
from dossier.account.history import with_history
from dossier.account.meeting import met
from dossier.account.mix import whole
from dossier.account.sentences import disclosure
from dossier.intake.draft_earlier import parts_carried
from dossier.model.rows import EarlierRecord, HistoryClaim, OtherPart, Part
from dossier.model.words import CAME_AS, CameAs
from dossier.words import Catalogue

# Worked examples. Each is counted by hand in its docstring, without the program.


def test_worked_example_pins_replaced_in_two_jobs() -> None:
    """64 pins. 2020: 9 replaced. 2026: typed as original all, 20 cleaned.

    Before 2026: 64 - 9 = 55 original, 9 of 2020. Of the 20 cleaned, at least 20 - 9 = 11 and at most 20 are
    original; so of the 64 - 20 = 44 not cleaned, at least 44 - 9 = 35 and at most 44. Original in all: 55.
    """
    pins = [part(pieces=64, material="brass")]
    of_2020 = record(2020, pins, rows(("replaced", "1", 9)))
    story = with_history(job(pins, rows(("cleaned", "1", 20))), [of_2020])
    assert lines(story) == [
        ("original, no work recorded", 35, 44),
        ("original, treated", 11, 20),
        ("earlier replacement", 9, 9),
    ]
    (history,) = story.histories
    assert [(o.came_as, o.low, o.high) for o in history.counted_as] == [
        ("earlier replacement", 9, 9),
        ("original", 55, 55),
    ]
    assert history.differs and history.said[0].workshop == "Workshop of 2020"


def test_worked_example_ten_replaced_now_of_which_some_were_new_before() -> None:
    """64 pins. 2020: 9 replaced. 2026: 10 replaced, nobody says which.

    New now: 10. Of the 9 of 2020 between 9 - 10 (none) and 9 are still there. Original: at least 55 - 10 = 45
    (all ten were original) and at most 64 - 10 = 54 less what is left of the nine; at most 55 in any case, so
    54 when nine of the ten were those of 2020.
    """
    pins = [part(pieces=64)]
    of_2020 = record(2020, pins, rows(("replaced", "1", 9)))
    assert states(pins, rows(("replaced", "1", 10)), [of_2020]) == [
        ("1", "new, likeness not known", 10, 10),
        ("1", "earlier replacement", 0, 9),
        ("1", "original, no work recorded", 45, 54),
    ]


def test_worked_example_some_of_a_heading_replaced_then_some_cleaned() -> None:
    """64 pins in rows of 9 and 55 under a heading. 2020: 20 of the 64 replaced. 2026: 30 of the 64 cleaned.

    Which row the 20 are in nobody knows: of the 55 at least 20 - 9 = 11 and at most 20, of the 9 at most 9.
    Both together have 20, as the account of 2020 says, so 44 are original. Of the 30 at most 20 are new ones,
    so that 10 to 30 originals were cleaned, and 44 - 30 = 14 to 34 were not.
    """
    pins = [
        part("1", pieces=64),
        part("1.a", pieces=9, part_of="1"),
        part("1.b", pieces=55, part_of="1"),
    ]
    of_2020 = record(2020, pins, rows(("replaced", "1", 20)))
    found = {
        now: (low, high)
        for now, low, high in lines(with_history(job(pins, rows(("cleaned", "1", 30))), [of_2020]))
    }
    assert found["earlier replacement"] == (20, 20)
    assert found["original, treated"] == (10, 30)
    assert found["original, no work recorded"] == (14, 34)


def test_worked_example_taken_away_kept_and_refitted_six_years_later() -> None:
    """Tray (1 piece) original; 2020 taken away. 2023: came as missing: nothing original of it. 2026: missing
    when it came, refitted and cleaned: the original again, 1 of 1. Without the refitting: still missing.
    """
    of_2020 = record(2020, [part()], rows(("taken away", "1")))
    of_2023 = record(2023, [part(came_as="missing")], (), [of_2020])
    assert of_2023.payload.parts_now[0].now == "missing"
    back = rows(("taken off and refitted", "1"), ("cleaned", "1"))
    assert states([part(came_as="missing")], back, [of_2023]) == [("1", "original, treated", 1, 1)]
    assert states([part(came_as="missing")], (), [of_2023]) == [("1", "missing", 1, 1)]


def test_worked_example_two_jobs_between_which_one_forgot() -> None:
    """Lining of 2019 replaced; 2022, not knowing of it, reads it as original; 2026 reads it as original too.

    Whoever has 2022 alone counts 1 original of 1. With 2019 at hand: 0 of 1. The record of 2022 stays what it
    is, and both readings stand in that of 2026.
    """
    of_2019 = record(2019, [part()], rows(("replaced", "1")))
    of_2022 = record(2022, [part()], rows(("left as found", "1")))
    done = rows(("left as found", "1"))
    assert states([part()], done, [of_2022]) == [("1", "original, left as found", 1, 1)]
    story = with_history(job([part()], done), [of_2022, of_2019])
    assert lines(story) == [("earlier replacement", 1, 1)]
    assert [said.date for said in story.histories[0].said] == ["2019-05-01", "2022-05-01"]
    assert [row.now for row in story.histories[0].said[1].now] == ["original, left as found"]
    assert story.readings[0].part == "1" and not story.readings[0].back


def test_worked_example_a_row_split_since() -> None:
    """64 pins, 9 replaced in 2020; the new job has rows 4 (55 original) and 4.2 (9 earlier replacement), as a
    job made from the record has. 55 + 9 = 64: nothing is read differently, and the numbers are certain.
    """
    of_2020 = record(2020, [part("4", pieces=64)], rows(("replaced", "4", 9)))
    split = [part("4", pieces=55), part("4.2", "earlier replacement", pieces=9)]
    story = with_history(job(split), [of_2020])
    assert lines(story) == [("original, no work recorded", 55, 55), ("earlier replacement", 9, 9)]
    assert not story.readings and not story.not_here
    assert {h.parts: h.was for h in story.histories} == {("4",): "", ("4.2",): "4"}


def test_a_record_that_follows_says_of_no_more_pieces_that_they_may_be_original() -> None:
    """Of 8, 2 replaced, then 1 taken away, then 1 replaced. The first two are not original whatever came
    after, so 6 at most are; a second record in which nothing was done may not say 7.
    """
    work = rows(("replaced", "4", 2), ("taken away", "4", 1), ("replaced", "4", 1))
    first = record(2020, [part("4", pieces=8)], work)
    assert original_range(first.payload.parts_now, 8) == (4, 6)
    again = now_of(with_history(job([part("4", pieces=8)]), [first]))
    assert original_range(again, 8) == (4, 6)


def test_more_pieces_than_were_taken_away_and_refitted_come_as_they_are_read() -> None:
    """A foot taken away in 2020; four and two under its number now, the four put back."""
    gone = record(2020, [part("4")], rows(("taken away", "4")))
    again = job([part("4", pieces=4), part("4.2", pieces=2)], rows(("taken off and refitted", "4")))
    assert original_range(now_of(with_history(again, [gone])), 6)[1] == 6
    assert sum(a.pieces_high for a in account(with_history(again, [gone]))) >= 6


pieces_of_work = st.tuples(
    st.sampled_from(["replaced", "taken away", "cleaned", "not examined", "left as found"]),
    st.just("4"),
    st.integers(1, 8),
)


@settings(deadline=None, max_examples=200)
@given(st.lists(pieces_of_work, max_size=4), st.sampled_from(["original", "later addition", "not known"]))
def test_a_job_made_from_a_record_starts_from_what_the_record_ends_with(
    work: list[tuple[Any, ...]], came_as: CameAs
) -> None:
    """FORMAT.md section 3.1: nothing is read differently, no more and no fewer are original than before."""
    before = [part("4", came_as, pieces=8)]
    earlier = record(2020, before, rows(*work))
    carried = [
        Part(**{**row, "pieces": int(str(row["pieces"]))})
        for row in parts_carried(earlier.payload.parts, earlier.payload.parts_now)
    ]
    assert sum(row.pieces for row in carried) == 8
    story = with_history(job(carried), [earlier])
    assert not story.readings and not story.not_here
    assert original_range(now_of(story), 8)[1] == original_range(earlier.payload.parts_now, 8)[1]
    assert original_range(now_of(story), 8)[0] <= original_range(earlier.payload.parts_now, 8)[0]
    if len(carried) > 1:
        assert original_range(now_of(story), 8) == original_range(earlier.payload.parts_now, 8)


def test_worked_example_what_was_renewed_in_part_stays_so() -> None:
    """2020: the door partly renewed, the pair of hands blued anew, 3 of 8 pegs repaired. 2026: hands and pegs
    cleaned, 2 of the pegs replaced, the door not touched.

    The door is half of 2020 still: original, part renewed. The hands have the surface of 2020. Repairs are a
    treatment of the day: of the pegs 2 are new and 6 treated.
    """
    parts = [part("1"), part("2", pieces=2), part("3", pieces=8)]
    done = rows(("part renewed", "1"), ("new surface", "2"), ("repaired", "3", 3))
    of_2020 = record(2020, parts, done)
    work = rows(("cleaned", "2"), ("cleaned", "3"), ("replaced", "3", 2))
    expected = [
        ("1", "original, part renewed", 1, 1),
        ("2", "original, new surface", 2, 2),
        ("3", "new, likeness not known", 2, 2),
        ("3", "original, treated", 6, 6),
    ]
    assert states(parts, work, [of_2020]) == expected
    # A third record that knows only the second is told the same by it.
    of_2026 = record(2026, parts, rows(("cleaned", "1 2")), [of_2020])
    assert states(parts, (), [of_2026])[:2] == expected[:2]
    assert states(parts, rows(("replaced", "1")), [of_2026])[0][1:] == ("new, likeness not known", 1, 1)
    assert states(parts, rows(("not examined", "1")), [of_2026])[0][1:] == ("not known", 1, 1)


def test_what_was_done_before_a_part_was_taken_away_is_there_when_it_comes_back() -> None:
    """2020: a handle cut down, its end renewed, then taken away. 2026: refitted, as it was left."""
    handle = [part("1")]
    of_2020 = record(2020, handle, rows(("altered", "1"), ("part renewed", "1"), ("taken away", "1")))
    story = with_history(job(handle, rows(("taken off and refitted", "1"))), [of_2020])
    (now,) = now_of(story)
    assert (now.now, now.pieces_low, now.altered) == ("original, part renewed", 1, True)
    (history,) = story.histories
    assert [said.altered for said in history.said] == [True]


def test_of_some_pieces_renewed_in_part_and_some_replaced_since() -> None:
    """16 screws. 2020: 6 partly renewed. 2026: 4 replaced: of the 6 at least 2 are left."""
    screws = [part(pieces=16)]
    of_2020 = record(2020, screws, rows(("part renewed", "1", 6)))
    assert states(screws, rows(("replaced", "1", 4)), [of_2020]) == [
        ("1", "new, likeness not known", 4, 4),
        ("1", "original, no work recorded", 6, 10),
        ("1", "original, part renewed", 2, 6),
    ]


def test_what_was_cut_down_by_an_earlier_record_is_said(words: Catalogue) -> None:
    parts = [part("1", part="carcase"), part("2", part="door")]
    of_2020 = record(2020, parts, rows(("altered", "1"), ("cleaned", "2")))
    named = (EarlierRecord(record="urn:x", sha256=of_2020.sha256),)
    story = with_history(job(parts, rows(("cleaned", "1 2")), earlier_records=named), [of_2020])
    now = now_of(story)
    assert [row.altered for row in now] == [True, False]
    told = [s.text for s in disclosure(story.job, now, words, story.histories, parts)]
    assert "An earlier change of size, shape or use is recorded: carcase." in told
    assert not any(text.startswith("No change of size") for text in told)
    said = "The carcase, as said before: original, treated / altered in size, shape or use (Workshop of 2020,"
    assert any(text.startswith(said) for text in told)


def test_a_paper_on_some_of_the_pieces_is_not_read_of_all(words: Catalogue) -> None:
    claim = HistoryClaim(
        what="a spring renewed", date="1998", known_from="paper", parts=("1",), done="replaced", pieces=1
    )
    springs = [part("1", pieces=2, part="springs")]
    story = with_history(job(springs, (), history=(claim,)))
    told = disclosure(story.job, now_of(story), words, story.histories, springs)
    assert any("The springs, as said before: 1 of 2 replaced (from a paper, 1998)." in s.text for s in told)


def test_worked_example_measured() -> None:
    """Body 12.5 dm2 cleaned; lining 8 dm2 replaced (2020) and read as original; handle 1.2 m, not measured by
    area; 64 pins of 2 g each, 9 of them replaced now. A pocket without a measure left as found.

    Area: treated 12.5; no work recorded: none of handle and pins, which is 2 parts without; earlier
    replacement 8. Mass: 55 x 2 = 110 g not worked on, 9 x 2 = 18 g new.
    """
    parts = [
        part("1", measure="12.5 dm2"),
        part("2", measure="8 dm2"),
        part("3", measure="1,2 m"),
        part("4", pieces=64, measure="2 g each"),
        part("5"),
    ]
    of_2020 = record(2020, parts, rows(("replaced", "2")))
    work = rows(("cleaned", "1"), ("replaced", "4", 9), ("left as found", "5"))
    found = {
        (a.now, m.dimension): (m.unit, m.low, m.high, m.without)
        for a in account(with_history(job(parts, work), [of_2020]))
        for m in a.measured
    }
    assert found["original, treated", "area"] == ("dm2", "12.5", "12.5", 0)
    assert found["earlier replacement", "area"] == ("dm2", "8", "8", 0)
    assert found["original, no work recorded", "length"] == ("m", "1.2", "1.2", 1)
    assert found["original, no work recorded", "mass"] == ("g", "110", "110", 1)
    assert found["original, no work recorded", "area"] == ("dm2", "0", "0", 2)
    assert found["new, likeness not known", "mass"] == ("g", "18", "18", 0)
    assert found["original, left as found", "area"] == ("dm2", "0", "0", 1)


# The rules, one by one.


def kept(before: CameAs, now: CameAs, **entry: Any) -> str:
    return met(whole(before, 1), now, 1, **entry).mix.label


@pytest.mark.parametrize(
    ("before", "now", "counts_as"),
    [
        ("original", "original", "original"),
        ("original", "not known", "not known"),
        ("original", "earlier replacement", "earlier replacement"),
        ("original", "missing", "missing"),
        ("not known", "original", "original"),
        ("not known", "later addition", "later addition"),
        ("earlier replacement", "original", "earlier replacement"),
        ("earlier replacement", "not known", "earlier replacement"),
        ("later addition", "original", "later addition"),
        ("from another object", "original", "from another object"),
        ("earlier replacement", "later addition", "later addition"),
        ("missing", "original", "earlier replacement"),
        ("missing", "not known", "missing"),
        ("missing", "later addition", "later addition"),
    ],
)
def test_two_readings_of_one_piece(before: CameAs, now: CameAs, counts_as: str) -> None:
    assert kept(before, now) == counts_as


@pytest.mark.parametrize("before", CAME_AS)
@pytest.mark.parametrize("now", CAME_AS)
def test_a_reason_is_a_correction(before: CameAs, now: CameAs) -> None:
    assert kept(before, now, reasoned=True) == now


def test_a_part_replaced_before_is_not_original_and_says_why() -> None:
    of_2020 = record(2020, [part(part="lining of the lid", material="linen")], rows(("replaced", "1")))
    lining = part(part="lining of the lid", material="linen")
    done = rows(("cleaned", "1"))
    records = (EarlierRecord(record="urn:x", sha256=of_2020.sha256),)
    story = with_history(job([lining], done, earlier_records=records), [of_2020])
    said = disclosure(story.job, now_of(story), Catalogue("en"), story.histories, [lining])
    (sentence,) = [s for s in said if "as said before" in s.text]
    assert sentence.text == (
        "The lining of the lid, as said before: new, likeness not known (Workshop of 2020, 1 May 2020). "
        "This record reads it as original. "
        "All readings stand, and the account counts it as: earlier replacement."
    )
    assert sentence.rows == ("parts/1", "earlier_records/1")
    assert not any("original" in s.text for s in said if s.group in ("kept", "worked_on"))


def test_a_correction_with_its_reason() -> None:
    of_2020 = record(2020, [part()], rows(("replaced", "1")))
    corrected = part(why_otherwise="the maker's stamp stands under the seam")
    assert states([corrected], rows(("left as found", "1")), [of_2020]) == [
        ("1", "original, left as found", 1, 1)
    ]
    of_2024 = record(2024, [corrected], (), [of_2020])
    assert states([part()], (), [of_2024]) == [("1", "original, no work recorded", 1, 1)]


@pytest.mark.parametrize(
    ("why", "said"),
    [
        ("Because of the maker's stamp", "original. Reason: the maker's stamp."),
        ("because it bears the stamp, which is worn", "original, because it bears the stamp, which is worn."),
        ("stamp of the maker", "original. Reason: stamp of the maker."),
    ],
)
def test_a_reason_for_another_reading_has_one_because(why: str, said: str) -> None:
    of_2020 = record(2020, [part(came_as="earlier replacement")])
    story = with_history(job([part(why_otherwise=why)]), [of_2020])
    texts = disclosure(story.job, now_of(story), Catalogue("en"), story.histories, [part(why_otherwise=why)])
    (text,) = (one.text for one in texts if "This record reads it as" in one.text)
    assert f"This record reads it as {said}" in text


def test_no_row_is_of_no_piece() -> None:
    """64 pins missing, all supplied: of the missing none is left, and no line says "0 of 64"."""
    of_2020 = record(2020, [part(came_as="missing", pieces=64)])
    now = now_of(with_history(job([part(came_as="missing", pieces=64)], rows(("added", "1"))), [of_2020]))
    assert [(row.now, row.pieces_low, row.pieces_high) for row in now] == [
        ("new, likeness not known", 64, 64)
    ]


def test_of_some_pieces_put_back_nobody_says_whether_they_are_those_that_were_away() -> None:
    """By hand: 9 of 64 were taken away, 20 of the 64 are taken off and refitted now. All nine may be among
    the 20, or none (55 others were there): 55 to 64 are original.
    """
    of_2020 = record(2020, [part(pieces=64)], rows(("taken away", "1", 9)))
    some = with_history(job([part(pieces=64)], rows(("taken off and refitted", "1", 20))), [of_2020])
    assert original_range(now_of(some), 64) == (55, 64)
    assert not some.readings  # no refitting would be recorded, it says
    few = with_history(job([part(pieces=64)], rows(("taken off and refitted", "1", 4))), [of_2020])
    assert [reading.back for reading in few.readings] == [True]  # five at least were not put back
    [said] = [gap.text for gap in gaps_of(few.job, Catalogue("en"), few) if gap.code == "there-again"]
    assert "but for what is recorded as taken away and refitted" in said  # of four one is
    whole = now_of(with_history(job([part(pieces=64)], rows(("taken off and refitted", "1"))), [of_2020]))
    assert [(row.now, row.pieces_low, row.pieces_high) for row in whole] == [("original, treated", 64, 64)]


def test_worked_example_pieces_put_back_one_record_after_another() -> None:
    """Four feet, all four resurfaced in 2001 and three taken away in 2002. 2003: the three are missing, in a
    row of their own, and two of them are put back. 2004: all four are there, and the row of three refitted.

    2003: one never left and two are back, each with its surface of 2001: 3, and 1 is missing. 2004: 4 of 4.
    """
    of_2001 = record(2001, [part(pieces=4)], rows(("new surface", "1")))
    of_2002 = record(2002, [part(pieces=4)], rows(("taken away", "1", 3)), [of_2001])
    feet = [part(), part("1.2", "missing", pieces=3)]
    back = rows(("taken off and refitted", "1.2", 2))
    of_2003 = record(2003, feet, back, [of_2001, of_2002])
    assert [(a.now, a.pieces_low, a.pieces_high) for a in of_2003.payload.account] == [
        ("original, new surface", 3, 3),
        ("missing", 1, 1),
    ]
    again = job([part(), part("1.2", pieces=3)], rows(("taken off and refitted", "1.2")))
    assert lines(with_history(again, [of_2001, of_2002, of_2003])) == [("original, new surface", 4, 4)]


def test_worked_example_work_on_pieces_that_were_not_known() -> None:
    """Of four read as not known two partly renewed, one new, perhaps of the two; later read as original."""
    feet, now = [part(came_as="not known", pieces=4)], job([part(pieces=4)])
    all_renewed = record(2001, feet, rows(("part renewed", "1")))
    assert lines(with_history(now, [all_renewed])) == [("original, part renewed", 4, 4)]
    two = record(2001, feet, rows(("part renewed", "1", 2), ("replaced", "1", 1)))
    rest = [("original, no work recorded", 1, 2), ("original, part renewed", 1, 2)]
    assert lines(with_history(now, [two])) == [*rest, ("earlier replacement", 1, 1)]


def test_a_replacement_that_was_taken_away_comes_back_as_one() -> None:
    """2020: a knob replaced, and the new one taken away again in the same record. 2026: put back: it is what
    2020 made, and it had been counted as original.
    """
    of_2020 = record(2020, [part()], rows(("replaced", "1"), ("taken away", "1")))
    assert states([part(came_as="missing")], rows(("taken off and refitted", "1")), [of_2020]) == [
        ("1", "earlier replacement", 1, 1)
    ]


def test_what_no_record_took_away_is_not_put_back_by_a_row_of_work() -> None:
    """2020 found the knob missing. 2026 it is there, "refitted": whether it is the old one no record says. It
    is no original without a reason, and not missing either, which it had been counted as.
    """
    of_2020 = record(2020, [part(came_as="missing")])
    back = rows(("taken off and refitted", "1"))
    found = with_history(job([part()], back), [of_2020])
    assert lines(found) == [("earlier replacement", 1, 1)]
    assert [reading.back for reading in found.readings] == [True]
    reasoned = job([part(why_otherwise="it lay in the case; the screw holes fit")], back)
    assert lines(with_history(reasoned, [of_2020])) == [("original, treated", 1, 1)]


def test_what_is_put_back_of_a_heading_is_put_back_of_its_rows() -> None:
    """Two rows of two pins, all taken away in 2020; all four of the heading are put back: four originals."""
    pins = [part("1", pieces=4), part("1.a", pieces=2, part_of="1"), part("1.b", pieces=2, part_of="1")]
    of_2020 = record(2020, pins, rows(("taken away", "1")))
    back = job(pins, rows(("taken off and refitted", "1")))
    assert lines(with_history(back, [of_2020])) == [("original, treated", 4, 4)]


def test_the_chain_goes_on_where_a_file_is_lost() -> None:
    of_2018 = record(2018, [part("4", pieces=4)], rows(("replaced", "4", 1)))
    of_2022 = record(2022, [part("4", pieces=4)], (), [of_2018])
    both = with_history(job([part("4", pieces=4)]), [of_2018, of_2022])
    alone = with_history(job([part("4", pieces=4)]), [of_2022])
    assert (
        lines(both) == lines(alone) == [("original, no work recorded", 3, 3), ("earlier replacement", 1, 1)]
    )
    assert [s.sha256 for s in alone.histories[0].said] == [of_2018.sha256, of_2022.sha256]


def test_a_part_from_another_object_keeps_that_objects_history() -> None:
    donor = record(2021, [part("2", part="buckle")], rows(("cleaned", "2")), type="satchel")
    own = record(2022, [part("7", "earlier replacement", part="buckle")])
    other = OtherPart(part="7", record="2021", number="2")
    buckle = part("7", "from another object", part="buckle")
    story = with_history(job([buckle], other_parts=(other,)), [donor, own])
    assert lines(story) == [("from another object", 1, 1)]
    there, here = story.histories[0].said
    assert (there.object, there.part, there.now[0].now) == ("satchel", "2", "original, treated")
    assert here.sha256 == own.sha256
    (sentence,) = [
        s.text
        for s in disclosure(story.job, now_of(story), Catalogue("en"), story.histories)
        if "another object (satchel)" in s.text
    ]
    assert "as part 2" in sentence


def test_a_split_row_taken_up_again_loses_no_history() -> None:
    """2020: 4 with 55 and 4.2 with 9 replaced; 2026 in one row of 64, typed as original: 55 original."""
    of_2020 = record(2020, [part("4", pieces=55), part("4.2", pieces=9)], rows(("replaced", "4.2")))
    story = with_history(job([part("4", pieces=64)]), [of_2020])
    assert lines(story) == [("original, no work recorded", 55, 55), ("earlier replacement", 9, 9)]
    assert story.not_here == ()


def test_a_part_that_is_in_no_row_is_found() -> None:
    of_2020 = record(2020, [part("1"), part("2", part="tray"), part("3", came_as="missing")])
    assert with_history(job([part("1")]), [of_2020]).not_here == (("2", "tray"),)
