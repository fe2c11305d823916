"""Proposes which photograph before the work and which after it show the same place.

Landmarks of each photograph once; a few likely partners for each by counting landmarks that agree in some
group of bits (locality-sensitive hashing by random planes: Indyk & Motwani 1998, Charikar 2002), which grows
little faster than the number of photographs; then geometry decides: how many matches one homography holds.

Not done here: files, stages, writing. A proposal is for a person to confirm. Invariants: deterministic; a
photograph stands in one pair at most; of two proposals the surer one wins, unless its side is open.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from functools import cache
from itertools import chain
from typing import Literal

import msgspec
import numpy as np
from numpy.typing import NDArray

from dossier.pictures.agreement import Agreed, agreed, turned_round
from dossier.pictures.align_match import Grey
from dossier.pictures.decode import opencv, shrink
from dossier.pictures.landmarks import CLOSER, Landmarks, landmarks, mirrored
from dossier.pictures.shelf import Lay, in_hand

Confidence = Literal["sure", "likely"]
Integers = NDArray[np.int64]
Shared = NDArray[np.float64]
Doubtful = tuple[Collection[int], Collection[int]]

NOBODY: Doubtful = ((), ())
SMALL = 500  # px, of the picture that is kept to look at again
# Landmarks that one homography holds. Between different public scenes chance gave 4 at most; 7 is a proposal,
# 15 one that needs only a glance. From 4 on it is a guess: both are looked at again with more and finer
# landmarks (`CLOSER`), of which chance gave 5 at most.
GUESS = 4
LIKELY = 7
CONFIRMED = 6
SURE = 15
CLEARLY = 1.5  # times the next best partner of either, else it is no more than likely
# Of both pictures' areas, what the places that agree lie around: with less they may show one badge on two
# things, or two places of one. How it was set: tests/unit/pictures/test_pictures_pairing.py.
AROUND = 0.4
PARTNERS = 10  # looked at for each photograph
_FIRST, _LEFT = (
    4,
    20,
)  # for each in pairing: at first; of what is left once those are set aside that are certain
_CERTAIN = 2 * SURE  # matches

_TABLES = 32
_BITS = 20  # of 256, for each table
_AT_ONCE = 10_000  # landmarks whose votes are counted
_CROWDED = 0.02  # of all landmarks: a group of bits that so many share tells nothing


class Proposal(msgspec.Struct, frozen=True, kw_only=True):
    """`before` and `after` are indices; `matches` one homography holds, `next_best` that of a rival."""

    before: int
    after: int
    matches: int
    next_best: int
    confidence: Confidence


class View:
    """What is kept of one photograph: landmarks in px of `size` (width, height), and a small grey.

    `lay`: where it is kept; what it gives is read anew each time.
    """

    def __init__(self, marks: Landmarks, size: tuple[int, int], small: Grey, lay: Lay = in_hand) -> None:
        self.size = size
        self._marks = [lay(part) for part in msgspec.structs.astuple(marks)]
        self._small = lay(small)

    @property
    def marks(self) -> Landmarks:
        return Landmarks(*(part() for part in self._marks))

    @property
    def small(self) -> Grey:
        return self._small()


class Marks:
    """The landmarks of each of `views`; one at a time, each time anew."""

    def __init__(self, views: Sequence[View]) -> None:
        self._views = views

    def __len__(self) -> int:
        return len(self._views)

    def __iter__(self) -> Iterator[Landmarks]:
        return (view.marks for view in self._views)


Group = Marks | Sequence[Landmarks]


def view(grey: Grey, lay: Lay = in_hand) -> View:
    """Of one grey picture at the working size (`align.working`)."""
    size = (grey.shape[1], grey.shape[0])
    return View(landmarks(grey), size, shrink(grey, SMALL), lay)


def neighbours(views: Sequence[View], shared: Shared | None = None) -> dict[tuple[int, int], Agreed]:
    """Each photograph compared with the few that share most with it; keys are (lower, higher index).

    `shared`: `sharing` of all with all, where it is known already.
    """
    votes = sharing(views, views) if shared is None else shared
    near = _nearest(votes, PARTNERS + 1)  # each is nearest to itself
    pairs = sorted({(min(pair), max(pair)) for pair in near if pair[0] != pair[1]})
    return {(one, other): agreed(views[one].marks, views[other].marks) for one, other in pairs}


def sharing(before: Sequence[View], after: Sequence[View]) -> Shared:
    """(before, after): how much each two seem to share; compares groups of bits, not pictures."""
    if not before or not after:
        return np.zeros((len(before), len(after)))
    marks = Marks(before)
    return _votes(marks, marks if after is before else Marks(after))


def across(
    near: Mapping[tuple[int, int], Agreed], before: Sequence[int], after: Sequence[int]
) -> dict[tuple[int, int], Agreed]:
    """Of `near` (see `neighbours`) those across the two groups of its indices, by places in the groups."""
    place_before, place_after = (
        {index: place for place, index in enumerate(some)} for some in (before, after)
    )
    found = {}
    for (one, other), held in near.items():
        if one in place_before and other in place_after:
            found[place_before[one], place_after[other]] = held
        elif one in place_after and other in place_before:
            found[place_before[other], place_after[one]] = turned_round(held)
    return found


def propose(
    before: Sequence[View],
    after: Sequence[View],
    known: Mapping[tuple[int, int], Agreed] | None = None,
    shared: Shared | None = None,
    doubtful: Doubtful = NOBODY,
) -> list[Proposal]:
    """Pairs across the two groups, surest first. `known`: what was compared already (see `across`).

    First each with the few that share most with it; then those that have no certain partner by then with more
    of the same kind. `shared`: `sharing` of the two groups, where it is known already. `doubtful`: indices of
    either group that may be of neither side: they give way (see `_best`), and are never sure.
    """
    compared = dict(known or {})
    votes = sharing(before, after) if shared is None else shared
    _compare(compared, _nearest(votes, _FIRST), before, after)
    settled = [pair for pair, found in compared.items() if found.count >= _CERTAIN]
    left = votes.copy()
    left[[b for b, _ in settled], :] = 0
    left[:, [a for _, a in settled]] = 0
    _compare(compared, _nearest(left, _LEFT), before, after)
    matched = {pair: found.count for pair, found in compared.items()}
    best = _best(matched | dict.fromkeys(_confirmed(matched, before, after), LIKELY), doubtful)
    return [
        one
        if not _open(one.before, one.after, doubtful)
        and _around(compared[one.before, one.after], before[one.before], after[one.after]) >= AROUND
        else msgspec.structs.replace(one, confidence="likely")
        for one in best
    ]


def _around(held: Agreed, before: View, after: View) -> float:
    """The share of either picture, whichever is less, that lies between the places that agree."""
    cv2 = opencv()
    shares = [
        cv2.contourArea(cv2.convexHull(places)) / (size[0] * size[1])
        for places, size in ((held.source, before.size), (held.target, after.size))
        if len(places)
    ]
    return float(min(shares, default=0.0))


def _compare(
    compared: dict[tuple[int, int], Agreed],
    chosen: set[tuple[int, int]],
    before: Sequence[View],
    after: Sequence[View],
) -> None:
    """Adds those of `chosen` that were not compared before."""
    for b, a in chosen - compared.keys():
        compared[b, a] = agreed(before[b].marks, after[a].marks)


def _confirmed(
    matched: Mapping[tuple[int, int], int], before: Sequence[View], after: Sequence[View]
) -> list[tuple[int, int]]:
    """Of the guesses between photographs that have no partner, those that a closer look bears out."""
    found = _best(matched)
    paired_before, paired_after = {p.before for p in found}, {p.after for p in found}
    closer_before, closer_after = (cache(lambda n, some=some: _closer(some[n])) for some in (before, after))
    return [
        (b, a)
        for (b, a), matches in matched.items()
        if GUESS <= matches < LIKELY and b not in paired_before and a not in paired_after
        if _borne_out(closer_before(b), closer_after(a), after[a].size[0])
    ]


def _borne_out(one: Landmarks, other: Landmarks, width: int) -> bool:
    """Whether they agree, and no less than in a mirror: left and right of one kind share a few details."""
    count = agreed(one, other).count
    return count >= CONFIRMED and count > agreed(one, mirrored(other, width)).count


def _closer(view: View) -> Landmarks:
    """More of them and finer ones, of the small picture; in px of the working size too."""
    return landmarks(view.small, CLOSER).times(view.size[0] / view.small.shape[1])


def _best(matched: Mapping[tuple[int, int], int], doubtful: Doubtful = NOBODY) -> list[Proposal]:
    """The doubtful give way to what agrees well: half done a thing looks more like its after than before."""

    def order(pair: tuple[int, int]) -> tuple[bool, int, int, tuple[int, int]]:
        return matched[pair] < SURE, _open(*pair, doubtful), -matched[pair], pair

    used_before: set[int] = set()
    used_after: set[int] = set()
    found = []
    for b, a in sorted(matched, key=order):
        if (matches := matched[b, a]) < LIKELY:
            continue
        if b not in used_before and a not in used_after:
            found.append(_proposal(b, a, matches, matched))
            used_before.add(b)
            used_after.add(a)
    return found


def _open(b: int, a: int, doubtful: Doubtful) -> int:
    return (b in doubtful[0]) + (a in doubtful[1])


def _proposal(b: int, a: int, matches: int, matched: Mapping[tuple[int, int], int]) -> Proposal:
    rivals = (n for pair, n in matched.items() if pair != (b, a) and (pair[0] == b or pair[1] == a))
    rival = max(rivals, default=0)
    sure = matches >= SURE and matches >= CLEARLY * rival
    return Proposal(
        before=b, after=a, matches=matches, next_best=rival, confidence="sure" if sure else "likely"
    )


def candidates(before: Group, after: Group, most: int = PARTNERS) -> set[tuple[int, int]]:
    """For each photograph of either group the `most` of the other that share most landmarks with it."""
    if not before or not after:
        return set()
    return _nearest(_votes(before, after), most)


def _nearest(votes: NDArray[np.float64], most: int) -> set[tuple[int, int]]:
    found = set()
    for b in range(votes.shape[0]):
        found |= {(b, int(a)) for a in _highest(votes[b], most)}
    for a in range(votes.shape[1]):
        found |= {(int(b), a) for b in _highest(votes[:, a], most)}
    return found


def _highest(row: NDArray[np.float64], most: int) -> Integers:
    order = np.argsort(-row, kind="stable")[:most].astype(np.int64)
    likely: Integers = order[row[order] > 0]
    return likely


def _votes(before: Group, after: Group) -> NDArray[np.float64]:
    """(before, after): shared landmarks, each worth less the more photographs share it."""
    votes = np.zeros((len(before), len(after)))
    middle = _middle([before] if after is before else [before, after])
    one, one_owner = _all_bits(before, middle)
    other, other_owner = (one, one_owner) if after is before else _all_bits(after, middle)
    for picked in _groups():
        _count(votes, _keys(one, picked), one_owner, _keys(other, picked), other_owner)
    sizes = (
        np.bincount(owner, minlength=len(group))
        for owner, group in ((one_owner, before), (other_owner, after))
    )
    worth: NDArray[np.float64] = votes / np.sqrt(np.outer(*(some.clip(1) for some in sizes)))
    return worth


def _middle(groups: Iterable[Group]) -> NDArray[np.float32]:
    """(128,) the mean landmark: planes through it have as many on the one side as on the other."""
    total, count = np.zeros(128, np.int64), 0
    for one in chain.from_iterable(groups):
        total += one.signs.sum(axis=0, dtype=np.int64)
        count += len(one.signs)
    return np.asarray(total / max(count, 1), np.float32)


def _all_bits(group: Group, middle: NDArray[np.float32]) -> tuple[NDArray[np.uint8], Integers]:
    """(32, n) bytes of 256 bits of all landmarks of the group, and whose each is."""
    bits = [_bits(one.signs, middle) for one in group]
    return np.hstack(bits), np.repeat(np.arange(len(group)), [some.shape[1] for some in bits])


def _bits(signs: NDArray[np.uint8], middle: NDArray[np.float32]) -> NDArray[np.uint8]:
    if not len(signs):
        return np.empty((32, 0), np.uint8)
    cv2 = opencv()
    sides = cv2.gemm(_planes(), signs - middle, 1, None, 0, flags=cv2.GEMM_1_T | cv2.GEMM_2_T)
    return np.packbits(sides > 0, axis=0)


@cache
def _planes() -> NDArray[np.float32]:
    """(128, 256) planes; a fixed draw, so that the same photographs give the same proposal."""
    return np.random.default_rng(128).standard_normal((128, 256)).astype(np.float32)


@cache
def _groups() -> NDArray[np.int64]:
    """Which bits each table looks at; a fixed draw too."""
    drawn = np.random.default_rng(256)
    return np.stack([drawn.choice(256, _BITS, replace=False) for _ in range(_TABLES)])


def _keys(bits: NDArray[np.uint8], picked: Integers) -> Integers:
    """(n,) the picked bits of each as one number."""
    keys = np.zeros(bits.shape[1], np.int64)
    for place, bit in enumerate(picked):
        keys |= (bits[bit >> 3] >> (7 - (bit & 7)) & 1).astype(np.int64) << place
    return keys


def _count(
    votes: NDArray[np.float64], one: Integers, one_owner: Integers, other: Integers, other_owner: Integers
) -> None:
    """Adds, for every key that both groups have, a vote for each pair of photographs that has it."""
    order = np.argsort(one, kind="stable")
    keys, starts, sizes = _runs(one[order])
    sorted_owner = one_owner[order]
    place = np.searchsorted(keys, other).clip(max=len(keys) - 1)
    crowded = max(8, int(_CROWDED * (len(one) + len(other)) / 20))
    hit = np.flatnonzero((keys[place] == other) & (sizes[place] <= crowded))
    for some in np.array_split(hit, 1 + len(hit) // _AT_ONCE):
        lengths = sizes[place[some]]
        members = np.repeat(starts[place[some]], lengths) + _counting(lengths)
        pairs = sorted_owner[members] * votes.shape[1] + np.repeat(other_owner[some], lengths)
        # By one number for each pair: by two it takes numpy five times as long.
        np.add.at(votes.reshape(-1), pairs, np.repeat(1 / lengths, lengths))


def _runs(ordered: Integers) -> tuple[Integers, Integers, Integers]:
    """The distinct keys of sorted ones, where each starts, and how many there are."""
    starts = np.flatnonzero(np.diff(ordered, prepend=ordered[:1] - 1))
    return ordered[starts], starts, np.diff(starts, append=len(ordered))


def _counting(lengths: Integers) -> Integers:
    """0 ... n-1 for each of `lengths`, one after the other."""
    ends = np.cumsum(lengths)
    counted: Integers = np.arange(int(ends[-1]) if len(ends) else 0) - np.repeat(ends - lengths, lengths)
    return counted
