"""How many pieces of a part came as what, when several records speak of it: counts as ranges, by label.

A label is a word of `CameAs`, or `gone(label)`: taken away, and what it came as before. Not here: who says so
(`history`), what is done to the pieces today (`parts`). Invariants: every range holds within the number of
pieces; `met` and `after` never raise the most that can be original, but where a refitting or a reason says
so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from dossier.account import carried as carry
from dossier.account.carried import NOTHING, Carried
from dossier.model.words import CameAs, Now

_GONE = "taken away: "
_OPEN = ("original", "not known")  # what may be original
_UNSAID = ""
Counts = dict[str, tuple[int, int]]

ORIGIN_OF_NEW: Mapping[str, CameAs] = {"later addition": "later addition"}  # by how the part came


class Mix(NamedTuple):
    """`n` pieces, and low and high of each label that may be among them; what earlier records did to them,
    where that is known (`history` adds it at the end).
    """

    n: int
    counts: tuple[tuple[str, int, int], ...]
    carried: Carried = NOTHING

    def of(self, *labels: str) -> tuple[int, int]:
        """Fewest and most pieces that have one of these labels."""
        mine = [(low, high) for label, low, high in self.counts if label in labels]
        others = [(low, high) for label, low, high in self.counts if label not in labels]
        low = max(sum(c[0] for c in mine), self.n - sum(c[1] for c in others))
        return max(0, low), min(sum(c[1] for c in mine), self.n - sum(c[0] for c in others))

    @property
    def label(self) -> str:
        """The one label of all pieces, "" where there are several."""
        return self.counts[0][0] if len(self.counts) == 1 else ""


class Row(NamedTuple):
    """One row of `parts_now` of a record."""

    now: Now
    low: int
    high: int
    altered: bool = False


def most_not_original(mix: Mix) -> int:
    """The most pieces that are surely none of those that may be original."""
    return mix.n - mix.of(*_OPEN)[0]


def gone(label: str) -> str:
    return label if is_missing(label) else _GONE + label


def is_missing(label: str) -> bool:
    return label == "missing" or label.startswith(_GONE)


def before_gone(label: str) -> str:
    """What a piece came as before it was taken away."""
    return label.removeprefix(_GONE)


def whole(label: str, n: int) -> Mix:
    return Mix(n, ((label, n, n),))


def mixed(n: int, counts: Mapping[str, tuple[int, int]]) -> Mix:
    """Counts without what cannot be, each no wider than the others leave it."""
    cut = {label: (max(0, low), min(n, high)) for label, (low, high) in counts.items() if high > 0}
    lows, highs = sum(low for low, _ in cut.values()), sum(high for _, high in cut.values())
    tight = (
        (label, max(low, n - (highs - high)), min(high, n - (lows - low)))
        for label, (low, high) in sorted(cut.items())
    )
    return Mix(n, tuple((label, min(low, high), high) for label, low, high in tight if high > 0))


def joined(mixes: Sequence[Mix]) -> Mix:
    """Several rows of pieces as one."""
    counts: Counts = {}
    for mix in mixes:
        _add(counts, mix.counts)
    whole = mixed(sum(mix.n for mix in mixes), counts)
    return whole._replace(carried=carry.joined(mix.carried for mix in mixes))


def some_of(mix: Mix, n: int) -> Mix:
    """Any `n` of the pieces, nobody says which."""
    left = mix.n - n
    return mix if left <= 0 else mixed(n, {o: (low - left, min(high, n)) for o, low, high in mix.counts})


def still_here(mix: Mix, n: int) -> Mix:
    """`n` of the pieces: those that are missing are the first not to be among them."""
    left = mix.n - n
    if left <= 0:
        return mix
    missing = mix.of(*(label for label, _, _ in mix.counts if is_missing(label)))
    present, still = max(0, left - missing[0]), max(0, missing[1] - left)
    counts: Counts = {}
    for label, low, high in mix.counts:
        if is_missing(label):
            counts[label] = (low - left, min(high, still))
        else:
            counts[label] = (low - present, min(high, n))
    return mixed(n, counts)


def grown(mix: Mix, n: int) -> Mix:
    """With more pieces, of which nothing was said: each comes as it is read (`met`)."""
    return mix if n <= mix.n else Mix(n, (*mix.counts, (_UNSAID, n - mix.n, n - mix.n)))


class Met(NamedTuple):
    """How pieces come in, and whether that is read otherwise than before."""

    mix: Mix
    differs: bool
    back: bool = False  # what was taken away or missing is there, and nobody recorded a refitting


def met(before: Mix, came_as: CameAs, n: int, *, refitted: int = 0, reasoned: bool = False) -> Met:
    """The pieces of a part that is now read as `came_as`, by what was said before.

    `refitted`: of a part that was wholly away, so many pieces were put back (-1: all). `reasoned`: a
    reason is given why the reading before does not hold. More pieces than before come as they are read.
    """
    if reasoned:
        return Met(whole(came_as, n), differs=before != whole(came_as, n))
    before = still_here(before, n)
    refitted = refitted if all(is_missing(label) for label, _, _ in before.counts if label) else 0
    here = _put_back(before, refitted) if refitted else before
    counts: Counts = {}
    differs = back = False
    for label, low, high in here.counts:
        kept = bool(refitted) and label != _UNSAID and not is_missing(label)
        _add(counts, [(label if kept else _read(label, came_as), low, high)])
        differs = differs or (not kept and _otherwise(label, came_as))
        back = back or (is_missing(label) and came_as == "original")
    if n > before.n:
        _add(counts, [(came_as, n - before.n, n - before.n)])
    return Met(mixed(n, counts), differs or back, back)


def _read(label: str, came_as: CameAs) -> str:
    """What a piece said to be `label` counts as, when it is read as `came_as`."""
    if label == _UNSAID:
        return came_as
    if came_as == "missing":
        return gone(label) if is_missing(label) else "missing"
    if came_as == "not known":
        return "not known" if label in _OPEN else label
    if came_as == "original":
        if label in _OPEN:
            return "original"
        return "earlier replacement" if is_missing(label) else label
    return came_as


def _otherwise(label: str, came_as: CameAs) -> bool:
    """Whether two readings of one piece cannot both hold."""
    unsaid = "not known" in (label, came_as) or came_as == "missing" or label == _UNSAID
    return not (unsaid or is_missing(label) or label == came_as)


def _put_back(mix: Mix, refitted: int) -> Mix:
    counts: Counts = {}
    for label, low, high in mix.counts:
        back = before_gone(label)
        if back == label:
            _add(counts, [(label, low, high)])
        elif refitted < 0 or refitted >= high:
            _add(counts, [(back, low, high)])
        else:
            _add(counts, [(label, low - refitted, high), (back, min(low, refitted), refitted)])
    return mixed(mix.n, counts)


@lru_cache(maxsize=20_000)
def after(coming: Mix, came_as: CameAs, rows: tuple[Row, ...]) -> Mix:
    """What is there after a record's work, by its own rows of what is there now."""
    n = coming.n
    rows = _adding_up(rows, n)
    new = _sum(rows, n, lambda now: now.startswith("new,"))
    away = _sum(rows, n, lambda now: now == "taken away")
    unknown = _sum(rows, n, lambda now: now == "not known")
    original = _sum(rows, n, lambda now: now.startswith("original"))
    # The rows know which work may have met one piece twice.
    most = max(original[1], n - new[1] - away[1] - unknown[1]) if came_as == "original" else n
    most_unknown = max(unknown[1], n - new[1] - away[1]) if came_as == "not known" else n
    counts: Counts = {}
    for label, low, high in coming.counts:
        if is_missing(label):
            _add(counts, [(label, low - new[1], min(high, n - new[0]))])
            continue
        _add(counts, [(gone(label), low + away[0] - n, min(high, away[1]))])
        left = low - new[1] - away[1], min(high, n - new[0] - away[0])
        if label == "not known":
            left = left[0], min(left[1], most_unknown)
        elif label == "original" and unknown[1]:
            seen = left[0] - unknown[1], min(left[1], n - new[0] - away[0] - unknown[0], most)
            _add(counts, [("not known", low + unknown[0] - n, min(left[1], unknown[1]))])
            left = seen
        elif label == "original":
            left = left[0], min(left[1], most)
        _add(counts, [(label, *left)])
    _add(counts, [(ORIGIN_OF_NEW.get(came_as, "earlier replacement"), *new)])
    return mixed(n, counts)


