"""What a record says of all the parts under a heading together, which is more than their rows say one by one.

Of 20 among 64 pins in rows of 9 and 55, each row has a range, and the lines of the account have 20. Not here:
how those lines were counted (`joint`). Invariant: a record whose lines and rows do not fit each other is read
by its rows alone.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from dossier.account.crossed import Span
from dossier.account.mix import K, Mix, Row, mixed
from dossier.model.counted import Account, PartNow
from dossier.model.words import Now


def rows_of(
    lines: Iterable[Account], now: Sequence[PartNow], above: Mapping[str, str]
) -> dict[str, tuple[Row, ...]]:
    """By heading, what there is of all parts under it together; `above` is the heading right above each part
    or heading that has one.
    """
    rows = {(row.part, row.now): row for row in now}
    open_ = {
        heading for row in now if row.pieces_low < row.pieces_high for heading in all_above(row.part, above)
    }
    found: dict[str, dict[Now, _Sum]] = defaultdict(dict)
    for line in lines if open_ else ():
        met = [rows[part, line.now] for part in line.parts if (part, line.now) in rows]
        mine: dict[str, list[PartNow]] = defaultdict(list)
        for row in met:
            for heading in open_.intersection(all_above(row.part, above)):
                mine[heading].append(row)
        every = _Sum.of(met)
        for heading, some in mine.items():
            old = found[heading].get(line.now, _Sum())
            found[heading][line.now] = old.plus(_Sum.of(some).within(every, line))
    return {
        heading: tuple(_row(state, one) for state, one in states.items()) for heading, states in found.items()
    }


def all_above(number: str, above: Mapping[str, str]) -> Iterator[str]:
    """The headings over a part, nearest first."""
    met_before = {number}
    while (number := above.get(number, "")) and number not in met_before:
        met_before.add(number)
        yield number


class _Sum(NamedTuple):
    low: int = 0
    high: int = 0
    altered: bool = False

    @classmethod
    def of(cls, rows: Sequence[PartNow]) -> _Sum:
        altered = any(row.altered for row in rows)
        return cls(sum(row.pieces_low for row in rows), sum(row.pieces_high for row in rows), altered)

    def plus(self, more: _Sum) -> _Sum:
        return _Sum(self.low + more.low, self.high + more.high, self.altered or more.altered)

    def within(self, every: _Sum, line: Account) -> _Sum:
        """What the line leaves to these of all its rows."""
        low = max(self.low, line.pieces_low - (every.high - self.high))
        high = min(self.high, line.pieces_high - (every.low - self.low))
        return self._replace(low=low, high=high) if low <= high else self


def _row(state: Now, one: _Sum) -> Row:
    return Row(state, one.low, one.high, one.altered)


def narrowed(one: Mix, other: Mix) -> Mix:
    """What both say of the same pieces; the first where they do not go together."""
    counts = _both({c[0]: c[1:] for c in one.counts}, {c[0]: c[1:] for c in other.counts})
    deep = _both(one.every(), other.every()) if one.deep or other.deep else {}
    spans = [*counts.values(), *deep.values()]
    if one.n != other.n or any(low > high for low, high in spans) or not _adds_up(one.n, counts):
        return one
    return mixed(one.n, counts, deep)._replace(altered=one.altered, others=one.others)


def _both(one: Mapping[K, Span], other: Mapping[K, Span]) -> dict[K, Span]:
    first, second = (
        {key: some.get(key, (0, 0)) for key in one.keys() | other.keys()} for some in (one, other)
    )
    return {key: (max(low, second[key][0]), min(high, second[key][1])) for key, (low, high) in first.items()}


def _adds_up(n: int, counts: Mapping[str, Span]) -> bool:
    return sum(low for low, _ in counts.values()) <= n <= sum(high for _, high in counts.values())
