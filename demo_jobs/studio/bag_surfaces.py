"""The surfaces of the bag by condition: as it came (`worn`) and after the work."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import cv2
import numpy as np

from studio.bag import HEIGHT
from studio.bag_charts import base_side, broad_side, end_side
from studio.light import Finish, Patch, Relief, Surface, mixed, toned
from studio.metal import brass, plain, steel
from studio.solids import Grid, Triple
from studio.textures import Chart, cloud, lay, leather_grain

BROWN: Triple = (0.105, 0.036, 0.0135)
PALE: Triple = (0.27, 0.155, 0.085)


class Laid:
    """The drawn charts laid on the sides a patch shows."""

    def __init__(self, p: Patch, worn: bool) -> None:
        under = p.ny < -0.75
        end = ~under & (np.abs(p.nx) > np.abs(p.nz) * 1.05)
        front = ~under & ~end & (p.nz >= 0)
        back = ~under & ~end & (p.nz < 0)
        self.patch = p
        self.sides: list[tuple[np.ndarray, Chart, Grid, Grid, tuple[int, int]]] = [
            (front, broad_side(False, worn), p.x, p.y, (0, 1)),
            (back, broad_side(True, worn), p.x, p.y, (0, 1)),
            (end, end_side(worn), p.z, p.y, (2, 1)),
            (under, base_side(worn), p.x, p.z, (0, 2)),
        ]

    def layer(self, name: str) -> Grid:
        out = np.zeros(self.patch.x.shape, np.float32)
        for mask, chart, u, v, _ in self.sides:
            if mask.any():
                out[mask] = chart.at(name, u[mask], v[mask], self.patch.foot)
        return out

    def slope(self) -> Grid:
        out = np.zeros((self.patch.x.size, 3), np.float32)
        for mask, chart, u, v, axes in self.sides:
            if mask.any():
                relief = Relief(_part(self.patch, mask))
                relief.drawn(_height(chart, self.patch.foot), u[mask], v[mask], axes)
                out[mask] = relief.slope
        return out


def _height(chart: Chart, foot: float) -> Callable[[Grid, Grid], Grid]:
    return lambda u, v: chart.at("height", u, v, foot)


def _part(p: Patch, mask: np.ndarray) -> Patch:
    return Patch(p.x[mask], p.y[mask], p.z[mask], p.nx[mask], p.ny[mask], p.nz[mask], p.foot)


def leather(worn: bool) -> Surface:
    """The body: brown bridle-like leather with its seams and marks."""

    def surface(p: Patch) -> Finish:
        laid = Laid(p, worn)
        finish = plain_leather(worn, BROWN)(p)
        colour, rough = finish.colour, np.asarray(finish.rough)
        colour = colour * (1 - 0.42 * laid.layer("stain") * (1.0 if worn else 0.8))[:, None]
        colour = colour * (1 - 0.22 * laid.layer("cap"))[:, None]
        fibres = lay(cloud(1.1, 74), p.x + p.z, p.y + p.z * 0.4, 42.0, p.foot)
        rubbed = np.clip(laid.layer("scuff") * (1.25 + 0.8 * fibres) - 0.18, 0, 1)
        colour = mixed(colour, PALE, rubbed * (0.9 if worn else 0.35))
        colour = mixed(colour, PALE, laid.layer("scratch") * (0.32 if worn else 0.10))
        colour = mixed(colour, (0.05, 0.018, 0.008), laid.layer("crack") * 0.75)
        colour = mixed(colour, (0.03, 0.012, 0.006), laid.layer("hole") * 0.85)
        colour = mixed(colour, (0.20, 0.075, 0.025), laid.layer("rust"))
        thread = laid.layer("thread")
        colour = mixed(colour, (0.20, 0.125, 0.06) if worn else (0.27, 0.17, 0.075), thread)
        tear = laid.layer("tear")
        colour = mixed(colour, (0.42, 0.30, 0.19), tear)
        slope = (finish.slope if finish.slope is not None else 0) * (1 - 0.8 * thread)[:, None] + laid.slope()
        rough = np.clip(rough + 0.25 * rubbed + 0.3 * tear, 0, 1)
        shut = 1 - 0.35 * laid.layer("hole") - 0.3 * laid.layer("crease")
        return Finish(colour, rough, slope=slope, shut=np.clip(shut, 0.2, 1), spec=0.04)

    return surface


def plain_leather(worn: bool, tone: Triple) -> Surface:
    """Leather without seams: handle, chapes, new pieces."""

    def surface(p: Patch) -> Finish:
        slow = lay(cloud(2.8, 71), p.x, p.y * 0.9 + p.z, 18.0, p.foot)
        fine = lay(cloud(1.6, 72), p.x, p.y + p.z, 40.0, p.foot)
        deep = 1.0 if worn else 0.86
        colour = (
            toned(p, tone) * np.float32(deep) * (1 + (0.13 if worn else 0.08) * slow + 0.05 * fine)[:, None]
        )
        grey = np.clip(0.30 + 0.16 * slow + 0.1 * fine, 0, 1) * (0.55 if worn else 0.0)
        colour = mixed(colour, (0.20, 0.125, 0.08), grey * 0.5)
        relief = Relief(p).grain(leather_grain(5), 150.0, 0.0042).grain(cloud(2.0, 73), 30.0, 0.010)
        return Finish(colour, (0.62 if worn else 0.40) + 0.05 * fine, slope=relief.slope, spec=0.04)

    return surface


def handle_leather(worn: bool) -> Surface:
    """The handle: dark from the hand; before the work split along its underside and frayed at one end."""
    base = plain_leather(worn, (0.070, 0.026, 0.012))

    def surface(p: Patch) -> Finish:
        finish = base(p)
        seam = np.exp(-(((np.abs(p.z - 1.25) - 0.62) / 0.05) ** 2)) * (p.ny > -0.4)
        along = np.arctan2((p.y - 24.25) * 1.43, p.x) * 6.6
        dash = (np.mod(along, 0.36) < 0.25).astype(np.float32)
        colour = mixed(finish.colour, (0.34, 0.23, 0.11), seam * dash)
        colour = mixed(colour, (0.02, 0.01, 0.006), seam * (1 - dash) * 0.8)
        if worn:
            rough = lay(cloud(1.7, 81), p.x, p.y, 40.0, p.foot)
            split = np.clip((rough + 0.9 - np.abs(p.x - 5.2) * 1.2) * 1.8, 0, 1) * (p.ny < 0.75)
            colour = mixed(colour, (0.40, 0.27, 0.165), split * 0.9)
            crest = np.clip((lay(cloud(1.9, 82), p.x, p.z, 30.0, p.foot) - 0.3), 0, 1) * np.clip(p.ny, 0, 1)
            colour = mixed(colour, PALE, crest * 0.55)
        return Finish(colour, finish.rough, slope=finish.slope, spec=finish.spec)

    return surface


def fittings(worn: bool) -> dict[str, Surface]:
    """Frame, lock, pins and what else is metal."""
    if worn:
        return {
            "frame": worn_plating(),
            "lock": stamped(brass(0.85, 0.30, 21)),
            "hasp": brass(0.80, 0.25, 22),
            "catch": brass(0.85, 0.22, 23),
            "pin": brass(0.75, 0.12, 24),
            "ring": brass(0.8, 0.3, 25),
            "foot": brass(0.7, 0.1, 26),
            "key": brass(0.1, 0.0, 27),
        }
    return {
        "frame": brass(0.04, 0.0, 20, brushed=0.13),
        "lock": stamped(brass(0.42, 0.0, 21, brushed=0.22)),
        "hasp": brass(0.40, 0.0, 22, brushed=0.22),
        "catch": brass(0.38, 0.0, 23, brushed=0.22),
        "pin": brass(0.30, 0.0, 24),
        "ring": brass(0.08, 0.0, 25, brushed=0.14),
        "foot": brass(0.6, 0.06, 26),
        "key": brass(0.05, 0.0, 27),
    }


@cache
def number_chart() -> Chart:
    chart = Chart.blank(-2.3, HEIGHT - 3.5, 4.6, 3.5, 160)
    for text, u in (("31", -1.72), ("27", 0.98)):
        chart.words("cut", text, u, HEIGHT - 1.55, 0.5, 0.055, cv2.FONT_HERSHEY_DUPLEX)
    chart.line("cut", [(-2.05, HEIGHT - 2.36), (2.05, HEIGHT - 2.36)], 0.025, 0.7)
    return chart


def stamped(base: Surface) -> Surface:
    """The lock plate with its number, half on each side of the hasp."""

    def surface(p: Patch) -> Finish:
        finish = base(p)
        front = (p.nz > 0.6).astype(np.float32)
        cut = number_chart().at("cut", p.x, p.y, p.foot) * front
        finish.colour = mixed(finish.colour, (0.05, 0.03, 0.014), cut * 0.8)
        finish.metal = np.asarray(finish.metal) * (1 - 0.6 * cut)
        sunk = Relief(p).drawn(
            lambda a, b: -0.03 * number_chart().at("cut", a, b, p.foot), p.x, p.y, (0, 1), front
        )
        finish.slope = sunk.slope + (finish.slope if finish.slope is not None else 0)
        return finish

    return surface


def worn_plating() -> Surface:
    """Brass plating rubbed through to rusty steel, most at edges and ends."""
    plate, bare = brass(0.7, 0.12, 20), steel(0.85, 33, (0.33, 0.32, 0.31))

    def surface(p: Patch) -> Finish:
        a, b = plate(p), bare(p)
        patchy = lay(cloud(1.9, 29), p.x, p.y + p.z, 58.0, p.foot) + 0.35 * lay(
            cloud(1.0, 30), p.x, p.z, 60.0, p.foot
        )
        share = np.clip(
            (
                0.8 * patchy
                + 0.5 * lay(cloud(1.1, 28), p.x * 1.7, p.y + p.z, 40.0, p.foot)
                + np.abs(p.x) * 0.03
                - 0.55
            )
            * 1.5,
            0,
            1,
        )
        s = share[:, None]
        slope = (a.slope if a.slope is not None else 0) * (1 - s) + (
            b.slope if b.slope is not None else 0
        ) * s
        return Finish(
            a.colour * (1 - s) + b.colour * s,
            a.rough * (1 - share) + b.rough * share,
            a.metal * (1 - share) + b.metal * share,
            slope,
        )

    return surface


def bag_surfaces(worn: bool) -> dict[str, Surface]:
    return {
        "leather": leather(worn),
        "handle": handle_leather(worn),
        "chape": plain_leather(worn, (0.085, 0.03, 0.013)),
        "shadow": plain((0.01, 0.01, 0.01), 0.9, 0.0),
        **fittings(worn),
    }
