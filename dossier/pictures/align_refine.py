"""A homography made exact: small shifts measured at many places, then least squares with weights.

The second picture is drawn over the first by what is known so far; at some 500 corners of the first the rest
of the shift is tracked (Lucas & Kanade 1981, in a pyramid: Bouguet 2000), once there and once back; a
correction near the identity is fitted to it: roughly in small pictures, then in full size. Light and contrast
are evened out first.

Not done here: judging the fit. Pixels are counted from the middle of the first one.
"""

from __future__ import annotations

import msgspec
import numpy as np
from numpy.typing import NDArray

from dossier.pictures.align_match import Grey, Picture, even
from dossier.pictures.align_plane import Box, transform
from dossier.pictures.decode import opencv
from dossier.pictures.median import median

Matrix = NDArray[np.float64]
Floats = NDArray[np.float64]

PLACES = 500
INLIER = 1.0  # px
_ELSEWHERE = 3.0  # px
_THERE_AND_BACK = 0.5  # px
_ALIKE = 18.0  # mean difference of the evened pictures around a place, of 255
# Side of the window in px, and levels of the pyramid above the first. OpenCV sums eight pixels at once: a
# side of 15 takes longer than one of 16.
_COARSE = (8, 3)
_FINE = (16, 0)
_STEPS = 8  # at most, of each place on each level
_AROUND = 24  # px around the outermost places: their windows, and what their light is evened out by
_EDGE = 12  # px kept free around what both show
_ROUNDS = 6  # of weights
_FEWEST = 12  # places that eight unknowns are fitted to
_REGIONS = 4  # the picture in 4 x 4 regions
_ENOUGH = 12  # places that a region or a layer needs to be judged


class Refined(msgspec.Struct, frozen=True):
    """`homography`: first to second picture. Lengths in px of the first.

    `bent`: the largest median misfit of a region. `elsewhere`: share of the places that look the same in both
    and lie more than 3 px from where the homography puts them. `layer`: how broad, as a standard deviation,
    the largest piece is that lies elsewhere as a whole; 0 of none.
    """

    homography: Matrix
    residual: float
    inliers: int
    measured: int
    bent: float
    elsewhere: float
    layer: float
    covariance: Floats  # (8, 8) of the correction
    centre: Floats  # of the places; the correction is in units of `spread` around it
    spread: float


class _Fit(msgspec.Struct, frozen=True):
    correction: Matrix
    distances: Floats
    covariance: Floats
    centre: Floats
    spread: float
    misfit: Floats


def refine(one: Picture, other: Picture, homography: Matrix) -> Refined | None:
    """`homography` made exact, or None where there is too little to measure."""
    corners = _corners(one.grey)
    half = Picture(one.grey, _half(one.evened))
    places, shifts = _coarse(half, other, homography, corners[::2])
    if len(places) < _FEWEST:
        return None
    coarse = _fitted(places, shifts)
    layer = _layer(places, coarse)
    homography = homography @ coarse.correction
    places, shifts = _fine(one.grey, other.grey, homography, corners)
    if len(places) < _FEWEST:
        return None
    fit = _fitted(places, shifts)
    return _refined(homography @ fit.correction, fit, places, layer)


def _coarse(half: Picture, other: Picture, homography: Matrix, corners: Floats) -> tuple[Floats, Floats]:
    """Places and shifts, in px of the full size, from the pictures that features were sought in, halved."""
    corners = corners[_inside(corners, homography, other.grey.shape)]
    full = half.to_full()
    drawn = _drawn(other.evened, np.linalg.inv(other.to_full()) @ homography @ full, half.evened.shape)
    to_half = np.asarray(np.linalg.inv(full), np.float64)
    places, shifts = _tracked(half.evened, drawn, transform(to_half, corners), _COARSE)
    return transform(full, places), shifts * np.diag(full)[:2]


