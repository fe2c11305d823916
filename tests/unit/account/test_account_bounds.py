"""What rows that were one part hold together, by hand: no more originals than it had, and no fewer."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import pytest
from stories_made import job, lines, part, record, rows

from dossier.account.history import with_history
from dossier.model.earlier import EarlierOpened
from dossier.model.rows import HistoryClaim, Part, Work

NAILS = [part("4", pieces=64)]
TWO = [part("4", pieces=40), part("4.2", pieces=24)]
HEADED = [
    part("4", pieces=64),
    part("4.a", pieces=40, part_of="4"),
    part("4.b", pieces=24, part_of="4"),
]


def originals(
    parts: Sequence[Part], work: Sequence[Work], earlier: Sequence[EarlierOpened], **members: object
) -> tuple[int, int]:
    found = [line for line in lines(with_history(job(parts, work, **members), earlier)) if "orig" in line[0]]
    return sum(low for _, low, _ in found), sum(high for _, _, high in found)


def chain(parts: Sequence[Part], row: str) -> list[EarlierOpened]:
    """Twenty of 64 replaced; all in two rows, one of them cleaned; three of that one replaced."""
    made = [record(2001, NAILS, rows(("replaced", "4", 20)))]
    made.append(record(2010, parts, rows(("cleaned", row)), made))
    return [*made, record(2015, parts, rows(("replaced", row, 3)), made)]


@pytest.mark.parametrize(("parts", "row"), [(TWO, "4"), (HEADED, "4.a")])
def test_worked_example_twenty_replaced_before_the_part_became_two_rows(parts: list[Part], row: str) -> None:
    """By hand: 44 of 64 are original. Cleaning takes none away; of three replaced, none to three were among
    the 44, so that 41 to 44 are left; of nine more, 32 to 44. Each row by itself leaves far fewer, since all
    of the 20 may be of either.
    """
    made = chain(parts, row)
    assert [originals(parts, rows(), made[:n]) for n in (1, 2, 3)] == [(44, 44), (44, 44), (41, 44)]
    assert originals(parts, rows(("replaced", row, 9)), made) == (32, 44)


@pytest.mark.parametrize("material", ["", "brass", "steel"])
@pytest.mark.parametrize("split", [TWO, HEADED])
def test_worked_example_new_material_is_written_beside_the_row_that_has_some(
    split: list[Part], material: str
) -> None:
    """By hand: 44 of 64 are original, and three of the row of 24 are replaced: 41 to 44 are left, whatever is
    written of the new ones. It had been 21 to 61 once that row had a new material, as the other has none.
    """
    parts = [msgspec.structs.replace(p, material="brass") for p in split]
    parts[-1] = msgspec.structs.replace(parts[-1], new_material=material)
    first = [record(2001, NAILS, rows(("replaced", "4", 20)))]
    assert originals(parts, rows(("replaced", parts[-1].number, 3)), first) == (41, 44)
    if split is HEADED:
        story = with_history(job(parts, rows(("replaced", "4", 3))), first)
        new = [(low, high) for now, low, high in lines(story) if now.startswith("new")]
        assert new == ([(0, 3)] * 2 if material else [(3, 3)])


def test_worked_example_two_put_back_are_two_more_at_most() -> None:
    """By hand: 6 of 52 replaced; then rows of 30 and 22, two of the first taken away, one of the second
    replaced: 43 to 46 are original, 6 to 9 are not. Two put back are two fewer at most, in the job that does
    it and later. Each row by itself has any of the six: that had been 1 to 15.
    """
    tops = [part("1", pieces=30), part("1.2", pieces=22)]
    made = [record(2001, [part("1", pieces=52)], rows(("replaced", "1", 6)))]
    made.append(record(2005, tops, rows(("taken away", "1", 2), ("replaced", "1.2", 1)), made))
    back = rows(("taken off and refitted", "1", 2))
    after = [*made, record(2007, tops, back, made)]
    for work, earlier, least in (((), made, 6), (back, made, 4), ((), after, 4)):
        told = {now: (low, high) for now, low, high in lines(with_history(job(tops, work), earlier))}
        assert told["earlier replacement"] == (least, 9)


def test_a_paper_may_have_replaced_any_of_them() -> None:
    """By hand: thirty of the row of 40 by a bill of 2012 leave 14 of the 44 at least, and 34 at most."""
    bill = HistoryClaim(
        what="a bill", date="2012-01-01", known_from="paper", done="replaced", parts=("4",), pieces=30
    )
    low, high = originals(TWO, rows(), chain(TWO, "4")[:2], history=(bill,))
    assert low <= 14 and high >= 34
