"""The account: by where it is seen and what is there now, counts of parts and pieces and what is measured.

Not here: what there is of each part (`parts`). No score, no share, no headline.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import NamedTuple

from dossier.account.joint import Joint
from dossier.account.register import pieces_of
from dossier.account.weights import dimensions_of, measured
from dossier.model.counted import Account, PartNow
from dossier.model.rows import Part
from dossier.model.words import NOW, SEEN, Dimension, Now, Seen

Rows = list[tuple[Part, PartNow]]


class _Some(NamedTuple):
    """Rows of a line that are counted together, with their pieces."""

    parts: frozenset[str]
    low: int
    high: int


def account_of(
    parts: Sequence[Part], now: Sequence[PartNow], joint: Sequence[Joint] = (), language: str = "en"
) -> tuple[Account, ...]:
    """The account by where it is seen and what is there now. Pieces are ranges; a part counts in `parts_low`
    when all its pieces are surely in that state, in `parts_high` when any piece may be.

    `joint`: rows that are one part and whose pieces are counted together.
    """
    lines: dict[tuple[Seen, Now], Rows] = defaultdict(list)
    by_number = {p.number: p for p in parts}
    for row in now:
        part = by_number[row.part]
        lines[part.seen, row.now].append((part, row))
    joint = [one for one in joint if _fits(one, now)]
    order = sorted(lines, key=lambda key: (SEEN.index(key[0]), NOW.index(key[1])))
    dimensions = dimensions_of(parts, language)
    found = (_line(key, lines[key], joint, dimensions, language) for key in order)
    return tuple(line for line in found if line.pieces_high > 0)


def _fits(one: Joint, now: Sequence[PartNow]) -> bool:
    """Whether what there is of rows together goes with what there is of each; else each is counted alone."""
    sums: dict[Now, tuple[int, int]] = dict.fromkeys(one.counts, (0, 0))
    for row in now:
        if row.part in one.parts:
            low, high = sums.get(row.now, (0, 0))
            sums[row.now] = low + row.pieces_low, high + row.pieces_high
    return all(
        low <= one.counts.get(state, (0, 0))[1] and one.counts.get(state, (0, 0))[0] <= high
        for state, (low, high) in sums.items()
    )


def _line(
    key: tuple[Seen, Now],
    rows: Rows,
    joint: Sequence[Joint],
    dimensions: tuple[Dimension, ...],
    language: str,
) -> Account:
    seen, now = key
    low, high = _pieces(now, [row for _, row in rows], joint)
    return Account(
        seen=seen,
        now=now,
        parts_low=sum(row.pieces_low >= pieces_of(part) for part, row in rows),
        parts_high=len(rows),
        pieces_low=low,
        pieces_high=high,
        parts=tuple(part.number for part, _ in rows),
        measured=measured(rows, dimensions, language, (low, high)),
    )


def _pieces(now: Now, rows: list[PartNow], joint: Sequence[Joint]) -> tuple[int, int]:
    """The pieces of a line; of rows that are one part no fewer and no more than they have together."""
    within = {row.part: _Some(frozenset({row.part}), row.pieces_low, row.pieces_high) for row in rows}
    for one in sorted(joint, key=lambda one: len(one.parts)):
        mine = {within[part] for part in one.parts if part in within}
        if mine and all(some.parts <= one.parts for some in mine):
            least, most = one.counts.get(now, (0, 0))
            low, high = max(least, sum(some.low for some in mine)), min(most, sum(some.high for some in mine))
            within.update(dict.fromkeys(one.parts & within.keys(), _Some(one.parts, min(low, high), high)))
    every = set(within.values())
    return sum(some.low for some in every), sum(some.high for some in every)
