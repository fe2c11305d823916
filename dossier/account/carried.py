"""What earlier records did to pieces that are still here: partly renewed, given a new surface, altered.

A piece that came as original stays original and keeps what was done to it, whoever records it next, until it
is replaced. Counts are ranges, as in `mix`. Not here: which record says so (`chain`), what the pieces came as
(`mix`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

from dossier.account.spread import Count, merged
from dossier.model.words import Done, Now

Span = tuple[int, int]
Said = Sequence[tuple[Now, int, int, bool]]  # what there was after a record, low, high, whether altered

_RENEWED: Now = "original, part renewed"
_SURFACE: Now = "original, new surface"
_BEFORE: tuple[Now, ...] = ("original, left as found", "original, no work recorded", "original, treated")


class Carried(NamedTuple):
    """Fewest and most original pieces that were partly renewed, or given a new surface; the fewest that are
    the one or the other; whether any was altered, and whether any that is not original was.
    """

    renewed: Span = (0, 0)
    surface: Span = (0, 0)
    either: int = 0
    altered: bool = False
    others: bool = False

    def read_otherwise(self) -> Carried:
        """Where the pieces are read as something else than before, any may be the altered ones."""
        return self._replace(others=self.others or self.altered)


NOTHING = Carried()


def says(rows: Said) -> bool:
    """Whether a record says of any piece what stays done to it."""
    return any(row[3] or row[0] in (_RENEWED, _SURFACE) for row in rows)


def after(
    old: Carried,
    rows: Said,
    n: int,
    *,
    knows: bool,
    replaced: Span,
    strangers: int = 0,
    reads_apart: bool = True,
) -> Carried:
    """After a record of `n` pieces that says `rows`. `knows`: it counted in all that was said before it; if
    not, up to `strangers` of the pieces that it calls original may be none. `reads_apart`: it may call pieces
    something else that count as original before.
    """
    stays = replaced[0] < n
    altered = _any_altered(rows, not_apart) or (old.altered and stays)
    others = _any_altered(rows, lambda now: not now.startswith("original")) or (old.others and stays)
    renewed, surface = (_own(_sum(rows, now.__eq__), strangers) for now in (_RENEWED, _SURFACE))
    both = _sum(rows, lambda now: now in (_RENEWED, _SURFACE))[0] - strangers
    elsewhere = _sum(rows, lambda now: _may_have_been(now, reads_apart))[1] if knows else n
    most = max(0, n - replaced[0])
    return Carried(
        _span(old.renewed, renewed, replaced[1], elsewhere, most),
        _span(old.surface, surface, replaced[1] + renewed[1], elsewhere, most),
        min(most, max(0, both, old.either - replaced[1])),
        altered,
        others or (strangers > 0 and _any_altered(rows, not_apart)),
    )


def _may_have_been(now: Now, reads_apart: bool) -> bool:
    """Whether pieces of this state, not called original, may be such as earlier records worked on."""
    return not now.startswith(("original", "new,")) and (reads_apart or not _apart(now))


def not_apart(now: Now) -> bool:
    """Whether pieces of this state can be original."""
    return not (now.startswith("new,") or _apart(now))


def _any_altered(rows: Said, wanted: Callable[[Now], bool]) -> bool:
    return any(row[3] and wanted(row[0]) for row in rows)


def _span(old: Span, own: Span, lost: int, elsewhere: int, most: int) -> Span:
    high = min(most, own[1] + min(old[1], elsewhere))
    return min(high, max(own[0], old[0] - lost)), high


def _own(said: Span, strangers: int) -> Span:
    return max(0, said[0] - strangers), said[1]


def done(old: Carried, what: Done | str, pieces: int, n: int, *, least: int, strangers: int = 0) -> Carried:
    """After `what` was done to at least and at most so many of `n` pieces, up to `strangers` of which are not
    original.
    """
    sure, least = least, max(0, least - strangers)
    if what == "part renewed":
        renewed = max(old.renewed[0], least), min(n, old.renewed[1] + pieces)
        return old._replace(renewed=renewed, either=max(old.either, least))
    if what == "new surface":
        surface = max(old.surface[0], least), min(n, old.surface[1] + pieces)
        return old._replace(surface=surface, either=max(old.either, least))
    if what == "altered":
        return old._replace(altered=True, others=old.others or strangers > 0)
    if what == "replaced":
        return after(old, (), n, knows=False, replaced=(sure, pieces))
    return old


def some_of(old: Carried, left: int, n: int) -> Carried:
    """Of any `n` pieces, where `left` others are not among them."""
    if old == NOTHING or left <= 0:
        return old
    renewed, surface = ((max(0, low - left), min(high, n)) for low, high in (old.renewed, old.surface))
    return old._replace(renewed=renewed, surface=surface, either=max(0, old.either - left))


def joined(some: Iterable[Carried]) -> Carried:
    """Of several rows of pieces together."""
    every = [one for one in some if one != NOTHING]
    if not every:
        return NOTHING
    renewed = sum(one.renewed[0] for one in every), sum(one.renewed[1] for one in every)
    surface = sum(one.surface[0] for one in every), sum(one.surface[1] for one in every)
    return Carried(
        renewed,
        surface,
        sum(one.either for one in every),
        any(one.altered for one in every),
        any(one.others for one in every),
    )


def counted(n: int, counts: Sequence[Count[Now]], carried: Carried) -> list[Count[Now]]:
    """The counts of what is there now, with what was done before to those of the pieces that are original."""
    found = _moved(n, list(counts), _SURFACE, carried.surface, _BEFORE)
    found = _moved(n, found, _RENEWED, carried.renewed, (*_BEFORE, _SURFACE))
    return _without(n, found, carried.either)


def _moved(n: int, counts: list[Count[Now]], to: Now, said: Span, over: Sequence[Now]) -> list[Count[Now]]:
    """Takes between the two of `said` out of the states in `over`, nobody knows out of which."""
    most = min(said[1], sum(c.high for c in counts if c.state in over))
    if most <= 0:
        return counts
    left = [c._replace(low=max(0, c.low - most)) if c.state in over else c for c in counts]
    least = min(most, max(0, said[0] - _met(counts, over)))
    found = merged(n, [*left, Count(to, least, most)])
    sure = said[0] - _met(counts, (*over, to))  # whether met today or not
    raised = [c._replace(low=max(c.low, min(sure, c.high))) if c.state == to else c for c in found]
    return [c for c in merged(n, raised) if c.high > 0]


def _met(counts: Sequence[Count[Now]], but: Sequence[Now]) -> int:
    """The most pieces that are in another state than these, and may be such as earlier records worked on."""
    return sum(c.high for c in counts if c.state not in but and not _apart(c.state))


def _without(n: int, counts: list[Count[Now]], either: int) -> list[Count[Now]]:
    """No more pieces without anything that stays than the fewest that have it leave, here or gone."""
    if not either:
        return counts
    left = (*_BEFORE, _SURFACE, _RENEWED)
    here = max(0, either - _met(counts, left)) + sum(c.low for c in counts if c.state not in left)
    ever = either + sum(c.low for c in counts if _apart(c.state))
    most = max(0, n - max(here, ever))
    cut = (
        c._replace(low=min(c.low, most), high=min(c.high, most)) if c.state in _BEFORE else c for c in counts
    )
    return [c for c in merged(n, [*cut]) if c.high > 0]


def _apart(state: Now) -> bool:
    """Whether pieces of this state are none of those that earlier records worked on and left original."""
    return state in ("earlier replacement", "later addition", "from another object")


def _sum(rows: Said, wanted: Callable[[Now], bool]) -> Span:
    mine = [row for row in rows if wanted(row[0])]
    return sum(max(0, row[1]) for row in mine), sum(max(0, row[2]) for row in mine)
