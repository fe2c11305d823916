"""The account across whatever records: what holds of all, and what they cost (FORMAT.md section 3.1)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import msgspec
from counting import calls, calls_again
from hypothesis import given, settings
from hypothesis import strategies as st
from originals import original_range
from stories_made import account, job, lines, now_of, part, record, rows, states
from worlds_made import worlds

from dossier.account.history import Story, with_history
from dossier.account.meeting import after
from dossier.account.mix import Mix, Row
from dossier.model.counted import PartNow
from dossier.model.earlier import EarlierOpened
from dossier.model.rows import HistoryClaim, Part, Work
from dossier.model.words import CAME_AS, DONE, NOW, CameAs, Done

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


@settings(deadline=None, max_examples=120)
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


@settings(deadline=None, max_examples=100)
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


@settings(deadline=None, max_examples=100)
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


@settings(deadline=None, max_examples=100)
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


@settings(deadline=None, max_examples=120)
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


@settings(deadline=None, max_examples=120)
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


_DONE = st.tuples(st.sampled_from(["replaced", "taken away", "part renewed", "cleaned"]), st.integers(1, 3))
_MOVED = st.tuples(st.sampled_from(["replaced", "taken away"]), st.integers(1, 3))


def told_and_true(n: int, before: Any, now: Any) -> Iterator[tuple[str, tuple[int, int], tuple[int, int]]]:
    """A record of `n` pieces, then a job: each state with its counts as told, and as every world has them."""
    before, now = ([(what, min(k, n)) for what, k in some] for some in (before, now))
    earlier = record(2020, [part(pieces=n)], rows(*((what, "1", k) for what, k in before)))
    told = states([part(pieces=n)], rows(*((what, "1", k) for what, k in now)), [earlier])
    found = {("new" if state.startswith("new") else state): (low, high) for _, state, low, high in told}
    ways = list(worlds(n, before, now))
    for state in {*found, *(state for way in ways for state in way)}:
        counts = [way[state] for way in ways]
        yield state, found.get(state, (0, 0)), (min(counts), max(counts))


@settings(deadline=None, max_examples=60)
@given(st.integers(1, 3), st.lists(_MOVED, min_size=1, max_size=2), st.lists(_DONE, min_size=1, max_size=2))
def test_the_counts_after_a_record_are_those_of_every_world(n: int, before: Any, now: Any) -> None:
    """The record, then a job that reads every piece as original: enumerated, each piece by itself."""
    for state, told, true in told_and_true(n, before, now):
        assert told == true, state


_SURFACE = st.tuples(
    st.sampled_from(["new surface", "part renewed", "replaced", "cleaned", "taken away"]), st.integers(1, 3)
)


@settings(deadline=None, max_examples=80)
@given(st.integers(1, 3), st.lists(_SURFACE, min_size=1, max_size=2), st.lists(_SURFACE, max_size=2))
def test_what_was_renewed_in_part_stays_so_in_every_world(n: int, before: Any, now: Any) -> None:
    """The same where the record gave new surfaces: every world lies inside, and one piece is told exactly."""
    for state, told, true in told_and_true(n, before, now):
        assert told[0] <= true[0] and true[1] <= told[1], state
        assert n > 1 or told == true, state


_STAYING = st.tuples(
    st.sampled_from(["new surface", "part renewed", "replaced", "cleaned"]), st.integers(1, 3)
)


@settings(deadline=None, max_examples=80)
@given(
    st.integers(1, 3),
    st.lists(st.lists(_STAYING, min_size=1, max_size=2), min_size=3, max_size=3),
    st.sampled_from(["knows", "knows not", "paper"]),
)
def test_what_stays_done_is_of_original_pieces_whoever_knew_of_whom(n: int, typed: Any, second: str) -> None:
    """A replacement, then a record or paper that may not know it: what that did may have met what was new."""
    first, then, now = ([(what, min(k, n)) for what, k in some] for some in typed)
    first = [*first[1:], ("replaced", first[0][1])]
    then = then[:1] if second == "paper" else then
    earlier = [record(2000, [part(pieces=n)], rows(*((what, "1", k) for what, k in first)))]
    claims: tuple[HistoryClaim, ...] = ()
    if second == "paper":
        ((what, k),) = then
        claims = (
            HistoryClaim(what=what, date="2010", known_from="paper", parts=("1",), done=what, pieces=k),
        )
    else:
        work = rows(*((what, "1", k) for what, k in then))
        earlier.append(record(2010, [part(pieces=n)], work, earlier[:] if second == "knows" else ()))
    told = states([part(pieces=n)], rows(*((what, "1", k) for what, k in now)), earlier, history=claims)
    found = {("new" if state.startswith("new") else state): (low, high) for _, state, low, high in told}
    ways = list(worlds(n, first, then, now))
    for state in {*found, *(state for way in ways for state in way)}:
        counts = [way[state] for way in ways]
        low, high = found.get(state, (0, 0))
        assert low <= min(counts) and max(counts) <= high, state


_ANY = st.tuples(
    st.sampled_from(
        ["new surface", "part renewed", "replaced", "cleaned", "taken away", "taken off and refitted"]
    ),
    st.integers(1, 3),
)


@settings(deadline=None, max_examples=60)
@given(st.integers(1, 3), st.lists(st.lists(_ANY, max_size=2), min_size=2, max_size=4), st.booleans())
def test_whatever_was_done_over_the_records_every_world_lies_inside(n: int, typed: Any, knows: bool) -> None:
    """With surfaces, pieces taken away and put back: enumerated, each piece by itself over all records."""
    steps = [[(what, min(k, n)) for what, k in some] for some in typed]
    earlier: list[EarlierOpened] = []
    for year, some in enumerate(steps[:-1], 2000):
        work = rows(*((what, "1", k) for what, k in some))
        earlier.append(record(year, [part(pieces=n)], work, earlier[:] if knows else ()))
    told = states([part(pieces=n)], rows(*((what, "1", k) for what, k in steps[-1])), earlier)
    found = {("new" if state.startswith("new") else state): (low, high) for _, state, low, high in told}
    ways = list(worlds(n, *steps))
    for state in {*found, *(state for way in ways for state in way)}:
        counts = [way[state] for way in ways]
        low, high = found.get(state, (0, 0))
        assert low <= min(counts) and max(counts) <= high, state


def test_what_a_record_renewed_that_knew_of_no_replacement() -> None:
    """By hand: of two, one was replaced; who did not know renewed part of both. One is original."""
    first = record(2000, [part(pieces=2)], rows(("replaced", "1", 1)))
    second = record(2010, [part(pieces=2)], rows(("part renewed", "1", 2)))
    assert states([part(pieces=2)], rows(("cleaned", "1", 1)), [first, second]) == [
        ("1", "earlier replacement", 1, 1),
        ("1", "original, part renewed", 1, 1),
    ]


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


@settings(deadline=None, max_examples=150)
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
