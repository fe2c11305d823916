"""The 24-patch target found by itself: a grid of even quadrilaterals whose colours are in the target's order.

Where the grid lies is told by shape, which way round it lies by the colours: of all ways to lay four rows of
six over it, one linear correction must bring the patches near their published values (of either generation:
they differ far less than any two patches), and clearly nearer than every other way. Else nothing is found: a
wrong target would be worse than none. Not done here: measuring by it (`target`).
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from dossier.pictures.decode import Pixels, opencv, shrink
from dossier.pictures.difference import Floats, ciede2000, lab_of_xyz
from dossier.pictures.target import COLUMNS, ROWS, VALUES, Corners, sample, xyz_of_lab
from dossier.pictures.target_quads import Place, Quad, grids, quads

WORKING = 1200  # px on the longer side
_FEWEST = 10  # patches whose outline is seen
_GRIDS, _WINDOWS = 6, 40  # at most so many are tried
_NEAR = 8.0  # mean CIEDE2000 of a rough linear correction
_CLEARLY = 1.6  # times that, of every other way
_USABLE = 18  # patches that are not burnt out

Window = tuple[int, int, int, int]  # first column and row, columns, rows


def find(pixels: Pixels) -> list[Corners]:
    """The corners of the block of patches in the pixels given, from the first patch (dark skin) along its row
    of six and round; [] where there is no target, or not surely; two where there is more than one.
    """
    small = shrink(pixels, WORKING)
    ways = sorted((way for grid in grids(quads(small))[:_GRIDS] for way in _ways(small, grid)), key=_first)
    if not ways or ways[0][0] > _NEAR:
        return []
    best, corners = ways[0]
    others = [way for way in ways if not _same(way[1], corners)]
    if any(apart < _CLEARLY * best for apart, where in others if not _elsewhere(where, corners)):
        return []
    second = [where for apart, where in others if apart <= _NEAR and _elsewhere(where, corners)]
    factor = np.array([pixels.shape[1] / small.shape[1], pixels.shape[0] / small.shape[0]])
    return [
        [(float(x), float(y)) for x, y in (where + 0.5) * factor - 0.5] for where in (corners, *second[:1])
    ]


def _first(way: tuple[float, Floats]) -> float:
    return way[0]


def _elsewhere(one: Floats, other: Floats) -> bool:
    """Whether two ways to lay it have hardly a patch in common: their middles are four patches away."""
    patch = float(np.linalg.norm(other[1] - other[0])) / COLUMNS
    return float(np.linalg.norm(one.mean(axis=0) - other.mean(axis=0))) >= ROWS * patch


def _same(one: Floats, other: Floats) -> bool:
    """Whether two ways to lay it are one, found twice: no corner half a patch away."""
    patch = float(np.linalg.norm(other[1] - other[0])) / COLUMNS
    return float(np.linalg.norm(one - other, axis=1).max()) < patch / 2


def _ways(pixels: Pixels, grid: dict[Place, Quad]) -> Iterator[tuple[float, Floats]]:
    """How far the colours are from the target's, and its corners, for every way to lay it over a grid."""
    if len(grid) < _FEWEST:
        return
    for window in sorted(_windows(grid), key=lambda window: -_seen(grid, window))[:_WINDOWS]:
        if (around := _corners(grid, window, pixels.shape)) is None:
            continue
        for turn in (0, 2) if window[2] == COLUMNS else (1, 3):
            corners = np.roll(around, -turn, axis=0)
            apart = _apart(sample(pixels, [(float(x), float(y)) for x, y in corners]))
            if apart is not None:
                yield apart, corners


def _windows(grid: dict[Place, Quad]) -> list[Window]:
    """Four by six and six by four places that hold enough of the grid."""
    columns, rows = ([place[n] for place in grid] for n in (0, 1))
    found = []
    for wide, high in ((COLUMNS, ROWS), (ROWS, COLUMNS)):
        for first in range(min(columns) - wide + 1, max(columns) + 1):
            for top in range(min(rows) - high + 1, max(rows) + 1):
                window = (first, top, wide, high)
                if _seen(grid, window) >= max(_FEWEST, 0.7 * min(len(grid), ROWS * COLUMNS)):
                    found.append(window)
    return found


def _inside(grid: dict[Place, Quad], window: Window) -> list[Place]:
    first, top, wide, high = window
    return [(c, r) for c, r in grid if 0 <= c - first < wide and 0 <= r - top < high]


def _seen(grid: dict[Place, Quad], window: Window) -> int:
    return len(_inside(grid, window))


def _corners(grid: dict[Place, Quad], window: Window, shape: tuple[int, ...]) -> Floats | None:
    """The window's corners in the picture, by the homography of the middles seen in it, clockwise."""
    places = _inside(grid, window)
    first, top, wide, high = window
    flat = np.array(places, float) - [first, top] + 0.5
    seen = np.array([grid[place].middle for place in places])
    homography, kept = opencv().findHomography(flat, seen, opencv().RANSAC, 3.0)
    if homography is None or kept.sum() < _FEWEST:
        return None
    ends = np.array([[0, 0, 1], [wide, 0, 1], [wide, high, 1], [0, high, 1]], float) @ homography.T
    if (ends[:, 2] <= 0).any():
        return None
    corners = ends[:, :2] / ends[:, 2:]
    margin = 0.02 * max(shape)
    outside = (corners < -margin) | (corners > np.array([shape[1], shape[0]]) + margin)
    return None if outside.any() else np.asarray(corners, np.float64)


def _apart(light: Floats) -> float | None:
    """Mean difference to the nearer generation after a linear correction (least squares in XYZ, weighed so
    that dark patches count); None where too many patches are burnt out.
    """
    usable = np.isfinite(light).all(axis=1)
    if usable.sum() < _USABLE:
        return None
    apart = []
    for values in VALUES.values():
        wanted = xyz_of_lab(values[usable])
        weight = 1 / np.sqrt(wanted[:, 1:2] + 0.01)
        matrix, *_ = np.linalg.lstsq(light[usable] * weight, wanted * weight, rcond=None)
        apart.append(float(ciede2000(lab_of_xyz(light[usable] @ matrix), values[usable]).mean()))
    return min(apart)
