"""The geometry of one plane in two pictures: how a homography turns and enlarges it, what both show of it.

Not done here: finding the homography. Pure. Pixels are counted from the middle of the first one (OpenCV)
except where it says "parts": parts of 1,000 of the longer side, from the corner.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.float64]
Shape = tuple[int, ...]
Box = tuple[float, float, float, float]  # x, y, width, height in pixels, from the corner

PARTS = 1000.0
_CELLS = 100  # the grid on which the common box is sought, along the longer side
_MARGIN = 1.5  # px kept from the edge of the picture after


def to_parts(shape: Shape) -> Matrix:
    """Takes a pixel of a picture of `shape` to parts of 1,000 from its corner."""
    factor = PARTS / max(shape[:2])
    return np.array([[factor, 0, factor / 2], [0, factor, factor / 2], [0, 0, 1]])


def transform(homography: Matrix, points: NDArray[np.floating]) -> NDArray[np.float64]:
    """(n, 2) places through `homography`; behind the camera comes out as nan."""
    spread = np.column_stack([points, np.ones(len(points))]) @ homography.T
    depth = np.where(spread[:, 2:] > 1e-9, spread[:, 2:], np.nan)
    moved: NDArray[np.float64] = spread[:, :2] / depth
    return moved


def corners(shape: Shape) -> NDArray[np.float64]:
    height, width = shape[0] - 1, shape[1] - 1
    return np.array([[0, 0], [width, 0], [width, height], [0, height]], float)


def local_scales(homography: Matrix, shape: Shape) -> list[float] | None:
    """How much it enlarges at the corners and the middle; None where it turns over or folds."""
    matrix = homography / homography[2, 2]
    places = np.vstack([corners(shape), corners(shape).mean(axis=0)])
    depth = np.column_stack([places, np.ones(5)]) @ matrix[2]
    # The determinant of a homography's derivative is det(H) / depth cubed.
    spread = np.linalg.det(matrix) / np.where(depth > 1e-6, depth, np.nan) ** 3
    if not (np.isfinite(spread).all() and (spread > 0).all()):
        return None
    return [float(number) for number in np.sqrt(spread)]


def share_seen(homography: Matrix, before: Shape, after: Shape) -> float:
    """How much of the picture before lies in the picture after, to within one part in a hundred."""
    cell = max(before[:2]) / _CELLS
    across, down = max(1, int(before[1] // cell)), max(1, int(before[0] // cell))
    places = (_grid(across, down) + 0.5) * np.array([before[1] / across, before[0] / down]) - 0.5
    seen = transform(homography, places)
    high = np.array([after[1], after[0]]) - 0.5
    return float(((seen >= -0.5) & (seen <= high)).all(axis=1).mean())


def _grid(across: int, down: int) -> NDArray[np.int64]:
    return np.stack(np.meshgrid(np.arange(across), np.arange(down)), axis=-1).reshape(-1, 2)


def common_box(homography: Matrix, before: Shape, after: Shape) -> Box:
    """The largest upright box of the picture before that lies wholly in the picture after."""
    cell = max(before[:2]) / _CELLS
    across, down = int(before[1] // cell), int(before[0] // cell)
    grid = _grid(across + 1, down + 1) * cell
    seen = transform(homography, grid - 0.5)
    high = np.array([after[1], after[0]]) - 1 - _MARGIN
    # nan compares false, so a place behind the camera is outside.
    inside = ((seen >= _MARGIN) & (seen <= high)).all(axis=1).reshape(down + 1, across + 1)
    whole = inside[:-1, :-1] & inside[1:, :-1] & inside[:-1, 1:] & inside[1:, 1:]
    x, y, width, height = _largest(whole)
    return x * cell, y * cell, width * cell, height * cell


def _largest(cells: NDArray[np.bool_]) -> tuple[int, int, int, int]:
    """The largest box of true cells as x, y, width, height.

    What a camera sees of a plane is convex, so the true cells of a row stand together, and a box that is true
    in its top and bottom row is true in every row between: only pairs of rows need to be tried.
    """
    rows, columns = cells.shape
    left = np.where(cells.any(axis=1), cells.argmax(axis=1), columns)
    right = np.where(cells.any(axis=1), columns - cells[:, ::-1].argmax(axis=1), 0)
    width = np.minimum(right[:, None], right) - np.maximum(left[:, None], left)
    height = np.arange(rows) - np.arange(rows)[:, None] + 1
    area = np.maximum(width, 0) * np.maximum(height, 0)
    top, bottom = divmod(int(area.argmax()), rows)
    if area[top, bottom] == 0:
        return 0, 0, 0, 0
    x = int(max(left[top], left[bottom]))
    return x, top, int(width[top, bottom]), bottom - top + 1