def _fine(one: Grey, other: Grey, homography: Matrix, corners: Floats) -> tuple[Floats, Floats]:
    """From the part that both show, in full size: to draw and to even it out takes longer than to track."""
    corners = corners[_inside(corners, homography, other.shape)]
    if len(corners) == 0:
        return corners, corners
    corner = np.maximum(corners.min(axis=0).astype(int) - _AROUND, 0)
    left, top = corner
    right, foot = corners.max(axis=0).astype(int) + _AROUND
    part = one[top:foot, left:right]
    drawn = _drawn(other, homography @ np.array([[1, 0, left], [0, 1, top], [0, 0, 1]]), part.shape)
    places, shifts = _tracked(even(part), even(drawn), corners - corner, _FINE)
    return places + corner, shifts


def _half(grey: Grey) -> Grey:
    half: Grey = opencv().resize(grey, None, fx=0.5, fy=0.5, interpolation=opencv().INTER_AREA)
    return half


def corner_error(refined: Refined, box: Box) -> float:
    """The standard error, in px, of the worst corner of `box` by error propagation."""
    x, y, width, height = box
    corners = np.array([[x, y], [x + width, y], [x + width, y + height], [x, y + height]])
    rows = _rows((corners - refined.centre) / refined.spread)
    variance = np.einsum("ij,jk,ik->i", rows, refined.covariance, rows)
    return float(np.sqrt(np.maximum(variance[:4] + variance[4:], 0).max()) * refined.spread)


def _corners(grey: Grey) -> Floats:
    """Places with detail (n, 2), spread out; none needs to be exact.

    They are whole numbers: a window of an even side then lies between pixels in the first picture, and as
    softened there as in the second, which is drawn.
    """
    found = opencv().goodFeaturesToTrack(_half(grey), PLACES, 0.002, 5.5)
    return np.empty((0, 2)) if found is None else 2 * found.reshape(-1, 2).astype(float)


def _drawn(other: Grey, homography: Matrix, shape: tuple[int, ...]) -> Grey:
    """The second picture as the first would see it."""
    cv2 = opencv()
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    drawn: Grey = cv2.warpPerspective(
        other, homography, (shape[1], shape[0]), flags=flags, borderMode=cv2.BORDER_REPLICATE
    )
    return drawn


def _inside(places: Floats, homography: Matrix, shape: tuple[int, ...]) -> NDArray[np.bool_]:
    seen = transform(homography, places)
    high = np.array([shape[1], shape[0]]) - 1 - _EDGE
    return np.asarray(((seen >= _EDGE) & (seen <= high)).all(axis=1), np.bool_)


def _tracked(one: Grey, other: Grey, places: Floats, way: tuple[int, int]) -> tuple[Floats, Floats]:
    """The places of the first picture that are seen in the second, and how far each has moved.

    Each is tracked there and back, and kept only where it ends where it began.
    """
    start = places.astype(np.float32).reshape(-1, 1, 2)
    there, alike = _flow(one, other, start, way)
    places, start, there = places[alike], start[alike], there[alike]
    home, seen = _flow(other, one, there, way)
    kept = seen & (np.linalg.norm((home - start).reshape(-1, 2), axis=1) < _THERE_AND_BACK)
    return places[kept], there.reshape(-1, 2)[kept].astype(float) - places[kept]


def _flow(
    one: Grey, other: Grey, start: NDArray[np.float32], way: tuple[int, int]
) -> tuple[NDArray[np.float32], NDArray[np.bool_]]:
    """Where each goes, and whether its surroundings look the same there."""
    if len(start) == 0:
        return start, np.empty(0, np.bool_)
    cv2 = opencv()
    side, levels = way
    criteria = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, _STEPS, 0.03)
    there, seen, difference = cv2.calcOpticalFlowPyrLK(
        one, other, start, None, winSize=(side, side), maxLevel=levels, criteria=criteria
    )
    return there, (seen.ravel() == 1) & (difference.ravel() < _ALIKE)


def _rows(places: Floats) -> Floats:
    """The design matrix (2n, 8) of a correction near the identity: all x rows, then all y rows.

    (x + dx)(1 + g x + h y) = (1 + a) x + b y + c, linear in a ... h where dx is small.
    """
    x, y = places.T
    one, nought = np.ones_like(x), np.zeros_like(x)
    across = np.column_stack([x, y, one, nought, nought, nought, -x * x, -x * y])
    down = np.column_stack([nought, nought, nought, x, y, one, -x * y, -y * y])
    return np.vstack([across, down])


