"""What is there now: worked examples counted by hand, rules of the account, and properties."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest
from counting import calls_again
from hypothesis import given, settings
from hypothesis import strategies as st
from originals import originals
from worlds_made import DEPTH, NAMED, worlds

from dossier.account.joint import joints
from dossier.account.lines import account_of
from dossier.account.parts import parts_now
from dossier.account.register import Register, in_order
from dossier.model.rows import Part, Work
from dossier.model.words import CAME_AS, DONE, SEEN


def part(number: str, **members: Any) -> Part:
    return Part(number=number, part=members.pop("part", f"part {number}"), **members)


def rows(*typed: tuple[str, str] | tuple[str, str, int]) -> list[Work]:
    """("cleaned", "1") or ("cleaned", "1", 9), numbered from 1."""
    return [
        Work(number=n, done=row[0], parts=tuple(row[1].split()), pieces=row[2] if len(row) > 2 else 0)  # type: ignore[arg-type]
        for n, row in enumerate(typed, 1)
    ]


def states(parts: list[Part], work: list[Work]) -> list[tuple[str, str, int, int]]:
    return [(r.part, r.now, r.pieces_low, r.pieces_high) for r in parts_now(parts, work)]


def test_worked_example_a_trunk_with_pins() -> None:
    """Register: body 1, handle 1, pins 64, lock 1, lining 1 (inside): 68 pieces.

    Work: body cleaned; 9 pins replaced in the same brass; lining replaced, silk by cotton; lock left as
    found.
    Outside, by hand: left as found lock 1 (1 part); treated body 1 (1 part); no work recorded handle 1 and
    pins 64 - 9 = 55, so 56 pieces in 1 whole part and some of another; like for like 9 pins, in part of one
    part. Inside: with a difference lining 1. Sum 1 + 1 + 56 + 9 + 1 = 68.
    """
    parts = [
        part("1", came_as="original"),
        part("2", came_as="original"),
        part("3", came_as="original", pieces=64, material="Brass", new_material="brass"),
        part("4", came_as="original"),
        part("5", came_as="original", seen="inside", material="silk", new_material="cotton"),
    ]
    work = rows(("cleaned", "1"), ("replaced", "3", 9), ("replaced", "5"), ("left as found", "4"))
    account = account_of(parts, parts_now(parts, work))
    assert [
        (a.seen, a.now, a.parts_low, a.parts_high, a.pieces_low, a.pieces_high, a.parts) for a in account
    ] == [
        ("outside", "original, left as found", 1, 1, 1, 1, ("4",)),
        ("outside", "original, no work recorded", 1, 2, 56, 56, ("2", "3")),
        ("outside", "original, treated", 1, 1, 1, 1, ("1",)),
        ("outside", "new, like for like", 0, 1, 9, 9, ("3",)),
        ("inside", "new, with a difference", 1, 1, 1, 1, ("5",)),
    ]
    assert sum(a.pieces_low for a in account) == sum(a.pieces_high for a in account) == 68


def test_worked_example_what_is_not_known_makes_a_range() -> None:
    """Register: 10 tacks original, 6 tacks not known: 16. Work: 4 of the 10 replaced.

    Surely original: 10 - 4 = 6. At most: those 6 and all 6 of which nobody knows = 12 of 16.
    """
    parts = [part("1", came_as="original", pieces=10), part("2", came_as="not known", pieces=6)]
    now = parts_now(parts, rows(("replaced", "1", 4)))
    assert originals(parts, now) == (6, 12)


def test_worked_example_work_that_may_overlap() -> None:
    """12 rivets: 5 replaced, 4 repaired, 6 cleaned, 2 left as found.

    The 2 that were left are none of the others, so the other rows met 10. New 5 of these. Treated (repaired
    or cleaned): the union of 4 and 6 is 6 to 10; not new of it: from 6 - 5 = 1 to 10 - 5 = 5. The rest: from
    0 to 10 - 6 = 4. All add up to 12: 5 + 2 + 1 + 4 and 5 + 2 + 5 + 0.
    """
    parts = [part("1", came_as="original", pieces=12)]
    work = rows(("replaced", "1", 5), ("repaired", "1", 4), ("cleaned", "1", 6), ("left as found", "1", 2))
    assert states(parts, work) == [
        ("1", "new, likeness not known", 5, 5),
        ("1", "original, treated", 1, 5),
        ("1", "original, left as found", 2, 2),
        ("1", "original, no work recorded", 0, 4),
    ]


def test_worked_example_a_lining_inside_a_kept_lid_counts_once() -> None:
    """Lid (1) kept and cleaned, its lining (1) replaced, a pocket (1) on the lining without a row: 3 pieces.

    Treated 1, new 1; of the pocket nobody says whether it came over to the new lining: not known 1.
    """
    parts = [
        part("1", came_as="original"),
        part("2", part_of="1", came_as="original"),
        part("3", part_of="2", came_as="original"),
    ]
    assert states(parts, rows(("cleaned", "1"), ("replaced", "2"))) == [
        ("1", "original, treated", 1, 1),
        ("2", "new, likeness not known", 1, 1),
        ("3", "not known", 1, 1),
    ]


def test_worked_example_nails_of_a_saddle_taken_out_and_put_back() -> None:
    """10 nails: 4 taken out, 3 taken off and refitted, then 2 replaced; nobody says which.

    Of the 4, those among the 3 came back: 4 - 3 = 1 to 4 stayed out, and none of these is one of the 3. New
    2, which may be any. So refitted and not new: 3 - 2 = 1 to 3. Still out: at least 1 - 2, so 0, at most 4.
    The 4 and the 3 are 4 to 7 nails, with the 2 new ones 4 to 9: so 10 - 9 = 1 to 10 - 4 = 6 met by nothing.
    """
    work = rows(("taken away", "1", 4), ("taken off and refitted", "1", 3), ("replaced", "1", 2))
    assert states([part("1", came_as="original", pieces=10)], work) == [
        ("1", "new, likeness not known", 2, 2),
        ("1", "taken away", 0, 4),
        ("1", "original, treated", 1, 3),
        ("1", "original, no work recorded", 1, 6),
    ]


def test_worked_example_a_book_of_leaves_and_plates() -> None:
    """Leaves 160, of which 150 of text and 10 plates (the heading counts through them); boards 2, headbands 2
    outside; sewing 1 hidden. 166 - 1 pieces.

    100 of the 160 cleaned, 12 of them or of the others mended: 100 to 112 treated, 160 - 112 = 48 to 60 not.
    Of the text at least 100 - 10 = 90 and at most 112 are treated, so 150 - 112 = 38 to 60 not; of the plates
    0 to 10 either way. Added up that would be 90 to 122 and 38 to 70: together they are one part, 100 to 112.
    A headband replaced (linen for silk), the other left; boards secured; sewing not examined.
    Sum: 160 inside; outside 2 + 1 + 1 = 4; hidden 1.
    """
    under = {"part_of": "3", "seen": "inside", "came_as": "original", "material": "paper"}
    parts = [
        part("1", came_as="original", pieces=2),
        part("2", came_as="original", pieces=2, material="silk", new_material="linen"),
        part("3", came_as="original", pieces=160, seen="inside", material="paper"),
        part("3a", pieces=150, **under),
        part("3b", pieces=10, **under),
        part("4", came_as="original", seen="hidden"),
    ]
    work = rows(
        ("secured", "1"),
        ("replaced", "2", 1),
        ("left as found", "2", 1),
        ("cleaned", "3", 100),
        ("repaired", "3", 12),
        ("not examined", "4"),
    )
    account = account_of(parts, parts_now(parts, work), joints(parts, work))
    assert [(a.seen, a.now, a.parts_low, a.parts_high, a.pieces_low, a.pieces_high) for a in account] == [
        ("outside", "original, left as found", 0, 1, 1, 1),
        ("outside", "original, treated", 1, 1, 2, 2),
        ("outside", "new, with a difference", 0, 1, 1, 1),
        ("inside", "original, no work recorded", 0, 2, 48, 60),
        ("inside", "original, treated", 0, 2, 100, 112),
        ("hidden", "not known", 1, 1, 1, 1),
    ]
    assert [row for row in states(parts, work) if row[0].startswith("3")] == [
        ("3a", "original, treated", 90, 112),
        ("3a", "original, no work recorded", 38, 60),
        ("3b", "original, treated", 0, 10),
        ("3b", "original, no work recorded", 0, 10),
    ]


@pytest.mark.parametrize(
    ("came_as", "work", "now"),
    [
        ("original", [], "original, no work recorded"),
        ("original", ["left as found"], "original, left as found"),
        ("original", ["not examined"], "not known"),
        ("original", ["cleaned"], "original, treated"),
        ("original", ["fed or protected"], "original, treated"),
        ("original", ["secured"], "original, treated"),
        ("original", ["repaired"], "original, treated"),
        ("original", ["altered"], "original, treated"),
        ("original", ["taken off and refitted"], "original, treated"),
        ("original", ["new surface", "cleaned"], "original, new surface"),
        ("original", ["part renewed", "new surface"], "original, part renewed"),
        ("original", ["replaced", "cleaned"], "new, likeness not known"),
        ("original", ["cleaned", "replaced"], "new, likeness not known"),
        ("original", ["taken away"], "taken away"),
        ("original", ["taken away", "replaced"], "new, likeness not known"),
        ("original", ["replaced", "taken away"], "taken away"),
        ("original", ["taken away", "taken off and refitted"], "original, treated"),
        ("original", ["not examined", "cleaned"], "original, treated"),
        ("earlier replacement", ["cleaned"], "earlier replacement"),
        ("later addition", ["part renewed"], "later addition"),
        ("from another object", [], "from another object"),
        ("missing", [], "missing"),
        ("missing", ["cleaned"], "missing"),
        ("missing", ["added"], "new, likeness not known"),
        ("missing", ["added", "taken away"], "missing"),
        ("not known", ["cleaned"], "not known"),
        ("not known", ["replaced"], "new, likeness not known"),
    ],
)
def test_one_piece(came_as: Any, work: list[str], now: str) -> None:
    found = parts_now([part("1", came_as=came_as)], rows(*((done, "1") for done in work)))
    assert [r.now for r in found] == [now]


@pytest.mark.parametrize(
    ("old", "new", "difference", "now"),
    [
        ("Goat skin, brown", "goat skin brown", "", "new, like for like"),
        ("cuir bruni é", "CUIR BRUNI E", "none", "new, like for like"),
        ("silk", "cotton", "", "new, with a difference"),
        ("silk", "silk", "same as before", "new, like for like"),
        ("Eiche", "Eiche", "keiner", "new, like for like"),
        ("chêne", "chêne", "Aucune.", "new, like for like"),
        ("rovere", "rovere", "nessuna", "new, like for like"),
        ("roble", "roble", "ninguna", "new, like for like"),
        ("楢", "楢", "なし", "new, like for like"),
        ("silk", "silk", "thinner", "new, with a difference"),
        ("", "", "thinner", "new, with a difference"),
        ("silk", "", "", "new, likeness not known"),
        ("", "silk", "", "new, likeness not known"),
        ("", "", "", "new, likeness not known"),
    ],
)
def test_like_for_like(old: str, new: str, difference: str, now: str) -> None:
    one = part("1", material=old, new_material=new, difference=difference)
    assert [r.now for r in parts_now([one], rows(("replaced", "1")))] == [now]


def test_order_is_by_date_and_an_undated_row_stays_after_its_neighbour() -> None:
    work = [
        Work(number=1, date="2026-03-09", done="replaced"),
        Work(number=2, done="cleaned"),
        Work(number=3, date="2026-03-01", done="taken away"),
    ]
    assert [row.number for row in in_order(work)] == [3, 1, 2]


def test_some_taken_away_and_some_refitted() -> None:
    """All 10 taken away, 4 refitted: 10 - 4 = 6 are gone. Of 4 taken away and 4 refitted of 10, perhaps
    others were refitted that had never been noted as taken off: 0 to 4 gone.
    """
    parts = [part("1", came_as="original", pieces=10)]
    both = ("taken off and refitted", "1", 4)
    assert ("1", "taken away", 6, 6) in states(parts, rows(("taken away", "1"), both))
    assert ("1", "taken away", 0, 4) in states(parts, rows(("taken away", "1", 4), both))


def test_a_new_piece_is_altered_only_by_work_after_it_came() -> None:
    before = parts_now([part("1", came_as="original")], rows(("altered", "1"), ("replaced", "1")))
    after = parts_now([part("1", came_as="original")], rows(("replaced", "1"), ("altered", "1")))
    assert [r.altered for r in (*before, *after)] == [False, True]


def test_a_heading_is_counted_by_the_parts_under_it_and_hands_its_work_down() -> None:
    """64 pins in rows of 9 and 55; 20 of the 64 cleaned: of the 9 between 0 (20 <= 55) and 9, of the 55
    between 20 - 9 = 11 and 20.
    """
    parts = [
        part("7", pieces=64, material="brass"),
        part("7a", pieces=9, part_of="7", came_as="original", material="brass"),
        part("7b", pieces=55, part_of="7", came_as="original"),
    ]
    assert Register(parts).headings == {"7"}
    assert states(parts, rows(("cleaned", "7", 20))) == [
        ("7a", "original, treated", 0, 9),
        ("7a", "original, no work recorded", 0, 9),
        ("7b", "original, treated", 11, 20),
        ("7b", "original, no work recorded", 35, 44),
    ]


def test_a_container_of_another_material_is_no_heading() -> None:
    parts = [
        part("1", pieces=6, material="oak"),
        part("2", pieces=3, part_of="1", material="brass"),
        part("3", pieces=3, part_of="1", material="brass"),
    ]
    assert Register(parts).headings == frozenset()


numbers = st.sampled_from([str(n) for n in range(1, 7)])
made_parts = st.lists(
    st.builds(
        Part,
        number=st.none(),
        part=st.just("part"),
        part_of=st.one_of(st.just(""), numbers),
        pieces=st.integers(1, 12),
        seen=st.sampled_from(SEEN),
        came_as=st.sampled_from(CAME_AS),
        material=st.sampled_from(["", "brass"]),
        new_material=st.sampled_from(["", "brass", "steel"]),
    ),
    min_size=1,
    max_size=6,
).map(lambda parts: [_numbered(p, n) for n, p in enumerate(parts, 1)])
made_work = st.lists(
    st.builds(
        Work,
        number=st.just(0),
        parts=st.lists(numbers, min_size=1, max_size=2).map(tuple),
        pieces=st.integers(0, 12),
        done=st.sampled_from(DONE),
    ),
    max_size=6,
).map(lambda work: [_renumbered(row, n) for n, row in enumerate(work, 1)])


def _numbered(one: Part, n: int) -> Part:
    return Part(**{name: getattr(one, name) for name in one.__struct_fields__} | {"number": str(n)})


def _renumbered(one: Work, n: int) -> Work:
    return Work(**{name: getattr(one, name) for name in one.__struct_fields__} | {"number": n})


@settings(deadline=None, max_examples=120)
@given(made_parts, made_work)
def test_the_account_adds_up_to_the_register(parts: list[Part], work: list[Work]) -> None:
    now = parts_now(parts, work)
    account = account_of(parts, now)
    total = sum(p.pieces for p in Register(parts).counted())
    assert sum(a.pieces_low for a in account) <= total <= sum(a.pieces_high for a in account)
    assert all(0 <= a.pieces_low <= a.pieces_high and 0 <= a.parts_low <= a.parts_high for a in account)
    for one in Register(parts).counted():
        own = [r for r in now if r.part == one.number]
        assert sum(r.pieces_low for r in own) <= one.pieces <= sum(r.pieces_high for r in own)
        assert all(0 <= r.pieces_low <= r.pieces_high <= one.pieces for r in own)
    low, high = originals(parts, now)
    assert 0 <= low <= high <= total


@settings(deadline=None, max_examples=120)
@given(made_parts, made_work, numbers, st.integers(0, 12))
def test_not_examined_never_narrows(parts: list[Part], work: list[Work], number: str, pieces: int) -> None:
    """What may be original stays within the range that "not examined" gives."""
    more = [*work, Work(number=len(work) + 1, parts=(number,), pieces=pieces, done="not examined")]
    low, high = originals(parts, parts_now(parts, work))
    new_low, new_high = originals(parts, parts_now(parts, more))
    assert new_low <= low
    assert new_high >= high


@settings(deadline=None, max_examples=100)
@given(
    st.integers(2, 40),
    st.integers(1, 39),
    st.sampled_from(CAME_AS),
    st.lists(st.sampled_from(DONE), max_size=4),
)
def test_splitting_a_part_changes_no_total(n: int, first: int, came_as: Any, done: list[Any]) -> None:
    first = min(first, n - 1)
    whole = [part("1", pieces=n, came_as=came_as, material="brass")]
    split = [
        *whole,
        part("1a", pieces=first, part_of="1", came_as=came_as, material="brass"),
        part("1b", pieces=n - first, part_of="1", came_as=came_as, material="brass"),
    ]
    work = rows(*((word, "1") for word in done))
    assert _totals(whole, work) == _totals(split, work)


def _totals(parts: list[Part], work: list[Work]) -> list[tuple[str, str, int, int]]:
    return [(a.seen, a.now, a.pieces_low, a.pieces_high) for a in account_of(parts, parts_now(parts, work))]


@settings(deadline=None, max_examples=100)
@given(made_parts, made_work)
def test_nothing_that_was_not_original_becomes_so(parts: list[Part], work: list[Work]) -> None:
    came = {p.number: p.came_as for p in parts}
    assert all(came[r.part] == "original" for r in parts_now(parts, work) if r.now.startswith("original"))


def test_four_times_the_parts_cost_about_four_times_as_much() -> None:
    def counted(count: int) -> int:
        parts = [part(str(n), came_as="original", pieces=3) for n in range(count)]
        work = [Work(number=n, parts=(str(n),), pieces=n % 4, done=DONE[n % len(DONE)]) for n in range(count)]
        return calls_again(lambda: account_of(parts, parts_now(parts, work)))

    assert counted(2000) < 5 * counted(500)


def test_what_is_known_not_to_be_original_stays_so_when_it_is_not_examined() -> None:
    """An earlier replacement by an invoice, sewn in, not looked at: not original for all that. What came as
    original and was not looked at is not known.
    """
    parts = [
        Part(number="1", part="lining", came_as="earlier replacement", known_from="paper"),
        Part(number="2", part="board", came_as="original"),
    ]
    now = parts_now(parts, [Work(number=1, parts=("1", "2"), done="not examined")])
    assert [(row.part, row.now) for row in now] == [("1", "earlier replacement"), ("2", "not known")]
    assert originals(parts, now) == (0, 1)


def test_the_fewest_that_are_original_are_those_the_others_leave() -> None:
    """Of 8 one replaced and one cleaned, perhaps the new one: 8 - 1 = 7 are original whichever it was."""
    work = [
        Work(number=1, parts=("1",), done="replaced", pieces=1),
        Work(number=2, parts=("1",), done="cleaned", pieces=1),
    ]
    pins = [Part(number="1", part="pin", pieces=8, came_as="original")]
    assert originals(pins, parts_now(pins, work)) == (7, 7)


_WORK = st.tuples(st.sampled_from(["replaced", "taken away", *DEPTH]), st.integers(1, 4))


@given(st.integers(1, 4), st.lists(_WORK, min_size=1, max_size=4))
@settings(deadline=None, max_examples=60)
def test_the_counts_are_those_of_every_world_that_the_rows_allow(n: int, done: list[tuple[str, int]]) -> None:
    """An oracle from outside: the worlds are enumerated, the least and most of each state counted. Of four
    rows by one of which something was put back the ranges hold every world, and may be wider.
    """
    done = [(what, min(k, n)) for what, k in done]
    ways = list(worlds(n, done))
    found: Counter[str] = Counter()
    most: Counter[str] = Counter()
    for state, low, high in _low_high(n, done):
        found[state] += low
        most[state] += high
    exact = len(done) < 4 or "taken off and refitted" not in dict(done)
    for state in ("new", "taken away", "original, no work recorded", *NAMED.values()):
        counts = [way[state] for way in ways]
        assert found[state] <= min(counts) and max(counts) <= most[state], (state, counts)
        assert not exact or (found[state], most[state]) == (min(counts), max(counts)), (state, counts)


def _low_high(n: int, done: list[tuple[str, int]]) -> Iterator[tuple[str, int, int]]:
    work = rows(*((what, "1", k) for what, k in done))
    for row in parts_now([part("1", pieces=n, came_as="original")], work):
        state = "new" if row.now.startswith("new") else str(row.now)
        yield state, row.pieces_low, row.pieces_high
