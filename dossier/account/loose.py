"""What of an object lies apart from it and wants a label: parts taken off, parts taken away, old pieces.

From the work log and the register alone. Not here: the labels (`pages.labels`). Pure.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal, NamedTuple

from dossier.model.rows import Part, Work

# off: goes back to its place. away: taken away for good. old: the old piece of what is new now. "": none of
# these, only asked for.
LooseAs = Literal["off", "away", "old", ""]


class Loose(NamedTuple):
    """One bag: a part, how many of its pieces (0: not said), why it lies apart, since when ("": not said)."""

    part: str
    pieces: int
    loose_as: LooseAs
    date: str = ""


_AS: Mapping[str, LooseAs] = {
    "taken off and refitted": "off",
    "taken away": "away",
    "replaced": "old",
    "part renewed": "old",
}


def loose_of(parts: Sequence[Part], work: Sequence[Work], lost: Sequence[str] = ()) -> tuple[Loose, ...]:
    """Every bag in the order of the register; of one part and kind, one bag with the pieces of all rows.

    `lost`: how it begins (casefolded) where the register says of an old piece that it is nowhere.
    """
    return tuple(bag for part in parts for bag in _bags(part, work, lost))


def all_of(
    parts: Sequence[Part], work: Sequence[Work], numbers: Sequence[str] = (), lost: Sequence[str] = ()
) -> tuple[Loose, ...]:
    """A label for each of `numbers`; none named is each part that was there. `lost` as above."""
    wanted = set(numbers) or {part.number for part in parts if _there(part, work)}
    found: list[Loose] = []
    for part in parts:
        if part.number in wanted:
            found += list(_bags(part, work, lost)) or [Loose(part.number, part.pieces, "")]
    return tuple(found)


def _there(part: Part, work: Sequence[Work]) -> bool:
    return part.came_as != "missing" or any(part.number in row.parts for row in work)


def _bags(part: Part, work: Sequence[Work], lost: Sequence[str]) -> Iterator[Loose]:
    """A part renewed leaves an old piece only where the register says so; one that never came, or was lost
    before, leaves none.
    """
    was_there = part.came_as != "missing" and not part.old_piece.casefold().startswith(tuple(lost))
    rows: dict[LooseAs, list[Work]] = {}
    for row in work:
        if part.number in row.parts and row.done in _AS and (row.done != "part renewed" or part.old_piece):
            rows.setdefault(_AS[row.done], []).append(row)
    if part.old_piece and "old" not in rows and "away" not in rows:
        rows["old"] = []
    if not was_there:
        rows.pop("old", None)
    for loose_as, some in rows.items():
        day = next((row.date for row in some if row.date), "")
        yield Loose(part.number, _pieces(part, some), loose_as, day)


def _pieces(part: Part, rows: Sequence[Work]) -> int:
    """A part renewed leaves a bit of a piece; a number beside several parts says nothing of one of them."""
    if not rows or any(row.done == "part renewed" or (row.pieces and len(row.parts) > 1) for row in rows):
        return 0
    return min(part.pieces, sum(row.pieces or part.pieces for row in rows))