def _fitted(places: Floats, shifts: Floats) -> _Fit:
    """Least squares with Tukey's weights, from a start that half the places may contradict."""
    centre = places.mean(axis=0)
    spread = float(places.std()) or 1.0
    at, moved = (places - centre) / spread, shifts / spread
    rows, wanted = _rows(at), moved.T.ravel()
    distances = np.linalg.norm(moved - median(moved), axis=1)
    solution, covariance, misfit = np.zeros(8), np.eye(8), moved
    for _ in range(_ROUNDS):
        weights = _weights(distances, 0.3 / spread)
        both = np.concatenate([weights, weights])
        normal = np.linalg.pinv(rows.T @ (both[:, None] * rows))
        solution = normal @ (rows.T @ (both * wanted))
        misfit = (wanted - rows @ solution).reshape(2, -1).T
        distances = np.linalg.norm(misfit, axis=1)
        variance = (weights * distances**2).sum() / max(2 * weights.sum() - 8, 1)
        covariance = normal * variance
    return _Fit(
        _correction(solution, centre, spread), distances * spread, covariance, centre, spread, misfit * spread
    )


def _weights(distances: Floats, least: float) -> Floats:
    """Tukey's biweight at 4.685 times the robust spread (Holland & Welsch 1977)."""
    scale = max(float(median(distances)) / 1.1774, least)  # median of a Rayleigh distribution is 1.1774 s
    return np.clip(1 - (distances / (4.685 * scale)) ** 2, 0, None) ** 2


def _correction(solution: Floats, centre: Floats, spread: float) -> Matrix:
    a, b, c, d, e, f, g, h = solution
    near = np.array([[1 + a, b, c], [d, 1 + e, f], [g, h, 1]])
    into = np.array([[1 / spread, 0, -centre[0] / spread], [0, 1 / spread, -centre[1] / spread], [0, 0, 1]])
    correction: Matrix = np.linalg.inv(into) @ near @ into
    return correction


def _refined(homography: Matrix, fit: _Fit, places: Floats, layer: float) -> Refined:
    near = fit.distances < INLIER
    return Refined(
        homography=homography / homography[2, 2],
        residual=float(median(fit.distances[near])) if near.any() else float("inf"),
        inliers=int(near.sum()),
        measured=len(places),
        bent=_bent(places, fit.misfit, fit.distances),
        elsewhere=float((fit.distances > _ELSEWHERE).mean()),
        layer=layer,
        covariance=fit.covariance,
        centre=fit.centre,
        spread=fit.spread,
    )


def _layer(places: Floats, fit: _Fit) -> float:
    """How broad, across their length, the places are that lie elsewhere and most agree how far and whither.

    What stands nearer or farther than the plane moves as one where the camera has moved.
    """
    off = fit.distances > _ELSEWHERE
    at, moved = places[off], fit.misfit[off]
    alike = np.linalg.norm(moved[:, None] - moved[None], axis=2) < _ELSEWHERE
    most = alike.sum(axis=1)
    if most.max(initial=0) < _ENOUGH:
        return 0.0
    return float(np.sqrt(np.linalg.eigvalsh(np.cov(at[alike[most.argmax()]].T))[0]))


def _bent(places: Floats, misfit: Floats, distances: Floats) -> float:
    """The largest median misfit of a region: depth bends a whole region the same way, noise does not."""
    low, high = places.min(axis=0), places.max(axis=0)
    cell = np.minimum((places - low) / np.maximum(high - low, 1e-9) * _REGIONS, _REGIONS - 1).astype(int)
    worst = 0.0
    for region in set(map(tuple, cell.tolist())):
        here = (cell == region).all(axis=1) & (distances < _ELSEWHERE)
        if here.sum() >= _ENOUGH:
            worst = max(worst, float(np.linalg.norm(median(misfit[here]))))
    return worst
