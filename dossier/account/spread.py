"""How many pieces of one part can be in each state, when only numbers of pieces are known, not which.

Work on "30 of 64" and on "9 of 64" may or may not have met the same pieces, so a count is a range. States
stand in layers: the topmost layer that met a piece decides its state. Not here: what a state means.
Invariant: every way of choosing the pieces gives counts inside the ranges (tests count all ways).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Generic, NamedTuple, TypeVar

S = TypeVar("S")


class Meets(NamedTuple):
    """One row of work meets between `low` and `high` pieces of the part."""

    low: int
    high: int
    row: int


class Layer(NamedTuple, Generic[S]):
    """All rows that bring a piece into `state`.

    `apart`: the rows speak only of pieces that no other layer met ("left as found", "not examined").
    `least`: so many pieces are surely in the state; `covered`: so many are met by it or a layer above.
    """

    state: S
    meets: tuple[Meets, ...]
    apart: bool = False
    least: int = 0
    covered: int = 0

    def union(self, n: int) -> tuple[int, int]:
        """Fewest and most pieces that the rows can meet together."""
        return max(m.low for m in self.meets), min(n, sum(m.high for m in self.meets))


class Count(NamedTuple, Generic[S]):
    state: S
    low: int
    high: int
    rows: tuple[int, ...] = ()


def spread(n: int, layers: Sequence[Layer[S]], base: S) -> list[Count[S]]:
    """Counts by layer from the top, then of the pieces that nothing met (`base`); empty ones dropped."""
    counts: list[Count[S]] = []
    above, open_ = (0, 0), _not_apart(n, layers)
    for layer in layers:
        met = layer.union(n if layer.apart else open_)
        low, high = _apart(n, met, above) if layer.apart else _under(open_, met, above)
        rows = tuple(m.row for m in layer.meets)
        counts.append(Count(layer.state, max(low, layer.least), high, rows))
        above = _joined(n if layer.apart else open_, met, above, layer.apart)
        above = max(above[0], layer.covered), above[1]
    counts.append(Count(base, n - above[1], n - above[0]))
    return _tightened(n, [c for c in counts if c.high > 0])


def merged(n: int, counts: Sequence[Count[S]]) -> list[Count[S]]:
    """The same counts with equal states added up, in order of first appearance; empty ones dropped."""
    if len({c.state for c in counts}) == len(counts):
        some = (c for c in counts if c.high > 0)
        return _tightened(n, [c if c.high <= n else c._replace(high=n) for c in some])
    found: dict[S, Count[S]] = {}
    for c in counts:
        old = found.get(c.state, Count(c.state, 0, 0))
        found[c.state] = Count(c.state, old.low + c.low, min(n, old.high + c.high), old.rows + c.rows)
    return _tightened(n, [c for c in found.values() if c.high > 0])


def _not_apart(n: int, layers: Sequence[Layer[S]]) -> int:
    """The most pieces that the other layers can meet: those spoken of apart are none of them, unless the rows
    contradict each other.
    """
    apart = sum(layer.union(n)[0] for layer in layers if layer.apart)
    met = max((layer.union(n)[0] for layer in layers if not layer.apart), default=0)
    return n - apart if apart + met <= n else n


def _under(n: int, met: tuple[int, int], above: tuple[int, int]) -> tuple[int, int]:
    return max(0, met[0] - above[1]), min(met[1], n - above[0])


def _apart(n: int, met: tuple[int, int], above: tuple[int, int]) -> tuple[int, int]:
    return min(met[0], n - above[1]), min(met[1], n - above[0])


def _joined(n: int, met: tuple[int, int], above: tuple[int, int], apart: bool) -> tuple[int, int]:
    low = min(n, above[0] + met[0]) if apart else max(above[0], met[0])
    return low, min(n, above[1] + met[1])


def _tightened(n: int, counts: list[Count[S]]) -> list[Count[S]]:
    """All counts together are n: so none is more than the others leave, nor less than they lack."""
    lows, highs = sum([c.low for c in counts]), sum([c.high for c in counts])
    if lows == highs == n:
        return counts  # every piece is certain
    return [
        c._replace(low=max(c.low, n - (highs - c.high)), high=min(c.high, n - (lows - c.low))) for c in counts
    ]
