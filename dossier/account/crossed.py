"""How many pieces fall to each pair of a row and a column, of which only the numbers are known.

Rows may be what pieces came as, columns what was done to them: of 4 pieces, 2 of them replaced before, 3 were
cleaned. Not here: what rows and columns mean, and which pairs cannot be (`meeting`, `naming`). Invariant:
every way of choosing the pieces gives counts inside the ranges; each step takes away only what cannot be.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

Span = tuple[int, int]
Wanted = Callable[[int, int], bool]

_ROUNDS = 12  # ranges are true after any number of rounds, and hardly ever narrow after the third


class Crossed(NamedTuple):
    """`n`, each row and each column: fewest and most pieces in all; `cells`: of each pair."""

    n: Span
    rows: Sequence[Span]
    columns: Sequence[Span]
    cells: list[list[Span]]

    def of(self, wanted: Wanted) -> Span:
        """Fewest and most pieces in the wanted pairs: by rows, by columns, by what the rest leaves."""
        low, high = self._added(wanted)
        rest = self._added(lambda row, column: not wanted(row, column))
        return max(low, self.n[0] - rest[1]), min(high, self.n[1] - rest[0])

    def _added(self, wanted: Wanted) -> Span:
        turned = [*zip(*self.cells, strict=True)]
        by_rows = _sum(
            _within(limit, line, [wanted(r, c) for c in range(len(line))])
            for r, (limit, line) in enumerate(zip(self.rows, self.cells, strict=True))
        )
        by_columns = _sum(
            _within(limit, line, [wanted(r, c) for r in range(len(line))])
            for c, (limit, line) in enumerate(zip(self.columns, turned, strict=True))
        )
        return max(by_rows[0], by_columns[0]), min(by_rows[1], by_columns[1])


def crossed(n: Span, rows: Sequence[Span], columns: Sequence[Span], can: Wanted) -> Crossed | None:
    """`n`, `rows`, `columns` as in `Crossed`; `can`: whether a piece may be in that row and column, which are
    given by their places from 0. None where there is no way to fill the table.
    """
    cells: list[list[Span]] = [
        [(0, min(row[1], column[1]) if can(r, c) else 0) for c, column in enumerate(columns)]
        for r, row in enumerate(rows)
    ]
    for _ in range(_ROUNDS):
        across = [_narrowed(limit, line) for limit, line in zip(rows, cells, strict=True)]
        down = [
            _narrowed(limit, line) for limit, line in zip(columns, zip(*across, strict=True), strict=True)
        ]
        found = [list(line) for line in zip(*down, strict=True)]
        if any(low > high for line in found for low, high in line):
            return None
        if found == cells:
            break
        cells = found
    return Crossed(n, rows, columns, cells)


def _narrowed(limit: Span, line: Sequence[Span]) -> list[Span]:
    """Cells that are `limit` together: each no more than the others leave, nor less than they lack."""
    lows, highs = sum([low for low, _ in line]), sum([high for _, high in line])
    return [(max(low, limit[0] - (highs - high)), min(high, limit[1] - (lows - low))) for low, high in line]


def _within(limit: Span, line: Sequence[Span], mine: Sequence[bool]) -> Span:
    own = [cell for cell, is_mine in zip(line, mine, strict=True) if is_mine]
    rest = [cell for cell, is_mine in zip(line, mine, strict=True) if not is_mine]
    low = max(sum([low for low, _ in own]), limit[0] - sum([high for _, high in rest]))
    return low, min(sum([high for _, high in own]), limit[1] - sum([low for low, _ in rest])) if own else 0


def _sum(spans: Iterable[Span]) -> Span:
    lows, highs = zip(*spans, strict=True)
    return sum(lows), sum(highs)
