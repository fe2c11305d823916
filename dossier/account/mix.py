"""How many pieces of a part came as what, when several records speak of it: counts as ranges, by label.

A label is a word of `CameAs`, or `gone(label)`: taken away, and what it came as before. Pieces of one label
may differ in what stays done to them (`Depth`). Not here: who says so (`history`), what reading and work make
of the pieces (`meeting`, `parts`). Invariant: every range holds within the number of pieces.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Literal, NamedTuple, TypeVar

from dossier.account.crossed import Span
from dossier.model.words import Now

K = TypeVar("K")
Depth = Literal[0, 1, 2]  # nothing that stays, a new surface, renewed in part
DEPTH_OF: Mapping[Now, Depth] = {"original, new surface": 1, "original, part renewed": 2}
ALL = 1 << 62  # pieces, however many there are

_GONE = "taken away: "
UNSAID = ""
OPEN = ("original", "not known")  # what may be original
Counts = dict[str, Span]
Deep = dict[tuple[str, Depth], Span]


class Mix(NamedTuple):
    """`n` pieces, and low and high of each label that may be among them; `deep`: of labels of which some may
    have what stays, low and high of each depth. Whether any original piece may be `altered`, and any other.
    """

    n: int
    counts: tuple[tuple[str, int, int], ...]
    deep: tuple[tuple[str, Depth, int, int], ...] = ()
    altered: bool = False
    others: bool = False

    def of(self, *labels: str) -> Span:
        """Fewest and most pieces that have one of these labels."""
        mine = [(low, high) for label, low, high in self.counts if label in labels]
        others = [(low, high) for label, low, high in self.counts if label not in labels]
        low = max(sum(c[0] for c in mine), self.n - sum(c[1] for c in others))
        return max(0, low), min(sum(c[1] for c in mine), self.n - sum(c[0] for c in others))

    @property
    def label(self) -> str:
        """The one label of all pieces, "" where there are several."""
        return self.counts[0][0] if len(self.counts) == 1 else ""

    def every(self) -> Deep:
        """Each label by depth, also where all its pieces are alike."""
        found: Deep = {(label, depth): (low, high) for label, depth, low, high in self.deep}
        apart = {label for label, *_ in self.deep}
        return found | {(label, 0): (low, high) for label, low, high in self.counts if label not in apart}

    def read_otherwise(self) -> Mix:
        """Where the pieces are read as something else than before, any may be the altered ones."""
        return self._replace(others=self.others or self.altered)


class Row(NamedTuple):
    """One row of `parts_now` of a record."""

    now: Now
    low: int
    high: int
    altered: bool = False


def gone(label: str) -> str:
    return label if is_missing(label) else _GONE + label


def is_missing(label: str) -> bool:
    return label == "missing" or label.startswith(_GONE)


def before_gone(label: str) -> str:
    """What a piece came as before it was taken away."""
    return label.removeprefix(_GONE)


def whole(label: str, n: int) -> Mix:
    return Mix(n, ((label, n, n),))


def mixed(n: int, counts: Mapping[str, Span], deep: Mapping[tuple[str, Depth], Span] | None = None) -> Mix:
    """Counts without what cannot be, each no wider than the others leave it."""
    kinds: dict[str, dict[Depth, Span]] = {}
    for (label, depth), span in (deep or {}).items():
        kinds.setdefault(label, {})[depth] = span
    cut = {label: (max(0, low), min(n, high)) for label, (low, high) in counts.items() if high > 0}
    for label in kinds.keys() & cut.keys():
        lows, highs = zip(*kinds[label].values(), strict=True)
        cut[label] = max(cut[label][0], sum(lows)), min(cut[label][1], sum(highs))
    found = _tight((n, n), cut)
    return Mix(
        n,
        tuple((label, *span) for label, span in sorted(found.items())),
        tuple(
            (label, depth, *span)
            for label in sorted(kinds.keys() & found.keys())
            for depth, span in _depths(found[label], kinds[label])
        ),
    )


def _depths(limit: Span, kinds: Mapping[Depth, Span]) -> list[tuple[Depth, Span]]:
    """The depths of one label; none where all its pieces are at 0."""
    cut = {depth: (max(0, low), min(high, limit[1])) for depth, (low, high) in kinds.items()}
    found = _tight(limit, {depth: span for depth, span in cut.items() if span[1] > 0})
    return sorted(found.items()) if found.keys() - {0} else []


def _tight(limit: Span, cut: Mapping[K, Span]) -> dict[K, Span]:
    lows, highs = sum([low for low, _ in cut.values()]), sum([high for _, high in cut.values()])
    tight = {
        key: (max(low, limit[0] - (highs - high)), min(high, limit[1] - (lows - low)))
        for key, (low, high) in cut.items()
    }
    return {key: (min(low, high), high) for key, (low, high) in tight.items() if high > 0}


def relabelled(mix: Mix, name: Callable[[str], str]) -> Mix:
    """The same pieces under other labels."""
    if all(name(label) == label for label, _, _ in mix.counts):
        return mix
    counts: Counts = {}
    deep: Deep = {}
    add(counts, ((name(label), low, high) for label, low, high in mix.counts))
    if mix.deep:
        add(deep, (((name(label), depth), *span) for (label, depth), span in mix.every().items()))
    return mixed(mix.n, counts, deep)._replace(altered=mix.altered, others=mix.others)


def joined(mixes: Sequence[Mix]) -> Mix:
    """Several rows of pieces as one."""
    counts: Counts = {}
    deep: Deep = {}
    for mix in mixes:
        add(counts, mix.counts)
    if any(mix.deep for mix in mixes):
        for mix in mixes:
            add(deep, ((kind, *span) for kind, span in mix.every().items()))
    whole = mixed(sum(mix.n for mix in mixes), counts, deep)
    return whole._replace(altered=any(m.altered for m in mixes), others=any(m.others for m in mixes))


def some_of(mix: Mix, n: int) -> Mix:
    """Any `n` of the pieces, nobody says which."""
    left = mix.n - n
    return mix if left <= 0 else _less(mix, n, lambda label: (left, n))


def still_here(mix: Mix, n: int) -> Mix:
    """`n` of the pieces: those that are missing are the first not to be among them."""
    left = mix.n - n
    if left <= 0:
        return mix
    missing = mix.of(*(label for label, _, _ in mix.counts if is_missing(label)))
    present, still = max(0, left - missing[0]), max(0, missing[1] - left)
    return _less(mix, n, lambda label: (left, min(still, n)) if is_missing(label) else (present, n))


def _less(mix: Mix, n: int, limits: Callable[[str], Span]) -> Mix:
    """`limits`: how many pieces of a label may not be among the `n`, and the most that may be."""

    def cut(label: str, low: int, high: int) -> Span:
        left, most = limits(label)
        return low - left, min(high, most)

    counts = {label: cut(label, low, high) for label, low, high in mix.counts}
    deep = {kind: cut(kind[0], *span) for kind, span in mix.every().items()} if mix.deep else {}
    return mixed(n, counts, deep)._replace(altered=mix.altered, others=mix.others)


def only(mix: Mix, label: str, n: int) -> Mix:
    """`n` pieces of this label, of those that the mix may have; what may be original is read as either."""
    if label in OPEN and mix.of(label)[0] < n:
        mix = relabelled(mix, lambda one: label if one in OPEN else one)
    left = max(0, mix.of(label)[1] - n)
    deep = {kind: (low - left, high) for kind, (low, high) in mix.every().items() if kind[0] == label}
    found = mixed(n, {label: (n, n)}, deep if mix.deep else {})
    return found._replace(altered=mix.altered, others=mix.others)


def at_most(mix: Mix, labels: Sequence[str], most: int) -> Mix:
    """With no more of each of these labels than so many."""
    counts = {
        label: (min(low, most), min(high, most)) if label in labels else (low, high)
        for label, low, high in mix.counts
    }
    found = mixed(mix.n, counts, mix.every() if mix.deep else {})
    return found._replace(altered=mix.altered, others=mix.others)


def grown(mix: Mix, n: int) -> Mix:
    """With more pieces, of which nothing was said: each comes as it is read (`meeting.met`)."""
    return mix if n <= mix.n else mix._replace(n=n, counts=(*mix.counts, (UNSAID, n - mix.n, n - mix.n)))


def not_apart(now: Now) -> bool:
    """Whether pieces of this state can be original."""
    apart = ("earlier replacement", "later addition", "from another object")
    return not now.startswith("new,") and now not in apart


def add(counts: dict[K, Span], more: Iterable[tuple[K, int, int]]) -> None:
    for key, low, high in more:
        old = counts.get(key, (0, 0))
        counts[key] = old[0] + max(0, low), old[1] + max(0, high)
