"""A first homography between two grey pictures: features matched, then a robust fit.

Not done here: judging whether it holds. Pixels are counted from the middle of the first one, as OpenCV does.
Invariant: deterministic; the random sampling inside the robust fit has a fixed seed.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from functools import cache
from typing import Any

import msgspec
import numpy as np
from numpy.typing import NDArray

from dossier.pictures.align_plane import transform
from dossier.pictures.decode import opencv, shrink

Grey = NDArray[np.uint8]
Points = NDArray[np.float32]
Matrix = NDArray[np.float64]

FEATURES = 1000
SEARCHED = 700  # px; features are sought in a smaller picture, made exact afterwards
_SOUGHT = 2500
_REGIONS = 8  # along the longer side
_AROUND = (31, 31)  # px, over which light is evened out
_RATIO = 0.8  # Lowe 2004, section 7.1: the best match clearly better than the second
_THRESHOLD = 3.0  # px
_ELSEWHERE = 8.0  # px; further off than any feature's own error


class Features(msgspec.Struct, frozen=True):
    """Places (n, 2) in pixels and binary descriptors (n, 32)."""

    points: Points
    descriptors: NDArray[np.uint8]


class Picture(msgspec.Struct, frozen=True):
    """A grey picture, and the same at `SEARCHED` px with its light evened out."""

    grey: Grey
    evened: Grey

    def to_full(self) -> Matrix:
        """Takes a pixel of `evened` to one of the grey picture."""
        across, down = (self.grey.shape[n] / self.evened.shape[n] for n in (1, 0))
        return np.array([[across, 0, (across - 1) / 2], [0, down, (down - 1) / 2], [0, 0, 1]])


class Matched(msgspec.Struct, frozen=True):
    """`homography` takes a pixel of the first picture to the second; None when there is none.

    `rival`: how many of the other matches agree on a homography of their own, elsewhere: a second plane, or a
    piece that has moved.
    """

    homography: Matrix | None
    inliers: Points  # places in the first picture that agree with it, (n, 2)
    rival: int = 0


NOTHING = Matched(None, np.empty((0, 2), np.float32))


def picture(grey: Grey) -> Picture:
    return Picture(grey, even(shrink(grey, SEARCHED)))


def match(one: Picture, other: Picture) -> Matched:
    return match_features(features(one), features(other))


def features(one: Picture, most: int = FEATURES) -> Features:
    """Corner features (ORB: Rublee et al. 2011), the strongest of each region, in px of the grey picture."""
    detector = _detector()
    kept = _spread(detector.detect(one.evened, None), one.evened.shape, most)
    found, descriptors = detector.compute(one.evened, kept)
    if descriptors is None:
        return Features(np.empty((0, 2), np.float32), np.empty((0, 32), np.uint8))
    points = transform(one.to_full(), opencv().KeyPoint.convert(found))
    return Features(points.astype(np.float32), descriptors)


class _Scratch(threading.local):
    """Memory of one thread that is written over each time: to get it anew takes longer than the sums."""

    def __init__(self) -> None:
        self._room = np.empty((3, 0), np.float32)

    def planes(self, shape: tuple[int, ...]) -> list[NDArray[np.float32]]:
        """Three of `shape`, holding anything; those given before are written over."""
        pixels = shape[0] * shape[1]
        if self._room.shape[1] < pixels:
            self._room = np.empty((3, pixels), np.float32)
        return [plane[:pixels].reshape(shape) for plane in self._room]


_SCRATCH = _Scratch()


def even(grey: Grey) -> Grey:
    """Each place against the mean and spread of its surroundings: light and contrast drop out."""
    cv2 = opencv()
    mean, spread, square = _SCRATCH.planes(grey.shape)
    cv2.boxFilter(grey, cv2.CV_32F, _AROUND, mean)
    cv2.sqrBoxFilter(grey, cv2.CV_32F, _AROUND, spread)
    cv2.subtract(spread, cv2.multiply(mean, mean, square), spread)
    cv2.sqrt(cv2.max(spread, 0.0, spread), spread)
    far = cv2.subtract(grey, mean, mean, dtype=cv2.CV_32F)
    cv2.divide(far, cv2.add(spread, 6.0, spread), far, scale=45)
    evened: Grey = cv2.add(far, 128.0, dtype=cv2.CV_8U)
    return evened


def _spread(found: Sequence[Any], shape: tuple[int, ...], most: int) -> list[Any]:
    """At most `most`, as evenly as there are, so that a patch of rich texture does not have them all."""
    if not found:
        return []
    at = (opencv().KeyPoint.convert(found) // (max(shape) / _REGIONS)).astype(int)
    region = at[:, 0] * _REGIONS + at[:, 1]
    weakness = [-one.response for one in found]
    order = np.lexsort((weakness, region))
    starts = np.flatnonzero(np.diff(region[order], prepend=-1))
    share = max(most // len(starts), 1)
    rank = np.arange(len(order)) - np.repeat(starts, np.diff([*starts, len(order)]))
    return [found[index] for index in order[rank < share]]


@cache
def _detector() -> Any:
    return opencv().ORB_create(nfeatures=_SOUGHT, scaleFactor=1.3, nlevels=6, fastThreshold=20)


def match_features(one: Features, other: Features) -> Matched:
    return agreeing(*_pairs(one, other))


def agreeing(source: Points, target: Points) -> Matched:
    """What most of the matched places (n, 2) of each picture agree on."""
    homography, inliers = _robust(source, target)
    if homography is None:
        return NOTHING
    apart = np.linalg.norm(transform(homography, source) - target, axis=1)
    rest = ~(apart < _ELSEWHERE)  # nan is elsewhere too
    _, rival = _robust(source[rest], target[rest])
    return Matched(homography, source[inliers], int(rival.sum()))


def _robust(source: Points, target: Points) -> tuple[Matrix | None, NDArray[np.bool_]]:
    """The homography most agree on (MAGSAC++: Barath et al. 2020), and which do."""
    nothing = np.zeros(len(source), bool)
    if len(source) < 8:
        return None, nothing
    cv2 = opencv()
    cv2.setRNGSeed(1)
    homography, mask = cv2.findHomography(source, target, cv2.USAC_MAGSAC, _THRESHOLD, None, 2000, 0.999)
    if homography is None or not np.isfinite(homography).all():
        return None, nothing
    return homography, mask.ravel().astype(bool)


def _pairs(one: Features, other: Features) -> tuple[Points, Points]:
    """Places of the two that match, each place of the second at most once."""
    if len(one.points) < 2 or len(other.points) < 2:
        return one.points[:0], other.points[:0]
    apart, nearest = opencv().batchDistance(
        one.descriptors, other.descriptors, opencv().CV_32S, normType=opencv().NORM_HAMMING, K=2
    )
    clear = np.flatnonzero(apart[:, 0] < _RATIO * apart[:, 1])
    place = nearest[clear, 0]
    order = np.lexsort((apart[clear, 0], place))
    places, first = np.unique(place, return_index=True)
    best = order[np.searchsorted(place[order], places)][np.argsort(first)]
    return one.points[clear[best]], other.points[place[best]]
