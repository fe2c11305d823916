"""The account across records: examples counted by hand, the rules of FORMAT.md section 3.1, properties."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec
import pytest
from counting import calls, calls_again
from hypothesis import given, settings
from hypothesis import strategies as st
from originals import original_range

from dossier.account.history import Story, with_history
from dossier.account.joint import joints
from dossier.account.lines import account_of
from dossier.account.mix import Mix, Row, after, met, whole
from dossier.account.parts import parts_now
from dossier.account.sentences import disclosure
from dossier.intake.draft_earlier import parts_carried
from dossier.model.earlier import EarlierOpened
from dossier.model.job import Job, Workshop
from dossier.model.plain import from_plain, to_plain
from dossier.model.record import Account, PartNow, Payload, WorkshopId
from dossier.model.rows import Dates, EarlierRecord, HistoryClaim, Object, OtherPart, Part, Work
from dossier.model.words import CAME_AS, DONE, NOW, CameAs, Done
from dossier.words import Catalogue


def part(number: str = "1", came_as: CameAs = "original", **members: Any) -> Part:
    return Part(number=number, part=members.pop("part", f"part {number}"), came_as=came_as, **members)


def rows(*typed: tuple[Any, ...]) -> tuple[Work, ...]:
    """("cleaned", "1") or ("cleaned", "1", 9), numbered from 1."""
    return tuple(
        Work(number=n, done=row[0], parts=tuple(row[1].split()), pieces=row[2] if len(row) > 2 else 0)
        for n, row in enumerate(typed, 1)
    )


def job(parts: Sequence[Part], work: Sequence[Work] = (), **members: Any) -> Job:
    return Job(
        number="J",
        workshop=Workshop(name="Now & Here"),
        object=Object(type=members.pop("type", "trunk")),
        parts=tuple(parts),
        work=tuple(work),
        **members,
    )


def now_of(story: Story) -> tuple[Any, ...]:
    return parts_now(story.job.parts, story.job.work, story.origins)


def record(
    year: int,
    parts: Sequence[Part],
    work: Sequence[Work] = (),
    earlier: Sequence[EarlierOpened] = (),
    **members: Any,
) -> EarlierOpened:
    """What a workshop would have signed in that year, knowing `earlier`; it comes back from its JSON."""
    story = with_history(job(parts, work, **members), earlier)
    payload = Payload(
        format="1.0",
        sd_alg="sha-256",
        iat=(year - 1970) * 31_557_600,
        record=f"urn:uuid:00000000-0000-4000-8000-{year:012d}",
        job=str(year),
        language="en",
        workshop=WorkshopId(name=f"Workshop of {year}"),
        object=story.job.object,
        for_whom="private owner",
        dates=Dates(returned=f"{year}-05-01"),
        parts=tuple(parts),
        work=tuple(work),
        parts_now=now_of(story),
        part_history=story.histories,
        history=story.job.history,
    )
    plain = to_plain(payload)
    return EarlierOpened(
        payload=from_plain(Payload, plain),
        sha256=f"{year:064x}",
        checked="signature matches, key not confirmed",
        path=str(year),
    )


def states(
    parts: Sequence[Part], work: Sequence[Work] = (), earlier: Sequence[EarlierOpened] = (), **members: Any
) -> list[tuple[str, str, int, int]]:
    now = now_of(with_history(job(parts, work, **members), earlier))
    return [(row.part, row.now, row.pieces_low, row.pieces_high) for row in now]


def account(story: Story) -> tuple[Account, ...]:
    together = joints(story.job.parts, story.job.work, story.families, story.joint)
    return account_of(story.job.parts, now_of(story), together)


def lines(story: Story) -> list[tuple[str, int, int]]:
    return [(a.now, a.pieces_low, a.pieces_high) for a in account(story)]


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


def test_an_ordinary_refitting_brings_nothing_back() -> None:
    """9 of 64 were taken away; that some are taken off and refitted now says nothing of the nine."""
    of_2020 = record(2020, [part(pieces=64)], rows(("taken away", "1", 9)))
    found = states([part(pieces=64)], rows(("taken off and refitted", "1", 20)), [of_2020])
    assert sum(high for _, now, _, high in found if now == "earlier replacement") == 9


def test_the_chain_goes_on_where_a_file_is_lost() -> None:
    of_2018 = record(2018, [part("4", pieces=4)], rows(("replaced", "4", 1)))
    of_2022 = record(2022, [part("4", pieces=4)], (), [of_2018])
    both = with_history(job([part("4", pieces=4)]), [of_2018, of_2022])
    alone = with_history(job([part("4", pieces=4)]), [of_2022])
    assert (
        lines(both) == lines(alone) == [("original, no work recorded", 3, 3), ("earlier replacement", 1, 1)]
    )
    assert [s.sha256 for s in alone.histories[0].said] == [of_2018.sha256, of_2022.sha256]


def test_a_paper_counts_and_is_marked_as_one() -> None:
    bill = HistoryClaim(
        what="bill",
        date="1978",
        by="Example & Son",
        known_from="paper",
        parts=("1",),
        done="replaced",
        pieces=2,
    )
    story = with_history(job([part(pieces=6)], history=(bill,)))
    assert lines(story) == [("original, no work recorded", 4, 4), ("earlier replacement", 2, 2)]
    (said,) = story.histories[0].said
    assert (said.sha256, said.done, said.workshop, said.date) == ("", "replaced", "Example & Son", "1978")
    told = msgspec.structs.replace(bill, known_from="owner says")
    assert with_history(job([part(pieces=6)], history=(told,))).origins == {}


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


# Properties.

made_parts = st.builds(
    lambda came_as, pieces, measure: part("1", came_as, pieces=pieces, measure=measure),
    st.sampled_from(CAME_AS),
    st.integers(1, 9),
    st.sampled_from(["", "4 dm2"]),
)
NOT_REFITTED = [done for done in DONE if done != "taken off and refitted"]


def made_work(done: Sequence[Done] = NOT_REFITTED) -> st.SearchStrategy[tuple[Work, ...]]:
    row = st.tuples(st.sampled_from(done), st.just("1"), st.integers(0, 9))
    return st.lists(row, max_size=3).map(lambda typed: rows(*typed))


def one_pieces(parts: Part, n: int) -> Part:
    return msgspec.structs.replace(parts, pieces=n)


steps = st.lists(st.tuples(st.sampled_from(CAME_AS), made_work()), min_size=1, max_size=4)


def open_of(story: Story) -> int:
    """The most that may be original when the part comes in."""
    (history,) = story.histories
    n = sum(p.pieces for p in story.job.parts)
    mine = [o for o in history.counted_as if o.came_as in ("original", "not known")]
    return min(sum(o.high for o in mine), n - sum(o.low for o in history.counted_as if o not in mine))


@settings(deadline=None, max_examples=300)
@given(st.integers(1, 9), steps)
def test_the_most_that_is_original_never_rises_by_itself(n: int, typed: Any) -> None:
    """Over any records, knowing each other or not, without a refitting or a reason."""
    records: list[EarlierOpened] = []
    bound = n
    for year, (came_as, work) in enumerate(typed, 2000):
        story = with_history(job([part("1", came_as, pieces=n)], work), records)
        if story.histories:
            assert open_of(story) <= bound
            bound = min(bound, open_of(story))
        records.append(record(year, [part("1", came_as, pieces=n)], work))
        most = original_range(records[-1].payload.parts_now, n)[1]
        bound = min(bound, most)


@settings(deadline=None, max_examples=200)
@given(steps)
def test_of_one_piece_the_account_itself_never_rises(typed: Any) -> None:
    records: list[EarlierOpened] = []
    bound = 1
    for year, (came_as, work) in enumerate(typed, 2000):
        now = now_of(with_history(job([part("1", came_as)], work), records))
        most = original_range(now, 1)[1]
        assert most <= bound
        bound = most
        records.append(record(year, [part("1", came_as)], work))


@settings(deadline=None, max_examples=200)
@given(st.integers(1, 9), steps, st.sampled_from(CAME_AS))
def test_opening_what_was_not_examined_narrows_within_the_old_bounds(
    n: int, typed: Any, came_as: CameAs
) -> None:
    """Not examined and not known; then opened, read as anything, and left as found."""
    records = [
        record(year, [part("1", came, pieces=n)], work) for year, (came, work) in enumerate(typed, 2000)
    ]
    closed = with_history(job([part("1", "not known", pieces=n)], rows(("not examined", "1"))), records)
    opened = with_history(job([part("1", came_as, pieces=n)], rows(("left as found", "1"))), records)
    low, high = original_range(now_of(closed), n)
    new_low, new_high = original_range(now_of(opened), n)
    assert low <= new_low <= new_high <= high


@settings(deadline=None, max_examples=200)
@given(st.integers(1, 9), steps, made_work(DONE), steps)
def test_unrelated_records_change_nothing(n: int, typed: Any, work: Any, others: Any) -> None:
    """Of another object; and of this object with none of these parts."""
    records = [
        record(year, [part("1", came, pieces=n)], done) for year, (came, done) in enumerate(typed, 2000)
    ]
    strange = [
        record(year, [part("1", came, part="something else")], done, type="clock")
        for year, (came, done) in enumerate(others, 2010)
    ]
    apart = [record(year, [part("8", came)]) for year, (came, _) in enumerate(others, 2020)]
    mine = job([part("1", pieces=n)], work)
    alone = with_history(mine, records)
    assert account(with_history(mine, [*strange, *records, *apart])) == account(alone)
    assert with_history(mine, [*strange, *records]).histories == alone.histories


@settings(deadline=None, max_examples=300)
@given(
    st.integers(2, 40),
    st.integers(1, 39),
    st.sampled_from(CAME_AS),
    st.lists(st.tuples(st.sampled_from(DONE), st.integers(0, 40)), max_size=3),
    st.lists(st.tuples(st.sampled_from(DONE), st.integers(0, 40)), max_size=3),
    st.booleans(),
)
def test_splitting_a_part_changes_no_share(
    n: int, first: int, came_as: CameAs, before: Any, done: Any, dotted: bool
) -> None:
    """A part with a history, whole and in two rows of the same total: under a heading, or as 1 and 1.2."""
    first = min(first, n - 1)
    old = record(2020, [part("1", pieces=n)], rows(*((word, "1", min(k, n)) for word, k in before)))
    whole_work = rows(*((word, "1", 0 if dotted else min(k, n)) for word, k in done))
    alike: dict[str, Any] = {"came_as": came_as, "part": "pins"}
    if dotted:
        split = [part("1", pieces=first, **alike), part("1.2", pieces=n - first, **alike)]
        work = rows(*((word, "1 1.2") for word, _ in done))
    else:
        split = [
            part("1", pieces=n, **alike),
            part("1a", pieces=first, part_of="1", **alike),
            part("1b", pieces=n - first, part_of="1", **alike),
        ]
        work = whole_work
    one = with_history(job([part("1", pieces=n, **alike)], whole_work), [old])
    two = with_history(job(split, work), [old])
    away = {word for word, _ in before} & {"taken away"}
    if (away or came_as == "missing") and any(word == "taken off and refitted" for word, _ in done):
        return  # which of the two rows was refitted is then for the work log to say
    assert lines(two) == lines(one)


@settings(deadline=None, max_examples=300)
@given(
    st.lists(
        st.sampled_from(["original", "earlier replacement", "missing", "not known"]), min_size=1, max_size=6
    ),
    st.lists(st.sampled_from(["kept", "new", "away", "unseen"]), min_size=6, max_size=6),
)
def test_counts_hold_what_any_choice_of_pieces_gives(labels: list[str], fates: list[str]) -> None:
    """Every piece by itself, then counted: the counts of the program contain them (an oracle by hand)."""
    n = len(labels)
    coming = Mix(n, tuple(sorted((o, labels.count(o), labels.count(o)) for o in set(labels))))
    names = {
        "kept": "original, treated",
        "new": "new, like for like",
        "away": "taken away",
        "unseen": "not known",
    }
    used = [
        "new" if f == "new" else ("kept" if o == "missing" else f)
        for o, f in zip(labels, fates, strict=False)
    ]
    typed = tuple(Row(names[f], used.count(f), used.count(f)) for f in sorted(set(used)))  # type: ignore[arg-type]
    ends = [_end(label, fate) for label, fate in zip(labels, used, strict=True)]
    found = after(coming, "original", typed)
    for end in set(ends):
        low, high = found.of(end)
        assert low <= ends.count(end) <= high


def _end(label: str, fate: str) -> str:
    if fate == "new":
        return "earlier replacement"
    if fate == "away":
        return f"taken away: {label}"
    if fate == "unseen" and label in ("original", "not known"):
        return "not known"
    return label


def counted(count: int, records: int) -> int:
    """The calls made for `count` parts over `records` records of them all."""
    parts = tuple(part(str(n), pieces=3) for n in range(count))
    earlier = []
    for year in range(records):
        work = [
            Work(number=n, parts=(str(n),), done=DONE[(n + year) % len(DONE)]) for n in range(0, count, 7)
        ]
        earlier.append(record(1970 + year, parts, work))
    mine = job(parts)
    return calls_again(lambda: with_history(mine, earlier))


def test_four_times_the_parts_or_records_cost_about_four_times_as_much() -> None:
    once = counted(200, 5)
    assert counted(800, 5) < 5 * once
    assert counted(200, 20) < 5 * once


def test_no_earlier_record_costs_nothing() -> None:
    mine = job([part(str(n)) for n in range(1000)])
    assert with_history(mine).job is mine
    assert calls(lambda: with_history(mine)) < 50


numbers = st.sampled_from(["1", "1.2", "1.2.2", "2", "", "x" * 50])
strange_rows = st.lists(
    st.builds(
        PartNow,
        part=numbers,
        now=st.sampled_from(NOW),
        pieces_low=st.integers(-5, 10**6),
        pieces_high=st.integers(-5, 10**6),
    ),
    max_size=6,
)
strange_parts = st.lists(
    st.builds(
        Part,
        number=numbers,
        part=st.sampled_from(["pins", ""]),
        part_of=numbers,
        pieces=st.integers(-3, 10**6),
        came_as=st.sampled_from(CAME_AS),
    ),
    max_size=5,
)


@settings(deadline=None, max_examples=400)
@given(st.lists(st.tuples(strange_parts, strange_rows, made_work(DONE)), max_size=3), made_work(DONE))
def test_whatever_a_signed_record_says_the_account_stays_one(typed: Any, work: Any) -> None:
    """Records that contradict themselves: nothing is raised, all ranges stay ranges."""
    records = []
    for year, (parts, now, done) in enumerate(typed, 2000):
        one = record(year, [part("1")], ())
        said = msgspec.structs.replace(one.payload, parts=tuple(parts), parts_now=tuple(now), work=done)
        records.append(msgspec.structs.replace(one, payload=said))
    story = with_history(job([part("1", pieces=4), part("1.2", pieces=2)], work), records)
    for row in now_of(story):
        n = {"1": 4, "1.2": 2}[row.part]
        assert 0 <= row.pieces_low <= row.pieces_high <= n
    for line in account(story):
        assert 0 <= line.pieces_low <= line.pieces_high <= 6


def test_a_part_that_grew_into_two_rows_has_its_old_piece_once() -> None:
    """One old piece and five more in rows of four and two: by hand, the old one is in either row, once."""
    before = record(2000, [part("1", pieces=1, came_as="earlier replacement")], ())
    story = with_history(job([part("1", pieces=4), part("1.2", pieces=2)], ()), [before])
    ranges = {(row.part, row.now): (row.pieces_low, row.pieces_high) for row in now_of(story)}
    assert ranges == {
        ("1", "earlier replacement"): (0, 1),
        ("1", "original, no work recorded"): (3, 4),
        ("1.2", "earlier replacement"): (0, 1),
        ("1.2", "original, no work recorded"): (1, 2),
    }
    counted = {line.now: (line.pieces_low, line.pieces_high) for line in account(story)}
    assert counted == {"earlier replacement": (1, 1), "original, no work recorded": (5, 5)}
