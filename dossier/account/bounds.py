"""How many pieces of rows that were one part may be original, all of them together.

Of five pins of which two may be original, each of three rows has up to two: together they have two still. Not
here: what each row has (`chain`). Invariant: a bound rises only where a piece was refitted, or read anew with
a reason, or where the rows have another number of pieces.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Set
from functools import lru_cache
from typing import NamedTuple

from dossier.account.meeting import OPEN
from dossier.account.mix import Mix, at_most
from dossier.account.sources import Entry

Rows = frozenset[str]


class _Bound(NamedTuple):
    pieces: int
    most: int  # of them that may be original


class Bounds:
    def __init__(self) -> None:
        self._found: dict[Rows, _Bound] = {}

    def __iter__(self) -> Iterator[Rows]:
        return iter(self._found)

    def add(self, rows: Collection[str], mix: Mix) -> None:
        """What is known of several rows together, besides what bounds them already."""
        if len(every := frozenset(rows)) > 1:
            new = _Bound(mix.n, _most(mix))
            old = self._found.setdefault(every, new)
            if old.pieces == new.pieces:
                self._found[every] = min(old, new)

    def move(self, gone: Set[str], here: Collection[str]) -> None:
        """Rows are in the place of others: what bound these bounds those, unless only some of them were."""
        for rows in [rows for rows in self._found if not gone.isdisjoint(rows)]:
            bound, moved = self._found.pop(rows), rows - gone | {*here}
            if gone <= rows and len(moved) > 1:
                self._found[moved] = bound

    def go_on(self, entries: Mapping[str, Entry], mix_of: Callable[[str], Mix | None]) -> None:
        """By a record, after which the rows are as `mix_of` has them; None of one that is no more."""
        for rows, bound in [*self._found.items()]:
            mixes = [mix for row in rows if (mix := mix_of(row)) is not None]
            if len(mixes) < len(rows):
                del self._found[rows]
                continue
            now = _Bound(sum([mix.n for mix in mixes]), sum(map(_most, mixes)))
            if now <= bound or now.pieces > bound.pieces or _is_read_anew(rows, entries):
                self._found[rows] = now

    def within(self, rows: Collection[str], mix: Mix) -> Mix:
        """`mix` of these rows together, with no more that may be original than they have."""
        bound = self._found.get(frozenset(rows))
        return at_most(mix, OPEN, bound.most) if bound and bound.pieces == mix.n else mix


def _is_read_anew(rows: Rows, entries: Mapping[str, Entry]) -> bool:
    read = (entries[row] for row in rows if row in entries)
    return any(one.refitted[1] or one.reason for one in read)


@lru_cache(maxsize=20_000)
def _most(mix: Mix) -> int:
    return mix.of(*OPEN)[1]
