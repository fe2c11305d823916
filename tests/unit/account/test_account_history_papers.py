"""What papers say of the parts, across records: quoted once, as of what they spoke, and counted once."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest
from stories_made import job, lines, part, record, rows

from dossier.account.findings import assess, gaps_of
from dossier.account.history import with_history
from dossier.model.rows import HistoryClaim
from dossier.words import Catalogue


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


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "record or paper"),
        ("de", "Bericht oder Papier"),
        ("fr", "rapport ou un document antérieur"),
        ("es", "informe o documento anterior"),
        ("it", "relazione o un documento precedente"),
        ("ja", "以前の記録または書面"),
    ],
)
def test_what_only_a_paper_says_is_not_said_to_be_of_a_record(language: str, said: str) -> None:
    """A paper says of the spring that it was taken away; it is here, and read as original."""
    claim = HistoryClaim(what="a bill", date="1998", known_from="paper", parts=("1",), done="taken away")
    story = with_history(job([part()], (), history=(claim,)))
    [gap] = [gap.text for gap in gaps_of(story.job, Catalogue(language), story) if gap.code == "there-again"]
    assert said in gap


def test_that_a_part_came_as_missing_by_a_paper_is_said_so() -> None:
    claim = HistoryClaim(what="a bill", date="1998", known_from="paper", parts=("1",), done="taken away")
    here = job([part(came_as="missing")], rows(("cleaned", "1")), history=(claim,))
    [found] = [one.message for one in assess(here) if one.code == "missing-but-worked-on"]
    assert "by this job or by an earlier record or paper" in found


def test_a_paper_is_quoted_with_the_whole_it_spoke_of_when_it_was_read() -> None:
    """A paper: 3 of the 64 replaced. Nine of the 64 are rows of their own since; "3 of 55" stands in none."""
    claim = HistoryClaim(
        what="a bill", date="1950", by="A dealer", known_from="paper", parts=("4",), done="replaced", pieces=3
    )
    first = job([part("4", pieces=64)], rows(("replaced", "4", 9)), history=(claim,))
    told = with_history(first)
    (said,) = [one for history in told.histories for one in history.said if one.done]
    assert (said.pieces, said.of) == (3, 64)
    opened = record(2020, first.parts, first.work, history=(claim,))
    later = job([part("4", pieces=55), part("4.2", pieces=9)], (), history=(claim,))
    again = [one for history in with_history(later, [opened]).histories for one in history.said if one.done]
    assert {(one.pieces, one.of) for one in again} == {(3, 64)}


@pytest.mark.parametrize("done", ["part renewed", "new surface"])
def test_a_paper_that_a_record_counted_in_counts_once(done: str) -> None:
    """One of six flaps renewed in part by a bill of 1931: of 2020 one is so, and of the next record too."""
    claim = HistoryClaim(
        what="a bill", date="1931", by="A saddler", known_from="paper", parts=("4",), done=done, pieces=1
    )
    flaps = [part("4", pieces=6)]
    first = record(2020, flaps, rows(("cleaned", "4")), history=(claim,))
    second = record(2022, flaps, rows(("cleaned", "4")), [first])  # the bill is not typed again
    for knowing in ((claim,), ()):
        for earlier in ([first], [first, second], [second, first]):
            told = lines(with_history(job(flaps, rows(("cleaned", "4")), history=knowing), earlier))
            assert told == [("original, treated", 5, 5), (f"original, {done}", 1, 1)]


@pytest.mark.parametrize("done", ["replaced", "new surface", "part renewed", "taken away"])
@pytest.mark.parametrize("pieces", [0, 2])
def test_a_paper_of_a_record_that_is_not_at_hand_is_told_and_typed_again_counts_once(
    done: Any, pieces: int
) -> None:
    """2001 typed the paper, 2002 tells of it, and 2002 alone is at hand: it is told as if both were."""
    heads = [
        part("1", "not known", pieces=6),
        part("2", pieces=4, part_of="1"),
        part("3", pieces=2, part_of="1"),
    ]
    bill = HistoryClaim(
        what="a receipt", date="1923", by="Till", known_from="paper", parts=("2",), done=done, pieces=pieces
    )
    first = record(2001, heads, rows(("cleaned", "3")), history=(bill,))
    second = record(2002, heads, rows(("new surface", "2", 1)), [first])
    work = rows(("part renewed", "1", 1))
    both = with_history(job(heads, work), [first, second])
    alone = with_history(job(heads, work), [second])
    again = with_history(job(heads, work, history=(bill,)), [second])
    assert lines(both) == lines(alone) == lines(again)
    for story in (both, alone, again):
        (told,) = [one.said for one in story.histories if one.parts == ("2",)]
        assert [(said.date, said.done) for said in told if not said.sha256] == [("1923", done)]


def test_of_what_was_another_by_a_paper_not_at_hand_nothing_is_original() -> None:
    """All of the row was replaced in 1911, says a paper of the record of 2001; 2002 counts it so."""
    bill = HistoryClaim(
        what="a bill", date="1911", by="Till", known_from="paper", parts=("1",), done="replaced"
    )
    pins = [part("1", pieces=2)]
    second = record(2002, pins, (), [record(2001, pins, history=(bill,))])
    story = with_history(job(pins), [second])
    assert lines(story) == [("earlier replacement", 2, 2)]
    assert [reading.part for reading in story.readings] == ["1"]


def test_two_papers_of_one_day_and_maker_are_two_by_their_pieces() -> None:
    """2001 knew that one of two was replaced; that two of the four were, by another receipt, is typed now."""
    four = [
        part("1", "not known", pieces=4),
        part("2", pieces=2, part_of="1"),
        part("3", pieces=2, part_of="1"),
    ]
    said: dict[str, Any] = {"date": "1923", "by": "Till", "known_from": "paper", "done": "replaced"}
    known = HistoryClaim(what="a receipt", parts=("2",), pieces=1, **said)
    other = HistoryClaim(what="another", parts=("1",), pieces=2, **said)
    first = record(2001, four, (), history=(known,))
    found = {now: (low, high) for now, low, high in lines(with_history(job(four, history=(other,)), [first]))}
    assert found["earlier replacement"][1] >= 3


def test_a_paper_on_a_heading_is_told_once_however_its_rows_were_split_since() -> None:
    """Three of twelve, typed of the heading in 2001 and again now; a row of it was split in 2002."""
    twelve = [
        part("1", "not known", pieces=12),
        part("2", pieces=9, part_of="1"),
        part("3", pieces=3, part_of="1"),
    ]
    bill = HistoryClaim(
        what="bill", date="1931", by="S", known_from="paper", parts=("1",), done="replaced", pieces=3
    )
    split = [
        twelve[0],
        part("2", pieces=7, part_of="1"),
        part("2.2", pieces=2, part_of="1"),
        twelve[2],
    ]
    first = record(2001, twelve, history=(bill,))
    second = record(2002, split, rows(("cleaned", "2.2")), [first])
    for given in ([second], [first, second]):
        for history in ((), (bill,)):
            for one in with_history(job(split, history=history), given).histories:
                assert [said.pieces for said in one.said if said.done] == [3]


@pytest.mark.parametrize(
    ("others", "replaced", "found"),
    [
        # By hand: the two from another object may be among the four, so that of the others two to four are.
        ("from another object", 4, {"earlier replacement": (2, 4), "original, no work recorded": (8, 10)}),
        ("missing", 4, {"earlier replacement": (2, 4), "original, no work recorded": (8, 10)}),
        ("original", 4, {"earlier replacement": (4, 4), "original, no work recorded": (10, 10)}),
    ],
)
def test_a_paper_on_a_heading_of_rows_that_came_in_several_ways(
    others: Any, replaced: int, found: dict[str, tuple[int, int]]
) -> None:
    """Of fourteen fittings in rows of four, eight and two a bill says that four were replaced."""
    fittings = [
        part("1", "not known", pieces=14),
        part("2", pieces=4, part_of="1"),
        part("3", pieces=8, part_of="1"),
        part("4", others, pieces=2, part_of="1"),
    ]
    bill = HistoryClaim(
        what="b", date="1962", by="N", known_from="paper", parts=("1",), done="replaced", pieces=replaced
    )
    told = {now: (low, high) for now, low, high in lines(with_history(job(fittings, history=(bill,))))}
    assert found.items() <= told.items()


def test_a_paper_on_a_heading_is_told_once_of_a_row_that_was_one_and_is_split() -> None:
    """Typed now, and older than the record in which the two rows were one."""
    old = [
        part("10", "not known", pieces=24),
        part("11", pieces=18, part_of="10"),
        part("12", pieces=6, part_of="10"),
    ]
    new = [
        *old[:2],
        part("12", "earlier replacement", pieces=4, part_of="10"),
        part("12.2", pieces=2, part_of="10"),
    ]
    bill = HistoryClaim(
        what="bill", date="1950", by="O", known_from="paper", parts=("10",), done="replaced", pieces=2
    )
    first = record(2001, old, rows(("replaced", "12", 4)))
    for one in with_history(job(new, history=(bill,)), [first]).histories:
        assert [(said.pieces, said.of) for said in one.said if said.done] == [(2, 24)]
