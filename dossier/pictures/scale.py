"""Millimetres from a scale in the picture: lengths, areas, stitch pitch in its plane, with their uncertainty.

Either one known length (two points), which holds for what lies in the same plane and parallel to the
sensor; or two, which may also tell that the plane is oblique, never that it is not; or a rectangle of known
sides (four corners), which corrects for it.

Uncertainty is that of placing the points and nothing else: each coordinate of each point has the standard
deviation given, the result's follows by first order propagation with numerical derivatives (JCGM 100:2008,
5.1.2). By how much placing makes a measure larger or smaller in the mean (second order) is one more part:
places close together zigzag and are longer than their seam. It is not taken off, since a hand may be surer
than is supposed. Stated is twice the whole (about 95 %). Not in it: the lens, a plane that is not flat, a
scale that lies higher or lower, and without four corners a camera that did not look squarely at the plane.
Pure. Not done here: files, finding scales.

What that leaves out, by 400 drawn views each (scales and places anywhere on the picture, all turns, a
longer side of 0.7 to 1.4 times the focal length): 10 degrees off square, one measure in 20 is more than 14 %
off by two scales and 19 % by one; two scales that cross tell 10 degrees in 7 of 10, 20 in 8 and 30 in 9.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal

import msgspec
import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]  # pixels of the upright picture
Floats = NDArray[np.float64]
Plane = Literal["not told", "oblique", "corrected"]

PLACING = 1.0  # parts of 1,000 of the longer side, of a place written in whole parts: a finger is no finer
FINE_PLACING = 0.3  # of one written with decimals of a part: a pixel or so on an enlarged picture
COVERAGE = 2.0  # standard deviations stated
_LEAST_TILT = 0.02  # two scales that differ by less tell nothing: 11 degrees of tilt foreshorten by 2 %
_MOST_APART = 2.0  # times, of two scales: 60 degrees of tilt; beyond it a length is wrong
_MOST_APART_BESIDE = 1.5  # times, of two that run the same way: one half as far again from the camera
_SIDES_TURNED = 1.5  # times better that a rectangle fits with its sides the other way round
_STEP = 0.01  # px, for the derivatives


class Scale(msgspec.Struct, frozen=True, kw_only=True):
    """`points` in pixels and `lengths` in mm: 2 and 1 for one known length, 4 and 2 for two, 4 and 2 with
    `rectangle` for the corners in order and the first and second side."""

    points: tuple[Point, ...]
    lengths: tuple[float, ...]
    rectangle: bool = False


class Measured(msgspec.Struct, frozen=True, kw_only=True):
    """`value` and `plus_minus` (95 %, from placing the points) in `unit`; what is known of the plane.

    `within`: how near each coordinate is supposed to be to where it belongs (95 %), in pixels.

    Unless the plane is "corrected", both are as if the camera had looked squarely at it.
    """

    value: float
    plus_minus: float
    unit: str
    plane: Plane
    within: float


def length(points: Sequence[Point], scale: Scale, placing: float) -> Measured:
    """Along two points or more, in mm. `placing`: standard deviation of a coordinate in pixels."""
    return _measured(points, scale, placing, _along, "mm", least=2)


def area(points: Sequence[Point], scale: Scale, placing: float) -> Measured:
    """Inside an outline of three points or more that does not cross itself, in mm2."""
    if _crosses(_array(points)):
        raise ValueError("an outline that crosses itself has no area")
    return _measured(points, scale, placing, _inside, "mm2", least=3)


def pitch(points: Sequence[Point], scale: Scale, placing: float) -> Measured:
    """Mean distance of neighbouring stitch holes in mm; `points` are the holes one after the other."""
    holes = len(points)
    return _measured(points, scale, placing, lambda at: _along(at) / (holes - 1), "mm", least=2)


def plane_of(scale: Scale, placing: float) -> Plane:
    """What the scale tells of the plane it lies in: one length tells nothing, a rectangle corrects."""
    if scale.rectangle:
        return "corrected"
    return _told(scale, placing) if len(scale.lengths) == 2 else "not told"


def in_pixels(at: Sequence[float], width: int, height: int) -> tuple[Point, ...]:
    """Places as `marks.csv` has them (parts of 1,000 of width and height) in pixels."""
    pairs = zip(at[::2], at[1::2], strict=True)
    return tuple((x * width / 1000, y * height / 1000) for x, y in pairs)


def usual_placing(width: int, height: int, step: float = 0.0, *, fine: bool = False) -> float:
    """The standard deviation of a coordinate placed by hand, in pixels, at least one.

    `step`: what it was rounded to, in parts of 1,000: a rectangular distribution (JCGM 100:2008, 4.3.7).
    """
    hand = FINE_PLACING if fine else PLACING
    return max(1.0, float(np.hypot(hand, step / np.sqrt(12))) * max(width, height) / 1000)


def check(scale: Scale) -> None:
    """Raises ValueError where the scale cannot measure: wrong counts, no length, points that coincide or
    lengths that do not fit each other.
    """
    wanted = 4 if len(scale.lengths) == 2 else 2
    if len(scale.points) != wanted or len(scale.lengths) not in (1, 2):
        raise ValueError("a scale has two points and one length, or four points and two lengths")
    if scale.rectangle and len(scale.lengths) != 2:
        raise ValueError("a rectangle has two sides of known length")
    if not all(np.isfinite(n) and n > 0 for n in scale.lengths):
        raise ValueError("a known length is more than nothing")
    if not np.isfinite(scale.points).all() or (_spans(_array(scale.points), scale.rectangle) < 1).any():
        raise ValueError("the points of a scale lie at least a pixel apart")
    if scale.rectangle and not _convex(_array(scale.points)):
        raise ValueError("the corners of a rectangle are given one after the other around it")
    if scale.rectangle and _turned(scale):
        raise ValueError("the sides of a rectangle are given first along its first two corners")
    if not scale.rectangle and _apart(scale) > np.log(_most_apart(scale)):
        raise ValueError("the two scales disagree by more than any angle explains")


def _measured(
    points: Sequence[Point],
    scale: Scale,
    placing: float,
    what: Callable[[Floats], float],
    unit: str,
    *,
    least: int,
) -> Measured:
    if len(points) < least:
        raise ValueError(f"at least {least} points are needed")
    check(scale)
    count = len(scale.points)

    def value(every: Floats) -> float:
        return what(_to_mm(every[count:], every[:count], scale))

    every = _array([*scale.points, *points])
    plus_minus = _plus_minus(value, every, placing)
    if not value(every) > plus_minus:
        raise ValueError("a measure is more than what it may be off by")
    return Measured(
        value=value(every),
        plus_minus=plus_minus,
        unit=unit,
        plane=plane_of(scale, placing),
        within=COVERAGE * placing,
    )


def _plus_minus(value: Callable[[Floats], float], every: Floats, placing: float) -> float:
    """Twice the root of the sum of squares of the first order's parts and of the second order as one more."""
    squares, bends, middle = 0.0, 0.0, value(every)
    for index in np.ndindex(every.shape):
        up, down = every.copy(), every.copy()
        up[index] += _STEP
        down[index] -= _STEP
        more, less = value(up), value(down)
        squares += ((more - less) / (2 * _STEP)) ** 2
        bends += (more - 2 * middle + less) / _STEP**2
    return COVERAGE * float(np.hypot(placing * np.sqrt(squares), placing**2 * bends / 2))


