"""Whether a fit could as well be another: a printed cloth or a chair's cane looks alike a repeat further on.

Where the picture before repeats itself, the one after is compared with it at that distance too, place by
place. Something that is there once, an edge or a buckle, tells the two apart; where nothing does, the fit
is a guess, however well it holds. What only goes on as it is, like the grain of a board, is no repeat.

Not done here: fitting. Repeats of less than 4 % of the picture's longer side are not looked for.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from dossier.pictures.align_match import Grey, even
from dossier.pictures.decode import opencv, shrink

Matrix = NDArray[np.float64]
Map = NDArray[np.float32]

_SIDE = 192  # px, of the pictures compared
_LEAST = 8  # px, the shortest repeat looked for
_ALIKE = 0.5  # how much of itself a picture finds again at the distance of a repeat
_NEARER = 0.001  # less for each px: far repeats leave too little to compare
_DIP = 0.1  # by so much less does it find itself on the way to a repeat
_COMMON = 0.3  # of the picture must lie over itself there
_REPEATS = 4  # the strongest, each both ways
_PLACE = 13  # px, side of what is compared at each place
_STEP = 3  # px between places
_BETTER = 0.2  # in correlation: a place that tells the two apart
_TELLING = 0.04  # of the places: fewer are chance


def repeats(one: Grey, other: Grey, homography: Matrix) -> bool:
    """Whether `other` fits `one` a repeat further on nearly as well as `homography` (one to other) has it."""
    small = _evened(shrink(one, _SIDE))
    lags = _lags(small)
    if not lags:
        return False
    over, seen = _laid(one, other, homography, small.shape)
    here = _alike(small, over)
    return any(not _told(small, over, seen, here, lag) for lag in lags)


def _evened(grey: Grey) -> Map:
    return even(grey).astype(np.float32) - 128


def _lags(small: Map) -> list[tuple[int, int]]:
    """(down, right) of the strongest and nearest repeats in a picture, of each two opposite ones both."""
    height, width = small.shape
    alike = _self_likeness(small)
    down, right = np.ogrid[:height, -width:width]
    score = np.where(alike < _ALIKE, -1, alike - _NEARER * np.hypot(down, right))
    score[: _LEAST + 1, width - _LEAST : width + _LEAST + 1] = -1
    found: list[tuple[int, int]] = []
    while len(found) < 2 * _REPEATS:
        y, x = np.unravel_index(int(score.argmax()), score.shape)
        if score[y, x] < 0:
            break
        if (run := _run(alike, float(alike[y, x]))) is not None and run[y, x]:
            score[run] = -1
            continue
        lag = int(y), int(x) - width
        found += [lag, (-lag[0], -lag[1])]
        for column in (x, 2 * width - x) if y < _LEAST else (x,):  # the first rows say all twice
            score[max(0, y - _LEAST) : y + _LEAST + 1, max(0, column - _LEAST) : column + _LEAST + 1] = -1
    return found


def _run(whole: Map, alike: float) -> NDArray[np.bool_] | None:
    """The distances up to which a picture goes on as it is: along grain or a slat, where nothing repeats."""
    _, parts = opencv().connectedComponents((whole > alike - _DIP).astype(np.uint8))
    middle = parts[0, whole.shape[1] // 2]
    return parts == middle if middle else None


def _self_likeness(small: Map) -> Map:
    """(height, 2 width): how far a picture is the same so many px further down and, from `width` on, right.

    0 where less of it than `_COMMON` would lie over itself.
    """
    cv2 = opencv()
    height, width = small.shape
    spectrum = cv2.dft(cv2.copyMakeBorder(small, 0, height, 0, width, cv2.BORDER_CONSTANT, value=0))
    together = cv2.idft(cv2.mulSpectrums(spectrum, spectrum, 0, conjB=True), flags=cv2.DFT_SCALE)
    alike: Map = np.hstack([together[:height, width:], together[:height, :width]])  # the rest says the same
    right = np.abs(np.arange(2 * width) - width)
    common = np.outer(height - np.arange(height), width - right).astype(np.float32)
    whole = float(alike[0, width]) / small.size
    alike /= np.maximum(common, _COMMON * small.size) * max(whole, 1e-6)
    alike[common < _COMMON * small.size] = 0
    return alike


def _laid(
    one: Grey, other: Grey, homography: Matrix, shape: tuple[int, ...]
) -> tuple[Map, NDArray[np.bool_]]:
    """The picture after as it lies over the small one before, and where there is any of it."""
    cv2 = opencv()
    height, width = shape
    less = shrink(other, max(1, round(max(other.shape) * max(shape) / max(one.shape))))
    to = _scaled(less, other) @ homography @ np.linalg.inv(_scaled(np.empty(shape), one))
    over = cv2.warpPerspective(less, to, (width, height), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP)
    full = np.full(less.shape, 255, np.uint8)
    seen = cv2.warpPerspective(full, to, (width, height), flags=cv2.INTER_NEAREST | cv2.WARP_INVERSE_MAP)
    return _evened(over), cv2.erode(seen, np.ones((_PLACE, _PLACE), np.uint8), borderValue=0) > 0


def _scaled(small: NDArray[np.generic], large: Grey) -> Matrix:
    """From px of the large picture to px of the small one, both counted from their middles."""
    x, y = small.shape[1] / large.shape[1], small.shape[0] / large.shape[0]
    return np.array([[x, 0, (x - 1) / 2], [0, y, (y - 1) / 2], [0, 0, 1]])


def _alike(one: Map, other: Map) -> Map:
    """-1 to 1 at each place: how far what lies round it is the same (normalised correlation)."""
    cv2 = opencv()
    size = (_PLACE, _PLACE)
    product = cv2.boxFilter(one * other, -1, size)
    power = cv2.boxFilter(one * one, -1, size) * cv2.boxFilter(other * other, -1, size)
    found: Map = product / np.sqrt(np.maximum(power, 1))
    return found


def _told(small: Map, over: Map, seen: NDArray[np.bool_], here: Map, lag: tuple[int, int]) -> bool:
    """Whether some places speak for where it lies and against one repeat further on."""
    shift = np.array([[1, 0, -lag[1]], [0, 1, -lag[0]]], np.float32)
    size = (small.shape[1], small.shape[0])
    moved = opencv().warpAffine(small, shift, size)
    inside = opencv().warpAffine(np.ones(small.shape, np.uint8), shift, size) > 0
    places = (seen & inside)[::_STEP, ::_STEP]
    if not places.any():
        return True
    better = (here - _alike(moved, over))[::_STEP, ::_STEP][places]
    return float(np.mean(better > _BETTER) - np.mean(better < -_BETTER)) >= _TELLING