def _adding_up(rows: tuple[Row, ...], n: int) -> tuple[Row, ...]:
    """The rows; of rows that cannot be so many pieces, only which states there are."""
    lows, highs = sum(row.low for row in rows), sum(row.high for row in rows)
    if lows <= n <= highs and all(0 <= row.low <= row.high for row in rows):
        return rows
    return tuple(Row(row.now, 0, n) for row in rows)


def replaced(before: Mix, pieces: tuple[int, int], *, taken: bool) -> Mix:
    """After at least and at most so many pieces were replaced, or taken away."""
    n, (least, most) = before.n, pieces
    state: Now = "taken away" if taken else "new, likeness not known"
    rest = Row("original, no work recorded", n - most, n - least)
    return after(before, "earlier replacement", (Row(state, least, most), rest))  # no row tells of a reading


def replaced_by(rows: tuple[Row, ...], n: int) -> tuple[int, int]:
    """Fewest and most pieces that are new after a record."""
    return _sum(_adding_up(rows, n), n, lambda now: now.startswith("new,"))


def _sum(rows: tuple[Row, ...], n: int, wanted: Callable[[str], bool]) -> tuple[int, int]:
    mine = [row for row in rows if wanted(row.now)]
    others = [row for row in rows if row not in mine]
    low = max(sum(row.low for row in mine), n - sum(row.high for row in others)) if mine else 0
    high = min(n, sum(row.high for row in mine))
    return max(0, min(high, low)), high


def _add(counts: Counts, more: Iterable[tuple[str, int, int]]) -> None:
    for label, low, high in more:
        old = counts.get(label, (0, 0))
        counts[label] = old[0] + max(0, low), old[1] + max(0, high)
