"""Landmarks of a photograph: places that are found again from elsewhere, nearer by, in other light.

SIFT (Lowe 2004) in the picture with its light evened out, at two sizes, described by the square roots of the
histograms (Arandjelovic & Zisserman 2012, "Three things everyone should know to improve object retrieval").
Of the strong ones as many are kept in each region as in any other, so that a rough cloth or a new piece does
not take the places of a soft object.

Not done here: matching (`agreement`). Slower and surer than `align_match`, which takes pairs that are known.
Invariants: deterministic; some 80 kB a photograph.
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

# The longer side of the pictures that landmarks are sought in, and how many are kept of each: the small one
# has the large shapes, which noise and a new surface leave alone. With 500 px for the first it costs twice as
# much and finds less: what is finer is noise.
SOUGHT = ((300, 450), (120, 150))
CLOSER = ((500, 800), (250, 400))  # three times the work, for the few pairs that are in doubt
_STRONG = 2  # times as many are looked at
_REGIONS = 5  # along the longer side
_WEAK = 0.02  # contrast of the evened picture below which a place is no landmark


class Landmarks(msgspec.Struct, frozen=True):
    """`points` (n, 2) in px of the working size, `sizes` in px, `turns` in degrees, `signs` (n, 128)."""

    points: Floats
    sizes: Floats
    turns: Floats
    signs: NDArray[np.uint8]

    def times(self, factor: float) -> Landmarks:
        """Those of the same picture drawn larger by `factor`."""
        by = np.float32(factor)
        return Landmarks(self.points * by, self.sizes * by, self.turns, self.signs)


NONE = Landmarks(
    np.empty((0, 2), np.float32),
    np.empty(0, np.float32),
    np.empty(0, np.float32),
    np.empty((0, 128), np.uint8),
)


def landmarks(grey: Grey, sought: tuple[tuple[int, int], ...] = SOUGHT) -> Landmarks:
    """Of one grey picture at the working size (`align.working`); `sought`: sides in px, how many of each."""
    parts = [at_size(grey, side, most) for side, most in sought]
    return Landmarks(
        *(np.concatenate(some) for some in zip(*map(msgspec.structs.astuple, parts), strict=True))
    )


def at_size(grey: Grey, side: int, most: int) -> Landmarks:
    """At most `most` in the picture brought to `side` px."""
    small, detector = even(shrink(grey, side)), _detector(_STRONG * most)
    found = detector.detect(small, None)
    if not found:
        return NONE
    seen = np.array([(*f.pt, f.size, f.angle, f.response) for f in found], np.float32)
    kept = _spread(seen[:, :2], seen[:, 4], max(small.shape) / _REGIONS, most)
    _, described = detector.compute(small, [found[place] for place in kept])  # what is not kept costs as much
    factor = np.array([grey.shape[1] / small.shape[1], grey.shape[0] / small.shape[0]], np.float32)
    points = (seen[kept, :2] + np.float32(0.5)) * factor - np.float32(0.5)
    return Landmarks(points, seen[kept, 2] * factor[0], seen[kept, 3], _rooted(described))


def _spread(points: Floats, strengths: Floats, step: float, most: int) -> NDArray[np.int64]:
    """At most `most`: the strongest of each region of `step` px, an equal share, then the strongest left."""
    column, row = (points // step).astype(int).T
    _, region = np.unique(row * (int(column.max()) + 1) + column, return_inverse=True)
    order = np.lexsort((-strengths, region))
    first = np.searchsorted(region[order], region[order])  # where its region starts
    share = np.arange(len(order)) - first < most // (int(region.max()) + 1)
    rest = order[~share]
    return np.concatenate([order[share], rest[np.argsort(-strengths[rest], kind="stable")]])[:most]


class _Detectors(threading.local):
    """Those of one thread, by how many places they give: OpenCV promises nothing of one that several use."""

    def __init__(self) -> None:
        self.made: dict[int, Any] = {}


_DETECTORS = _Detectors()


def _detector(most: int) -> Any:
    made = _DETECTORS.made
    if most not in made:
        # "Precise", since else every place is a quarter of a pixel aside.
        made[most] = opencv().SIFT_create(
            nfeatures=most, contrastThreshold=_WEAK, edgeThreshold=12, enable_precise_upscale=True
        )
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
