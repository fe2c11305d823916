"""Signed distances of simple solids (negative inside), and solids as named pieces of a scene.

Not here: surfaces and light. Every distance is at most the true one, so that a ray never steps through.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from studio.sampling import sampled

Grid = NDArray[Any]  # float32 where it is large
Distance = Callable[[Grid, Grid, Grid], Grid]
Triple = tuple[float, float, float]


@dataclass(frozen=True)
class Solid:
    """One piece: the surface it shows, the box it stays within (lowest, highest corner), and its distance."""

    surface: str
    low: Triple
    high: Triple
    distance: Distance
    exact: bool = False  # the distance is the true one everywhere

    def within(self, x: Grid, y: Grid, z: Grid) -> Grid:
        """The distance, never less than to the box: no seam in far shadows where solids are skipped."""
        if self.exact:
            return self.distance(x, y, z)
        outside = length(
            *(
                np.maximum(np.maximum(np.float32(low) - v, v - np.float32(high)), 0)
                for v, low, high in zip((x, y, z), self.low, self.high, strict=True)
            )
        )
        return np.maximum(self.distance(x, y, z), outside)


def length(*sides: Grid) -> Grid:
    total = sides[0] * sides[0]
    for side in sides[1:]:
        total = total + side * side
    return np.sqrt(total)


def box_distance(
    x: Grid, y: Grid, z: Grid, half: tuple[Grid | float, Grid | float, Grid | float], r: float
) -> Grid:
    """A box about the origin with rounded edges of radius `r`; `half` may vary gently from place to place."""
    qx = np.abs(x) - (half[0] - r)
    qy = np.abs(y) - (half[1] - r)
    qz = np.abs(z) - (half[2] - r)
    inner = np.minimum(np.maximum(np.maximum(qx, qy), qz), 0)
    return length(np.maximum(qx, 0), np.maximum(qy, 0), np.maximum(qz, 0)) + inner - np.float32(r)


def box(surface: str, centre: Triple, half: Triple, r: float = 0.1) -> Solid:
    def distance(x: Grid, y: Grid, z: Grid) -> Grid:
        return box_distance(x - centre[0], y - centre[1], z - centre[2], half, r)

    return Solid(surface, _minus(centre, half), _plus(centre, half), distance, True)


def ball(surface: str, centre: Triple, radii: Triple) -> Solid:
    """An ellipsoid; the distance is scaled by the least radius, so never too long."""
    least = min(radii)

    def distance(x: Grid, y: Grid, z: Grid) -> Grid:
        flat = length((x - centre[0]) / radii[0], (y - centre[1]) / radii[1], (z - centre[2]) / radii[2])
        return (flat - 1) * np.float32(least)

    return Solid(surface, _minus(centre, radii), _plus(centre, radii), distance)


def rod(surface: str, a: Triple, b: Triple, r: float) -> Solid:
    """A straight rod with round ends."""
    d = tuple(q - p for p, q in zip(a, b, strict=True))
    square = sum(v * v for v in d)

    def distance(x: Grid, y: Grid, z: Grid) -> Grid:
        px, py, pz = x - a[0], y - a[1], z - a[2]
        along = np.clip((px * d[0] + py * d[1] + pz * d[2]) / square, 0, 1)
        return length(px - along * d[0], py - along * d[1], pz - along * d[2]) - np.float32(r)

    low = tuple(min(p, q) - r for p, q in zip(a, b, strict=True))
    high = tuple(max(p, q) + r for p, q in zip(a, b, strict=True))
    return Solid(surface, low, high, distance, True)  # type: ignore[arg-type]


def drum(surface: str, centre: Triple, axis: str, radius: float, half: float, r: float = 0.05) -> Solid:
    """A cylinder along axis "x", "y" or "z"."""
    k = "xyz".index(axis)

    def distance(x: Grid, y: Grid, z: Grid) -> Grid:
        p = [x - centre[0], y - centre[1], z - centre[2]]
        along = np.abs(p.pop(k)) - np.float32(half - r)
        out = length(*p) - np.float32(radius - r)
        inner = np.minimum(np.maximum(out, along), 0)
        return length(np.maximum(out, 0), np.maximum(along, 0)) + inner - np.float32(r)

    size = [radius] * 3
    size[k] = half
    return Solid(surface, _minus(centre, tuple(size)), _plus(centre, tuple(size)), distance, True)  # type: ignore[arg-type]


def ring(surface: str, centre: Triple, axis: str, radius: float, thick: float, flat: float = 1.0) -> Solid:
    """A ring (torus) about an axis; `flat` below 1 makes it broader than high along the axis."""
    k = "xyz".index(axis)

    def distance(x: Grid, y: Grid, z: Grid) -> Grid:
        p = [x - centre[0], y - centre[1], z - centre[2]]
        along = p.pop(k) / np.float32(flat)
        return (length(length(*p) - np.float32(radius), along) - np.float32(thick)) * np.float32(
            min(1.0, flat)
        )

    size = [radius + thick] * 3
    size[k] = thick * flat
    return Solid(surface, _minus(centre, tuple(size)), _plus(centre, tuple(size)), distance, flat == 1.0)  # type: ignore[arg-type]


def turned(surface: str, centre: Triple, profile: list[tuple[float, float]], step: float = 0.02) -> Solid:
    """A turned piece standing on `centre`; `profile` is (height, radius), a little smoothed."""
    heights = np.array([h for h, _ in profile], np.float32)
    radii = np.array([r for _, r in profile], np.float32)
    top = float(heights[-1])
    table = np.interp(np.arange(0, top + step, step), heights, radii).astype(np.float32)
    table = cv2.GaussianBlur(
        table.reshape(1, -1), (0, 0), 0.07 / step, borderType=cv2.BORDER_REPLICATE
    ).ravel()
    slope = 1 / np.sqrt(1 + min(9.0, float(np.max(np.abs(np.gradient(table, step)))) ** 2))

    def distance(x: Grid, y: Grid, z: Grid) -> Grid:
        up = y - centre[1]
        place = np.clip(up / step, 0, len(table) - 1.001)
        index = place.astype(np.int32)
        part = place - index
        radius = table[index] * (1 - part) + table[index + 1] * part
        side = (length(x - centre[0], z - centre[2]) - radius) * np.float32(slope)
        return np.maximum(side, np.abs(up - top / 2) - np.float32(top / 2))

    widest = float(radii.max())
    return Solid(
        surface,
        (centre[0] - widest, centre[1], centre[2] - widest),
        (centre[0] + widest, centre[1] + top, centre[2] + widest),
        distance,
    )


@dataclass(frozen=True)
class Stencil:
    """A flat outline drawn as a mask: its distance in the plane, sampled between pixels."""

    field: Grid  # cm, negative inside
    scale: float  # pixels per cm
    width: float  # cm
    height: float

    @classmethod
    def of(cls, mask: NDArray[np.uint8], scale: float) -> Stencil:
        out = cv2.distanceTransform((mask < 128).astype(np.uint8), cv2.DIST_L2, 5)
        inside = cv2.distanceTransform((mask >= 128).astype(np.uint8), cv2.DIST_L2, 5)
        field = cv2.GaussianBlur((out - inside).astype(np.float32) / scale, (0, 0), 1.0)
        return cls(field, scale, mask.shape[1] / scale, mask.shape[0] / scale)

    def at(self, u: Grid, v: Grid) -> Grid:
        """Distance at (u right, v up) from the middle of the mask."""
        column = (u + self.width / 2) * self.scale - 0.5
        line = (self.height / 2 - v) * self.scale - 0.5
        return sampled(self.field, column, line, cv2.BORDER_REPLICATE)


def cut_out(
    surface: str,
    stencil: Stencil,
    centre: Triple,
    thick: float,
    turn: float = 0.0,
    axis: str = "y",
    r: float = 0.02,
) -> Solid:
    """A plate cut along a stencil: lying (axis "y") or standing and facing the camera (axis "z")."""
    c, s = np.float32(np.cos(turn)), np.float32(np.sin(turn))

    def distance(x: Grid, y: Grid, z: Grid) -> Grid:
        a = x - centre[0]
        b, up = (centre[2] - z, y - centre[1]) if axis == "y" else (y - centre[1], z - centre[2])
        side = stencil.at(a * c + b * s, b * c - a * s) * np.float32(0.8) + np.float32(r)
        along = np.abs(up) - np.float32(thick / 2 - r)
        inner = np.minimum(np.maximum(side, along), 0)
        return length(np.maximum(side, 0), np.maximum(along, 0)) + inner - np.float32(r)

    reach = float(np.hypot(stencil.width, stencil.height)) / 2
    size = (reach, thick / 2, reach) if axis == "y" else (reach, reach, thick / 2)
    return Solid(surface, _minus(centre, size), _plus(centre, size), distance)


def _minus(a: Triple, b: Triple) -> Triple:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _plus(a: Triple, b: Triple) -> Triple:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def moved(solid: Solid, by: Triple) -> Solid:
    def distance(x: Grid, y: Grid, z: Grid) -> Grid:
        return solid.distance(x - np.float32(by[0]), y - np.float32(by[1]), z - np.float32(by[2]))

    return Solid(solid.surface, _plus(solid.low, by), _plus(solid.high, by), distance, solid.exact)


def hollowed(solid: Solid, *out: Solid) -> Solid:
    """`solid` without the space of the others."""

    def distance(x: Grid, y: Grid, z: Grid) -> Grid:
        d = solid.distance(x, y, z)
        for space in out:
            d = np.maximum(d, -space.distance(x, y, z))
        return d

    return Solid(solid.surface, solid.low, solid.high, distance)
