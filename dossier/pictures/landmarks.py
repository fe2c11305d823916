"""Landmarks of a photograph: places that are found again from elsewhere, nearer by, in other light.

SIFT (Lowe 2004) in the picture with its light evened out, at two sizes, described by the square roots of the
histograms (Arandjelovic & Zisserman 2012, "Three things everyone should know to improve object retrieval").
Matches are the best of each other and clearly better than the next; of these only those stay that agree on
one turn and one change of size (Lowe 2004, section 7.3), and a homography decides.

Not done here: choosing whom to compare, judging the count. Slower and surer than `align_match`, which takes
pairs that are known. Invariants: deterministic; some 80 kB a photograph.
"""

from __future__ import annotations

import threading
from typing import Any

import msgspec
import numpy as np
from numpy.typing import NDArray

from dossier.pictures.align_match import Grey, even
from dossier.pictures.decode import opencv, shrink

Floats = NDArray[np.float32]
Matrix = NDArray[np.float64]

# The longer side of the pictures that landmarks are sought in, and how many in each: the small one has the
# large shapes, which noise and a new surface leave alone.
SOUGHT = ((500, 450), (200, 150))
_QUICK = (190, 220)  # side and how many, for two pictures known to be a pair
_WEAK = 0.02  # contrast of the evened picture below which a place is no landmark
_RATIO = 0.85  # of the distance to the next best
_TURNS = 12  # bins of 30 degrees all round
_TIMES = 8  # bins of a factor of 2 in size, from 1/16 to 16
_FEWEST = 5  # matches of one turn and size; four define a homography
_THRESHOLD = 4.0  # px of the working size
_TRIES = 1000


class Landmarks(msgspec.Struct, frozen=True):
    """`points` (n, 2) in px of the working size, `sizes` in px, `turns` in degrees, `signs` (n, 128)."""

    points: Floats
    sizes: Floats
    turns: Floats
    signs: NDArray[np.uint8]


class Agreed(msgspec.Struct, frozen=True):
    """How many landmarks one homography (first picture to second) takes to their matches; which, (n, 2)."""

    homography: Matrix | None
    count: int
    source: Floats = np.empty((0, 2), np.float32)
    target: Floats = np.empty((0, 2), np.float32)


NONE = Landmarks(
    np.empty((0, 2), np.float32),
    np.empty(0, np.float32),
    np.empty(0, np.float32),
    np.empty((0, 128), np.uint8),
)
_NOTHING = Agreed(None, 0)


def landmarks(grey: Grey) -> Landmarks:
    """Of one grey picture at the working size (`align.working`)."""
    parts = [_at(grey, side, most) for side, most in SOUGHT]
    return Landmarks(
        *(np.concatenate(some) for some in zip(*map(msgspec.structs.astuple, parts), strict=True))
    )


def matched_places(one: Grey, other: Grey) -> tuple[Floats, Floats]:
    """Places of two grey pictures that match, (n, 2) in px each, by few landmarks: right or not."""
    mine, theirs = _at(one, *_QUICK), _at(other, *_QUICK)
    here, there = _matched(mine, theirs)
    return mine.points[here], theirs.points[there]


def _at(grey: Grey, side: int, most: int) -> Landmarks:
    small = even(shrink(grey, side))
    found, described = _detector(most).detectAndCompute(small, None)
    if described is None:
        return NONE
    # Ties of strength can give a few more than asked for.
    found, described = found[:most], described[:most]
    factor = np.array([grey.shape[1] / small.shape[1], grey.shape[0] / small.shape[0]])
    points = (np.array([f.pt for f in found]) + 0.5) * factor - 0.5
    sizes = np.array([f.size for f in found]) * factor[0]
    turns = np.array([f.angle for f in found])
    return Landmarks(
        points.astype(np.float32), sizes.astype(np.float32), turns.astype(np.float32), _rooted(described)
    )


class _Detectors(threading.local):
    """Those of one thread, by how many places they give: OpenCV promises nothing of one that several use."""

    def __init__(self) -> None:
        self.made: dict[int, Any] = {}


_DETECTORS = _Detectors()


def _detector(most: int) -> Any:
    made = _DETECTORS.made
    if most not in made:
        made[most] = opencv().SIFT_create(nfeatures=most, contrastThreshold=_WEAK, edgeThreshold=12)
    return made[most]


def _rooted(described: Floats) -> NDArray[np.uint8]:
    """Square roots of each histogram's shares; 1 is written as 512, which no single share comes near."""
    shares = described / np.maximum(described.sum(axis=1, keepdims=True), 1e-6)
    rooted: NDArray[np.uint8] = np.minimum(np.sqrt(shares) * 512, 255).astype(np.uint8)
    return rooted


