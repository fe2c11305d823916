"""How many pieces of rows that were one part may be original, and how many are, all of them together.

Of five pins of which two are original, each of three rows has up to two, and none for certain: together they
have two still. Not here: what each row has (`chain`). Invariants: the most rises only by the pieces that were
refitted, or read anew with a reason, or where the rows have another number of them; the least falls by what
a record has replaced, taken away or read as something else, and is not known once a paper speaks of a row.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Set
from functools import lru_cache
from typing import NamedTuple

from dossier.account.crossed import Span
from dossier.account.mix import OPEN, Mix, at_most, joined
from dossier.account.sources import Entry

Rows = frozenset[str]
_NONE: Mapping[str, int] = {}
_AWAY = ("missing", "taken away")


class _Bound(NamedTuple):
    pieces: int
    most: int  # of them that may be original
    least: int  # of them that are original


class Bounds:
    def __init__(self) -> None:
        self._found: dict[Rows, _Bound] = {}

    def __iter__(self) -> Iterator[Rows]:
        return iter(self._found)

    def add(self, rows: Collection[str], mix: Mix) -> None:
        """What is known of several rows together, besides what bounds them already."""
        if len(every := frozenset(rows)) > 1:
            new = _Bound(mix.n, _most(mix), _originals(mix)[0])
            old = self._found.setdefault(every, new)
            if old.pieces == new.pieces:
                self._found[every] = new._replace(
                    most=min(old.most, new.most), least=max(old.least, new.least)
                )

    def move(self, gone: Set[str], here: Collection[str]) -> None:
        """Rows are in the place of others: what bound these bounds those, unless only some of them were."""
        for rows in [rows for rows in self._found if not gone.isdisjoint(rows)]:
            bound, moved = self._found.pop(rows), rows - gone | {*here}
            if gone <= rows and len(moved) > 1:
                self._found[moved] = bound

    def touch(self, rows: Collection[str]) -> None:
        """By a paper, which may have replaced any piece of them."""
        for found, bound in self._found.items():
            if not found.isdisjoint(rows):
                self._found[found] = bound._replace(least=0)

    def go_on(
        self,
        entries: Mapping[str, Entry],
        mix_of: Callable[[str], Mix | None],
        unheard: Mapping[str, int] = _NONE,
    ) -> None:
        """By a record, after which the rows are as `mix_of` has them; None of one that is no more.
        `unheard`: at most so many pieces of a row it knows to be another, and nothing before it.
        """
        for rows, bound in [*self._found.items()]:
            mixes = [mix for row in rows if (mix := mix_of(row)) is not None]
            if len(mixes) < len(rows):
                del self._found[rows]
                continue
            originals = [_originals(mix) for mix in mixes]
            least, most = sum([low for low, _ in originals]), sum(map(_most, mixes))
            now = _Bound(sum([mix.n for mix in mixes]), most, least)
            if now.pieces == bound.pieces:
                read = [entries[row] for row in rows if row in entries]
                risen = bound.most + sum(map(_back, read))
                lost = sum(map(_lost, read)) + sum([unheard.get(row, 0) for row in rows])
                held = min(bound.least - lost, sum([high for _, high in originals]))
                now = now._replace(most=min(most, risen), least=max(least, held))
            self._found[rows] = now

    def together(self, mixes: Mapping[str, Mix]) -> Mix:
        """Rows as one, within what all of them, and any of them, hold together."""
        within = sorted((rows for rows in self._found if rows < mixes.keys()), key=len)
        if not within:
            return self.within(mixes, joined([*mixes.values()]))
        some = {frozenset({row}): mix for row, mix in mixes.items()}
        for rows in within:
            inside = [one for one in some if one <= rows]
            if sum(map(len, inside)) == len(rows):
                some[rows] = self.within(rows, joined([some.pop(one) for one in inside]))
        return self.within(mixes, joined([*some.values()]))

    def within(self, rows: Collection[str], mix: Mix) -> Mix:
        """`mix` of these rows together, with no more that may be original than they have, and no fewer that
        are.
        """
        bound = self._found.get(frozenset(rows))
        if not bound or bound.pieces != mix.n:
            return mix
        others = [label for label, _, _ in mix.counts if label != "original"]
        return at_most(at_most(mix, OPEN, bound.most), others, mix.n - bound.least)


def _back(entry: Entry) -> int:
    """At most so many pieces may be original again."""
    return entry.pieces if entry.reason else min(entry.refitted[1], entry.pieces)


@lru_cache(maxsize=20_000)
def _lost(entry: Entry) -> int:
    """At most so many pieces are no longer what they came as, or are read as something else."""
    if entry.reads_apart or entry.worked:
        return entry.pieces
    made = (row.high for row in entry.rows if row.now.startswith("new,") or row.now in _AWAY)
    return min(entry.pieces, sum(made))


@lru_cache(maxsize=20_000)
def _most(mix: Mix) -> int:
    return mix.of(*OPEN)[1]


@lru_cache(maxsize=20_000)
def _originals(mix: Mix) -> Span:
    return mix.of("original")
