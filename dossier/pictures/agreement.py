"""What the landmarks of two photographs agree on: one homography, and how many it holds.

Landmarks that are each other's best are matched. Each match by itself says how the second picture is
turned, scaled and shifted against the first (Lowe 2004, section 7.3); the one that most others support,
roughly, chooses those that a homography is fitted to. So a few right matches among many are enough, where
drawing four of them at random would hardly ever meet four right ones.

Not done here: seeking landmarks (`landmarks`), choosing whom to compare, judging the count. Invariant:
deterministic.
"""

from __future__ import annotations

import msgspec
import numpy as np
from numpy.typing import NDArray

from dossier.pictures.align_match import Grey
from dossier.pictures.decode import opencv
from dossier.pictures.landmarks import Floats, Landmarks, at_size

Matrix = NDArray[np.float64]
Integers = NDArray[np.int64]
Booleans = NDArray[np.bool_]

_RATIO = 0.95  # of the distance to the next best; geometry sorts out the rest
_ASKED = 150  # matches at most, the clearest, that are asked what they say
_NEAR, _FAR = (
    20.0,
    0.12,
)  # px of the working size, and of the distance: how far off one may lie that supports it
_TURN = 0.5  # rad
_TIMES = 0.75  # of a factor of 2 in size
_FEWEST = 4  # matches that define a homography
_THRESHOLD = 4.0  # px of the working size
_TRIES = 500
_QUICK = (190, 220)  # side and how many, for two pictures known to be a pair
_QUICK_RATIO = 0.85


class Agreed(msgspec.Struct, frozen=True):
    """How many landmarks one homography (first picture to second) takes to their matches; which, (n, 2)."""

    homography: Matrix | None
    count: int
    source: Floats = np.empty((0, 2), np.float32)
    target: Floats = np.empty((0, 2), np.float32)


NOTHING = Agreed(None, 0)


def agreed(one: Landmarks, other: Landmarks) -> Agreed:
    """What a homography holds of the matches of the two."""
    mine, theirs = _matched(one, other, _RATIO)
    if len(mine) < _FEWEST:
        return NOTHING
    kept = _supported(one, other, mine, theirs)
    mine, theirs = mine[kept], theirs[kept]
    return _held(one.points[mine], other.points[theirs]) if len(mine) >= _FEWEST else NOTHING


def turned_round(one: Agreed) -> Agreed:
    """The same from the second picture to the first."""
    if one.homography is None:
        return one
    try:
        back = np.asarray(np.linalg.inv(one.homography), np.float64)
    except np.linalg.LinAlgError:
        return NOTHING
    return Agreed(back, one.count, one.target, one.source)


def matched_places(one: Grey, other: Grey) -> tuple[Floats, Floats]:
    """Places of two grey pictures that match, (n, 2) in px each, by few landmarks: right or not."""
    mine, theirs = at_size(one, *_QUICK), at_size(other, *_QUICK)
    here, there = _matched(mine, theirs, _QUICK_RATIO)
    return mine.points[here], theirs.points[there]


def _matched(one: Landmarks, other: Landmarks, ratio: float) -> tuple[Integers, Integers]:
    """Landmarks (indices) that are each other's best, nearer than `ratio` of the next; clearest first."""
    none = np.empty(0, np.int64)
    if len(one.points) < _FEWEST or len(other.points) < _FEWEST:
        return none, none
    # OpenCV's product: numpy's has threads of its own that wait busily, four times the CPU time.
    alike = opencv().gemm(_unit(one.signs), _unit(other.signs), 1, None, 0, flags=opencv().GEMM_2_T)
    best = alike.argmax(axis=1)
    rows = np.arange(len(alike))
    highest = alike[rows, best]
    mutual = alike.max(axis=0)[best] == highest  # which row has it would take numpy ten times as long
    alike[rows, best] = -1
    # Of unit vectors the squared distance is 2 - 2 cos.
    far = np.maximum(1 - alike.max(axis=1), 1e-6)
    share = (1 - highest) / far
    mine = np.flatnonzero(mutual & (share < ratio**2))
    mine = mine[np.argsort(share[mine], kind="stable")]
    return mine, best[mine]


def _unit(signs: NDArray[np.uint8]) -> Floats:
    long = signs.astype(np.float32)
    unit = long / np.maximum(np.linalg.norm(long, axis=1, keepdims=True), 1e-6)
    single: Floats = unit.astype(np.float32, copy=False)  # it is: some releases of numpy are typed otherwise
    return single


def _supported(one: Landmarks, other: Landmarks, mine: Integers, theirs: Integers) -> Booleans:
    """The matches that support the one which most support, itself among them."""
    (x, y), (u, v) = one.points[mine].T, other.points[theirs].T
    turn = (np.deg2rad(other.turns[theirs] - one.turns[mine]) + np.pi) % (2 * np.pi) - np.pi
    times = np.log2(np.maximum(other.sizes[theirs], 1e-3) / np.maximum(one.sizes[mine], 1e-3))
    says = np.exp2(times) * np.cos(turn), np.exp2(times) * np.sin(turn)
    along, across = (some[:_ASKED, None] for some in says)
    right, down = _apart(x), _apart(y)
    moved = along * right - across * down, across * right + along * down
    off = (moved[0] - _apart(u)) ** 2 + (moved[1] - _apart(v)) ** 2
    far = np.sqrt(moved[0] ** 2 + moved[1] ** 2)
    support = off < (_NEAR + _FAR * far) ** 2
    turned = np.abs(_apart(turn))
    support &= (np.minimum(turned, 2 * np.pi - turned) < _TURN) & (np.abs(_apart(times)) < _TIMES)
    most: Booleans = support[int(support.sum(axis=1).argmax())]
    return most


def _apart(values: Floats) -> Floats:
    """(asked, n): how much more each has than each of the first ones."""
    return np.asarray(values[None] - values[:_ASKED, None], np.float32)


def _held(source: Floats, target: Floats) -> Agreed:
    cv2 = opencv()
    cv2.setRNGSeed(1)
    homography, mask = cv2.findHomography(source, target, cv2.USAC_MAGSAC, _THRESHOLD, None, _TRIES, 0.999)
    if homography is None or not np.isfinite(homography).all():
        return NOTHING
    held = mask.ravel() > 0
    source, target = source[held], target[held]
    return Agreed(homography, _distinct(source, target), source, target)


def _distinct(source: Floats, target: Floats) -> int:
    """Places counted, not landmarks: one place often has two, of different turns."""
    return min(len(np.unique(np.round(places / 2) @ [1, 1j])) for places in (source, target))