def _to_mm(points: Floats, known: Floats, scale: Scale) -> Floats:
    if scale.rectangle:
        return _through(_plane(known, scale.lengths), points, known)
    # The mean of the two where there are two: right along their bisector, if the plane is oblique.
    factor = float(np.mean(np.array(scale.lengths) / _spans(known, rectangle=False)))
    return points * factor


def _plane(corners: Floats, sides: tuple[float, ...]) -> Floats:
    """The homography from pixels to mm that makes the corners a rectangle (Hartley & Zisserman 4.1)."""
    width, height = sides
    target = np.array([[0, 0], [width, 0], [width, height], [0, height]])
    rows = []
    for (x, y), (u, v) in zip(corners, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
    solution = np.linalg.solve(np.array(rows), target.ravel())
    return np.append(solution, 1.0).reshape(3, 3)


def _through(homography: Floats, points: Floats, known: Floats) -> Floats:
    """`points` in mm. Raises ValueError beyond the line where the plane of `known` is seen edge-on."""
    spread, corner = (np.column_stack([p, np.ones(len(p))]) @ homography.T for p in (points, known[:1]))
    if (spread[:, 2] * np.sign(corner[0, 2]) <= 0).any():
        raise ValueError("a point lies where the plane of the scale cannot be seen")
    moved: Floats = spread[:, :2] / spread[:, 2:]
    return moved


def _told(scale: Scale, placing: float) -> Plane:
    """Two lengths: oblique where their factors differ beyond the placing.

    Alike they tell nothing: tilted between the two ways, both are foreshortened by as much.
    """
    spans = _spans(_array(scale.points), rectangle=False)
    doubt = COVERAGE * placing * float(np.sqrt((2 / spans**2).sum()))
    return "oblique" if _apart(scale) > max(doubt, _LEAST_TILT) else "not told"


def _apart(scale: Scale) -> float:
    """How far the millimetres a pixel of the scales differ, as a logarithm; 0 of one alone."""
    factors = np.log(np.array(scale.lengths) / _spans(_array(scale.points), rectangle=False))
    return float(factors.max() - factors.min())


def _most_apart(scale: Scale) -> float:
    both = _array(scale.points)
    return _MOST_APART_BESIDE if len(both) == 4 and _same_way(both) else _MOST_APART


def _turned(scale: Scale) -> bool:
    """Whether the sides fit far better exchanged, as no view from up to 50 degrees would make them."""
    spans = _spans(_array(scale.points), rectangle=True)
    seen = float(np.log((spans[0] + spans[2]) / (spans[1] + spans[3])))
    said = float(np.log(scale.lengths[0] / scale.lengths[1]))
    return bool(abs(seen - said) - abs(seen + said) > np.log(_SIDES_TURNED))


def _same_way(points: Floats) -> bool:
    """Within 30 degrees of each other: both would be foreshortened alike."""
    one, other = points[1] - points[0], points[3] - points[2]
    across = abs(float(one[0] * other[1] - one[1] * other[0]))
    return across < 0.5 * float(np.linalg.norm(one) * np.linalg.norm(other))


def _spans(points: Floats, rectangle: bool) -> Floats:
    """Pixels of each known length; of a rectangle its four sides."""
    if rectangle:
        sides: Floats = np.linalg.norm(points - np.roll(points, -1, axis=0), axis=1)
        return sides
    lengths: Floats = np.linalg.norm(points[1::2] - points[::2], axis=1)
    return lengths


def _convex(corners: Floats) -> bool:
    ahead = np.roll(corners, -1, axis=0) - corners
    after = np.roll(ahead, -1, axis=0)
    turns = ahead[:, 0] * after[:, 1] - ahead[:, 1] * after[:, 0]
    return bool((turns > 1e-6).all() or (turns < -1e-6).all())


def _along(points: Floats) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def _crosses(points: Floats) -> bool:
    """Whether two sides of the closed outline cross in their midst."""
    start, end = points, np.roll(points, -1, axis=0)

    def side(of: Floats) -> Floats:
        """Of which side of every line (row) each point (column) lies: -1, 0 or 1."""
        ahead, to = (end - start)[:, None], of[None] - start[:, None]
        return np.asarray(np.sign(ahead[..., 0] * to[..., 1] - ahead[..., 1] * to[..., 0]), np.float64)

    across = side(start) * side(end) < 0
    return bool((across & across.T).any())


def _inside(points: Floats) -> float:
    """The shoelace formula."""
    x, y = points.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def _array(points: Sequence[Point]) -> Floats:
    return np.array(points, dtype=float).reshape(-1, 2)
