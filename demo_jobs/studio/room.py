"""The paper sweep behind the object, the scale bar beside it, and their surfaces."""

from __future__ import annotations

import cv2
import numpy as np

from studio.light import Finish, Patch, Relief, Surface, mixed, toned
from studio.solids import Grid, Solid, Triple, box, length
from studio.textures import Chart, cloud, lay

WIDE: Triple = (500.0, 500.0, 500.0)


def sweep(floor: float, wall: float, bend: float = 25.0) -> Solid:
    """Paper lying at height `floor` and hung behind at depth `wall`, with a bend between."""

    def distance(x: Grid, y: Grid, z: Grid) -> Grid:
        low, back = y - np.float32(floor), z - np.float32(wall)
        a, b = np.maximum(bend - low, 0), np.maximum(bend - back, 0)
        return np.where((a > 0) & (b > 0), bend - length(a, b), np.minimum(low, back)).astype(np.float32)

    return Solid("paper", (-500, -500, -500), WIDE, distance, True)


def table(floor: float, axis: str = "y", side: float = 1.0) -> Solid:
    """A flat ground square to an axis, on the side of its positive (1) or negative (-1) direction."""

    def distance(x: Grid, y: Grid, z: Grid) -> Grid:
        return ({"x": x, "y": y, "z": z}[axis] - np.float32(floor)) * np.float32(side)

    return Solid("paper", (-500, -500, -500), WIDE, distance, True)


def paper(colour: Triple = (0.44, 0.44, 0.43)) -> Surface:
    """Matt grey paper with a trace of handling."""

    def surface(p: Patch) -> Finish:
        base = toned(p, colour)
        spots = lay(cloud(2.2, 901), p.x, p.z + p.y, 6.0, p.foot)
        relief = Relief(p).grain(cloud(1.2, 902), 60.0, 0.0009)
        return Finish(base * (1 + 0.007 * spots)[:, None], 0.85, slope=relief.slope, spec=0.03)

    return surface


def felt(colour: Triple) -> Surface:
    """A cloth laid on the bench."""

    def surface(p: Patch) -> Finish:
        fuzz = lay(cloud(0.9, 911), p.x, p.z, 40.0, p.foot)
        slow = lay(cloud(2.6, 912), p.x, p.z, 9.0, p.foot)
        relief = Relief(p).grain(cloud(1.0, 913), 45.0, 0.006).grain(cloud(2.6, 912), 9.0, 0.02)
        tint = toned(p, colour) * (1 + 0.10 * fuzz + 0.06 * slow)[:, None]
        return Finish(tint, 0.95, slope=relief.slope, spec=0.02)

    return surface


def scale_bar(left: float, floor: float, depth: float, cm: int = 10) -> tuple[Solid, Surface]:
    """A bar of `cm` centimetres on the ground: black and white by turns, numbers, grey steps."""
    solid = box("scale", (left + cm / 2 + 0.5, floor + 0.15, depth), (cm / 2 + 0.5, 0.15, 1.1), 0.05)
    chart = Chart.blank(left, depth - 1.1, cm + 1.0, 2.2, 60)
    _draw_scale(chart, left + 0.5, depth, cm)

    def surface(p: Patch) -> Finish:
        dark = chart.at("ink", p.x, 2 * depth - p.z, p.foot)
        grey = chart.at("grey", p.x, 2 * depth - p.z, p.foot)
        base = mixed(toned(p, (0.82, 0.82, 0.8)), (0.02, 0.02, 0.02), dark)
        return Finish(mixed(base, (0.0, 0.0, 0.0), grey), 0.5, spec=0.04)

    return solid, surface


def _draw_scale(chart: Chart, zero: float, depth: float, cm: int) -> None:
    for k in range(cm):
        low, high = (depth, depth + 0.45) if k % 2 else (depth + 0.45, depth + 0.9)
        a, b = zero + k, zero + k + 1
        chart.area("ink", [(a, low), (b, low), (b, high), (a, high)])
        grey = 0.15 + 0.75 * k / max(1, cm - 1)
        chart.area("grey", [(a, depth - 0.95), (b, depth - 0.95), (b, depth - 0.7), (a, depth - 0.7)], grey)
    chart.line(
        "ink",
        [(zero, depth), (zero + cm, depth), (zero + cm, depth + 0.9), (zero, depth + 0.9), (zero, depth)],
        0.03,
    )
    for k in range(cm + 1):
        face = cv2.FONT_HERSHEY_SIMPLEX
        chart.words("ink", str(k), zero + k - (0.11 if k < 10 else 0.3), depth - 0.48, 0.36, 0.045, face)
    chart.words(
        "ink", "cm", zero + cm - 0.85 + 0.5, depth - 0.48, 0.3, 0.04, cv2.FONT_HERSHEY_SIMPLEX
    ) if cm < 10 else None
