"""What reading and work make of pieces of which only the numbers are known.

A table has what the pieces came as in its rows and what met them in its columns. Which piece may be met so,
and what it is afterwards, is said in a line or two; the arithmetic is `crossed`. Not here: who says so
(`history`), what is done to the pieces today (`parts`). Invariants: every choice of pieces lies within the
ranges; `met` and `after` never raise the most that can be original, but where a refitting or a reason does.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from dossier.account.crossed import Crossed, Span, crossed
from dossier.account.mix import (
    ALL,
    DEPTH_OF,
    OPEN,
    UNSAID,
    Counts,
    Deep,
    Depth,
    Mix,
    Row,
    add,
    before_gone,
    gone,
    is_missing,
    mixed,
    not_apart,
    still_here,
    whole,
)
from dossier.model.words import CameAs, Done, Now

_NONE: Span = (0, 0)
_NOT_ORIGINAL: frozenset[Now] = frozenset(
    {"earlier replacement", "later addition", "from another object", "missing"}
)
_ORIGIN_OF_NEW: Mapping[str, CameAs] = {"later addition": "later addition"}  # by how the part came
May = Callable[[str, Depth, int], bool]


class Crossing:
    """Pieces by label and depth, and what met them: low and high of each column."""

    def __init__(self, mix: Mix, columns: Sequence[Span], *ways: May) -> None:
        """`ways`: whether a piece may be met so; where that cannot hold of all, by the next, then any."""
        self.labels = [label for label, _, _ in mix.counts]
        kinds: dict[str, dict[Depth, Span]] = {label: {} for label in self.labels}
        for (label, depth), span in mix.every().items():
            kinds[label][depth] = span
        self.depths = {label: [*spans] for label, spans in kinds.items()}
        self._kinds = [[*kinds[label].values()] for label in self.labels]
        self._mix, self._columns = mix, columns
        filled = (self._fill(may) for may in (*ways, lambda *_: True))
        self._made = next((made for made in filled if made), None)

    def _fill(self, may: May) -> tuple[Crossed, dict[str, Crossed]] | None:
        labels, depths = self.labels, self.depths
        limits = [(low, high) for _, low, high in self._mix.counts]
        n = self._mix.n, self._mix.n
        words = crossed(
            n, limits, self._columns, lambda r, c: any(may(labels[r], d, c) for d in depths[labels[r]])
        )
        if words is None:
            return None
        deep: dict[str, Crossed] = {}
        for label, limit, cells, kinds in zip(labels, limits, words.cells, self._kinds, strict=True):
            own = crossed(limit, kinds, cells, lambda d, c, of=label: may(of, depths[of][d], c))  # type: ignore[misc]
            if own is None:
                return None
            deep[label] = own
        return words, deep

    def of(self, wanted: Callable[[str, int], bool]) -> Span:
        """Fewest and most pieces in the pairs of label and column that are wanted."""
        if self._made is None:  # what met them cannot be so many pieces: nothing is known
            return 0, ALL
        return self._made[0].of(lambda row, column: wanted(self.labels[row], column))

    def deep(self, label: str, wanted: Callable[[Depth, int], bool]) -> Span:
        """The same of one label, by depth and column."""
        if self._made is None:
            return 0, ALL
        depths = self.depths[label]
        return self._made[1][label].of(lambda row, column: wanted(depths[row], column))


def _become(
    crossing: Crossing,
    columns: int,
    end_of: Callable[[str, int], str],
    depth_of: Callable[[str, Depth, int], Depth],
) -> tuple[Counts, Deep]:
    """What the pieces are afterwards, by what one of a label, or of a depth, becomes in a column."""
    ends = dict.fromkeys(end_of(label, c) for label in crossing.labels for c in range(columns))
    counts = {end: crossing.of(lambda label, c, one=end: end_of(label, c) == one) for end in ends}  # type: ignore[misc]
    deep: Deep = {}
    for label, depths in crossing.depths.items():
        kinds: dict[tuple[str, Depth], set[tuple[Depth, int]]] = {}
        for d in depths:
            for c in range(columns):
                kinds.setdefault((end_of(label, c), depth_of(label, d, c)), set()).add((d, c))
        for kind, pairs in kinds.items():
            add(deep, [(kind, *crossing.deep(label, lambda d, c, some=pairs: (d, c) in some))])  # type: ignore[misc]
    return counts, deep if any(depth for _, depth in deep) else {}


class Met(NamedTuple):
    """How pieces come in, and whether that is read otherwise than before."""

    mix: Mix
    differs: bool
    back: bool = False  # what was away is there, and of not all of it is a refitting recorded


@lru_cache(maxsize=20_000)
def met(before: Mix, came_as: CameAs, n: int, *, refitted: Span = _NONE, reasoned: bool = False) -> Met:
    """The pieces of a part that is now read as `came_as`, by what was said before.

    `refitted`: at least and at most so many pieces were put back, whether they had been away or not; what no
    record took away is not known to be the old piece.
    `reasoned`: a reason is given why the reading before does not hold. More pieces than before come as they
    are read.
    """
    before = still_here(before, n)
    if reasoned:
        return Met(_all_read(before, came_as, n), differs=before[:2] != whole(came_as, n)[:2])
    refitted = max(0, min(refitted[0], before.n)), min(refitted[1], before.n)
    if not any(is_missing(label) for label, _, _ in before.counts):
        refitted = _NONE

    def back(label: str, column: int) -> bool:
        return column == 0 and before_gone(label) != label  # of what is only missing nothing is known

    def end(label: str, column: int) -> str:
        if not back(label, column):
            return _read(label, came_as)
        return before_gone(label) if came_as == "missing" else _read(before_gone(label), came_as)

    def depth(label: str, deep: Depth, column: int) -> Depth:
        another = is_missing(label) and came_as != "missing" and not back(label, column)
        return 0 if another else deep

    columns = [refitted, (before.n - refitted[1], before.n - refitted[0])]
    crossing = Crossing(before, columns)
    counts, deep = _become(crossing, 2, end, depth)
    read = {
        label: crossing.of(lambda one, c, of=label: one == of and not back(one, c))  # type: ignore[misc]
        for label in crossing.labels
    }
    mix = mixed(n, *_with(counts, deep, came_as, n - before.n))
    here = [span[0] if refitted[1] else span[1] for label, span in read.items() if is_missing(label)]
    is_back = came_as == "original" and any(here)
    differs = any(high and _otherwise(label, came_as) for label, (_, high) in read.items()) or is_back
    return Met(mix._replace(altered=before.altered, others=before.others), differs, is_back)


@lru_cache(maxsize=20_000)
def met_apart(before: Mix, read: tuple[tuple[CameAs, int], ...]) -> Mix | None:
    """The pieces of rows that are read in several ways, together, by what was said of all of them before;
    which are in which row is not known. `read`: as what, and how many. None where pieces were away, or
    are more or fewer now.
    """
    away = any(is_missing(label) for label, _, _ in before.counts)
    if away or sum(pieces for _, pieces in read) != before.n:
        return None
    crossing = Crossing(before, [(pieces, pieces) for _, pieces in read])
    counts, deep = _become(
        crossing,
        len(read),
        lambda label, column: _read(label, read[column][0]),
        lambda label, depth, column: depth,
    )
    return mixed(before.n, counts, deep)._replace(altered=before.altered, others=before.others)


def _with(counts: Counts, deep: Deep, came_as: CameAs, more: int) -> tuple[Counts, Deep]:
    if more > 0:
        add(counts, [(came_as, more, more)])
        if deep:
            plain: tuple[str, Depth] = (came_as, 0)
            add(deep, [(plain, more, more)])
    return counts, deep


def _all_read(before: Mix, came_as: CameAs, n: int) -> Mix:
    """Read so for a reason: what stays done to the pieces stays."""
    counts: Counts = {str(came_as): (before.n, before.n)}
    deep: Deep = {}
    for (_, depth), span in before.every().items() if before.deep else ():
        add(deep, [((came_as, depth), *span)])
    found = mixed(n, *_with(counts, deep, came_as, n - before.n))
    return found._replace(altered=before.altered, others=before.others)


def _read(label: str, came_as: CameAs) -> str:
    """What a piece said to be `label` counts as, when it is read as `came_as`."""
    if label == UNSAID:
        return came_as
    if came_as == "missing":
        return gone(label) if is_missing(label) else "missing"
    if came_as == "not known":
        return "not known" if label in OPEN else label
    if came_as == "original":
        if label in OPEN:
            return "original"
        return "earlier replacement" if is_missing(label) else label
    return came_as


def _otherwise(label: str, came_as: CameAs) -> bool:
    """Whether two readings of one piece cannot both hold."""
    unsaid = "not known" in (label, came_as) or came_as == "missing" or label == UNSAID
    return not (unsaid or is_missing(label) or label == came_as)


@lru_cache(maxsize=20_000)
def after(coming: Mix, came_as: CameAs, rows: tuple[Row, ...], knows: bool = False) -> Mix:
    """What is there after a record's work, by its own rows of what is there now. `knows`: it counted in all
    that was said before it; if not, what it calls original may be what was replaced before.
    """
    n = coming.n
    rows = _adding_up(rows, n)
    new = _ORIGIN_OF_NEW.get(came_as, "earlier replacement")
    # What it knows of papers that are not at hand: it calls more pieces so than came as that.
    unheard = {row.now for row in rows if _unheard(coming, row)}

    def may(label: str, depth: Depth, column: int) -> bool:
        return _may_be(label, depth, rows[column].now, knows) or (
            label in OPEN and rows[column].now in unheard
        )

    def may_else(label: str, depth: Depth, column: int) -> bool:
        return may(label, depth, column) or (label in OPEN and rows[column].now in _NOT_ORIGINAL)

    crossing = Crossing(coming, [(row.low, row.high) for row in rows], may, may_else)
    counts, deep = _become(
        crossing,
        len(rows),
        lambda label, column: _end(label, rows[column].now, new),
        lambda label, depth, column: _depth(label, depth, rows[column].now),
    )
    stays = crossing.of(lambda _, column: rows[column].now.startswith("new,"))[0] < n
    strangers = not knows and coming.of(*OPEN)[0] < n
    altered = any(row.altered and not_apart(row.now) for row in rows)
    others = any(row.altered and not row.now.startswith("original") for row in rows)
    return mixed(n, counts, deep)._replace(
        altered=altered or (coming.altered and stays),
        others=others or (coming.others and stays) or (strangers and altered),
    )


def unheard_in(coming: Mix, rows: Iterable[Row]) -> int:
    """At most so many pieces a record calls something else than original, and nothing before it does."""
    return sum(_unheard(coming, row) for row in rows)


def _unheard(coming: Mix, row: Row) -> int:
    if row.now not in _NOT_ORIGINAL:
        return 0
    labels = [label for label, _, _ in coming.counts]
    came_so = [one for one in labels if one == row.now or (row.now == "missing" and is_missing(one))]
    return max(0, row.high - coming.of(*came_so)[1])


def _end(label: str, now: Now, new: str) -> str:
    """What a piece counts as that a record leaves so."""
    if now.startswith("new,"):
        return new
    if now == "taken away":
        return gone(label)
    if label in OPEN and now in _NOT_ORIGINAL:
        return now
    return "not known" if now == "not known" and label == "original" else label


def _depth(label: str, depth: Depth, now: Now) -> Depth:
    if now.startswith("new,"):
        return 0
    return depth if is_missing(label) else max(depth, DEPTH_OF.get(now, 0))


def _may_be(label: str, depth: Depth, now: Now, knows: bool) -> bool:
    """Whether a record may leave a piece so that came in as `label`."""
    if now.startswith("new,"):
        return True
    if is_missing(label):
        return now == "missing" if knows else now != "taken away"
    if now == "taken away":
        return True
    if label == "original":
        is_less = knows and now != "not known" and depth > DEPTH_OF.get(now, 0)
        return not is_less and (now == "not known" or now.startswith("original"))
    if label == "not known":
        return now == "not known" or (not knows and now.startswith("original"))
    return now == label or not knows


def _adding_up(rows: tuple[Row, ...], n: int) -> tuple[Row, ...]:
    """The rows; of rows that cannot be so many pieces, only which states there are."""
    lows, highs = sum(row.low for row in rows), sum(row.high for row in rows)
    if lows <= n <= highs and all(0 <= row.low <= row.high for row in rows):
        return rows
    return tuple(row._replace(low=0, high=n) for row in rows)


_LEAVES: Mapping[str, Now] = {
    "replaced": "new, likeness not known",
    "added": "new, likeness not known",
    "taken away": "taken away",
    "part renewed": "original, part renewed",
    "new surface": "original, new surface",
    "altered": "original, treated",
}


def worked_on(mix: Mix, done: Done | str, pieces: Span, came_as: CameAs = "earlier replacement") -> Mix:
    """After `done` was done to at least and at most so many pieces, by who may not know what they are."""
    if done not in _LEAVES:
        return mix
    least, most = pieces
    row = Row(_LEAVES[done], least, most, done == "altered")
    rest = Row("original, no work recorded", mix.n - most, mix.n - least)
    return after(mix, came_as, (row, rest))
