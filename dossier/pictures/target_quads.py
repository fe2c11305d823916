"""Even-coloured quadrilaterals in a picture, and the grids that neighbours of one size form.

Patches of a target are brighter than what lies between them, so each is an island at some level of
brightness. Bounded: at most so many quadrilaterals are looked at, whatever the picture. Pure. Not done here:
what the colours say (`target_find`).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator

import msgspec
import numpy as np

from dossier.pictures.decode import Pixels, opencv
from dossier.pictures.difference import Floats

Place = tuple[int, int]  # column, row
_LEVELS = (12, 18, 25, 33, 42, 53, 66, 82, 100, 120, 142, 166, 192, 220)  # of 255, of the brightest colour
_BLOCKS = (31, 91)  # px, for light that falls off across the target
_MOST, _LOOKED_AT = 400, 6000  # even quadrilaterals; quadrilaterals looked at, even or not
_SMALLEST, _LARGEST = 9, 0.16  # px of a side; share of the longer side
_BENT = 0.06  # of the outline, how far a corner may be cut
_FULL = 0.8  # of its quadrilateral, what an island fills at least
_UNEVEN = 20.0  # standard deviation of a colour of 255 inside
_STEP = (1.02, 1.75)  # to the neighbour's middle, in sides
_ASIDE = 0.28  # how far beside the line it may lie
_SIZES = (0.6, 1.6)  # of a neighbour's side


class Quad(msgspec.Struct, frozen=True):
    """`corners` (4, 2) one after the other; `middle` where its diagonals cross, as a homography keeps it;
    `side` the mean of its sides.
    """

    corners: Floats
    middle: Floats
    side: float


def quads(pixels: Pixels) -> list[Quad]:
    """The even quadrilaterals of a picture, each once."""
    cv2 = opencv()
    bright = cv2.medianBlur(np.ascontiguousarray(pixels.max(axis=2)), 5)
    small = cv2.medianBlur(pixels, 5)
    found: list[Quad] = []
    looked_at = 0
    for islands in _islands(bright):
        contours, _ = cv2.findContours(islands, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)
        for contour in contours:
            quad = _quad(contour, max(pixels.shape[:2]))
            looked_at += quad is not None
            if quad and not _known(quad, found) and _even(small, quad):
                found.append(quad)
            if len(found) == _MOST or looked_at == _LOOKED_AT:
                return found
    return found


def _islands(bright: Pixels) -> Iterator[Pixels]:
    cv2 = opencv()
    for block in _BLOCKS:
        way = cv2.ADAPTIVE_THRESH_MEAN_C
        yield cv2.adaptiveThreshold(bright, 255, way, cv2.THRESH_BINARY, block, 4)
    for level in _LEVELS:
        yield np.asarray((bright > level) * 255, np.uint8)


def _quad(contour: Pixels, longer: int) -> Quad | None:
    """The outline as four corners; None where it is no quadrilateral of a patch's size."""
    cv2 = opencv()
    if len(contour) < 4:
        return None
    area = abs(cv2.contourArea(contour))
    if not _SMALLEST**2 <= area <= (_LARGEST * longer) ** 2:
        return None
    around = cv2.approxPolyDP(contour, _BENT * cv2.arcLength(contour, True), True)
    if len(around) != 4 or not cv2.isContourConvex(around):
        return None
    corners = around.reshape(4, 2).astype(float)
    sides = np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1)
    if sides.min() < _SMALLEST or sides.max() > 2.5 * sides.min() or area < _FULL * _area(corners):
        return None
    return Quad(corners, _crossing(corners), float(sides.mean()))


def _area(corners: Floats) -> float:
    x, y = corners.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def _crossing(corners: Floats) -> Floats:
    one, other = corners[2] - corners[0], corners[3] - corners[1]
    share = np.linalg.solve(np.column_stack([one, -other]), corners[1] - corners[0])
    return np.asarray(corners[0] + share[0] * one, np.float64)


def _known(quad: Quad, found: list[Quad]) -> bool:
    x, y = quad.middle.tolist()
    return any(abs(x - one.middle[0]) < 0.3 * one.side > abs(y - one.middle[1]) for one in found)


def _even(pixels: Pixels, quad: Quad) -> bool:
    """Whether the middle of it has one colour."""
    half = max(2, int(quad.side * 0.25))
    x, y = np.round(quad.middle).astype(int)
    inside = pixels[max(0, y - half) : y + half, max(0, x - half) : x + half]
    return bool(inside.size) and float(inside.reshape(-1, 3).std(axis=0).max()) < _UNEVEN


def grids(found: list[Quad]) -> list[dict[Place, Quad]]:
    """Quadrilaterals that lie side by side, by column and row from any one of them; the largest first."""
    left = set(range(len(found)))
    middles = np.array([quad.middle for quad in found]).reshape(-1, 2)
    grown = []
    while left:
        grid = _grown(min(left), found, middles, left)
        left -= set(grid.values())
        grown.append({place: found[index] for place, index in grid.items()})
    return sorted(grown, key=len, reverse=True)


def _grown(start: int, found: list[Quad], middles: Floats, left: set[int]) -> dict[Place, int]:
    """Outwards from one, each neighbour sought along the sides of the one before."""
    across, down = _sides(found[start])
    grid, taken = {(0, 0): start}, {start}
    waiting = deque([((0, 0), start, across, down)])
    while waiting:
        (column, row), index, across, down = waiting.popleft()
        for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            place = (column + dx, row + dy)
            if place in grid:
                continue
            other = _neighbour(index, (dx, dy), np.column_stack([across, down]), found, middles, left - taken)
            if other is not None:
                grid[place] = other
                taken.add(other)
                waiting.append((place, other, *_turned(found[other], across, down)))
    return grid


def _sides(quad: Quad) -> tuple[Floats, Floats]:
    """Mean of its opposite sides, the second clockwise (in a picture) from the first."""
    a, b, c, d = quad.corners
    across, down = (b - a + c - d) / 2, (d - a + c - b) / 2
    clockwise = across[0] * down[1] - across[1] * down[0] > 0
    return (across, down) if clockwise else (across, -down)


def _turned(quad: Quad, across: Floats, down: Floats) -> tuple[Floats, Floats]:
    """Its sides, named as those of the one before."""
    one, other = _sides(quad)
    ways = ((one, other), (other, -one), (-one, -other), (-other, one))
    return max(ways, key=lambda way: float(way[0] @ across + way[1] @ down))


def _neighbour(
    index: int, way: Place, basis: Floats, found: list[Quad], middles: Floats, free: set[int]
) -> int | None:
    """The nearest free one that lies one step `way` of it and is of its size."""
    among = np.array(sorted(free), int)
    if not len(among):
        return None
    steps = np.linalg.solve(basis, (middles[among] - middles[index]).T).T
    ahead = steps @ np.array(way, float)
    aside = np.abs(steps @ np.array([way[1], way[0]], float))
    fits = (ahead > _STEP[0]) & (ahead < _STEP[1]) & (aside < _ASIDE)
    for place in among[fits][np.argsort(ahead[fits])]:
        if _SIZES[0] < found[place].side / found[index].side < _SIZES[1]:
            return int(place)
    return None