def mirrored(one: Landmarks, width: int) -> Landmarks:
    """Those of the picture (`width` px of the working size) seen in a mirror, without looking at it again.

    A landmark's grid has 4 x 4 cells of 8 directions in its own frame, one side of which changes places.
    """
    grid = one.signs.reshape(-1, 4, 4, 8)[:, ::-1, :, -np.arange(8) % 8]
    points = np.column_stack([width - 1 - one.points[:, 0], one.points[:, 1]])
    return Landmarks(points, one.sizes, (540 - one.turns) % 360, np.ascontiguousarray(grid).reshape(-1, 128))


def agreed(one: Landmarks, other: Landmarks) -> Agreed:
    """What a homography holds of the matches of the two."""
    mine, theirs = _matched(one, other)
    kept = _one_turn_and_size(one, other, mine, theirs)
    mine, theirs = mine[kept], theirs[kept]
    if len(mine) < _FEWEST:
        return _NOTHING
    cv2 = opencv()
    cv2.setRNGSeed(1)
    homography, mask = cv2.findHomography(
        one.points[mine], other.points[theirs], cv2.USAC_MAGSAC, _THRESHOLD, None, _TRIES, 0.999
    )
    if homography is None or not np.isfinite(homography).all():
        return _NOTHING
    held = mask.ravel() > 0
    source, target = one.points[mine][held], other.points[theirs][held]
    return Agreed(homography, _distinct(source, target), source, target)


def turned_round(one: Agreed) -> Agreed:
    """The same from the second picture to the first."""
    if one.homography is None:
        return one
    try:
        back = np.asarray(np.linalg.inv(one.homography), np.float64)
    except np.linalg.LinAlgError:
        return _NOTHING
    return Agreed(back, one.count, one.target, one.source)


def _distinct(source: Floats, target: Floats) -> int:
    """Places counted, not landmarks: one place often has two, of different turns."""
    places = np.concatenate([source, target], axis=1)
    return min(
        len(np.unique(np.round(places[:, :2] / 2), axis=0)),
        len(np.unique(np.round(places[:, 2:] / 2), axis=0)),
    )


def _matched(one: Landmarks, other: Landmarks) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Indices of landmarks that are each other's best, clearly better than the next."""
    none = np.empty(0, np.int64)
    if len(one.points) < _FEWEST or len(other.points) < _FEWEST:
        return none, none
    # OpenCV's product: numpy's has threads of its own that wait busily, four times the CPU time.
    alike = opencv().gemm(_unit(one.signs), _unit(other.signs), 1, None, 0, flags=opencv().GEMM_2_T)
    best = alike.argmax(axis=1)
    rows = np.arange(len(alike))
    mutual = alike.argmax(axis=0)[best] == rows
    highest = alike[rows, best]
    alike[rows, best] = -1
    # Of unit vectors the squared distance is 2 - 2 cos.
    clear = 1 - highest < _RATIO**2 * (1 - alike.max(axis=1))
    mine = np.flatnonzero(mutual & clear)
    return mine, best[mine]


def _unit(signs: NDArray[np.uint8]) -> Floats:
    long = signs.astype(np.float32)
    unit: Floats = long / np.maximum(np.linalg.norm(long, axis=1, keepdims=True), 1e-6)
    return unit


def _one_turn_and_size(
    one: Landmarks, other: Landmarks, mine: NDArray[np.int64], theirs: NDArray[np.int64]
) -> NDArray[np.bool_]:
    """Those in the fullest 3 x 3 bins of turn (all round) and size."""
    turn = ((other.turns[theirs] - one.turns[mine]) % 360 / (360 / _TURNS)).astype(int) % _TURNS
    times = np.log2(np.maximum(other.sizes[theirs], 1e-3) / np.maximum(one.sizes[mine], 1e-3))
    size = np.clip(np.floor(times + 0.5).astype(int) + _TIMES // 2, 0, _TIMES)
    full = np.zeros((_TURNS, _TIMES + 3))
    np.add.at(full, (turn, size + 1), 1)
    around = full + np.roll(full, 1, axis=0) + np.roll(full, -1, axis=0)
    around = around[:, :-2] + around[:, 1:-1] + around[:, 2:]
    at, of = np.unravel_index(int(around.argmax()), around.shape)
    near_turn = np.isin(turn, [(at - 1) % _TURNS, at, (at + 1) % _TURNS])
    kept: NDArray[np.bool_] = near_turn & (np.abs(size - of) <= 1)
    return kept
