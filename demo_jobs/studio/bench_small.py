"""The small parts of the clock that were worn or did not belong, laid out before the work."""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np

from studio.bench import Scene
from studio.metal import brass, plain, steel
from studio.solids import Solid, Stencil, Triple, ball, box, cut_out, drum, ring, rod

DARK: Triple = (0.26, 0.26, 0.27)


def small_parts() -> Scene:
    """Going spring, suspension, hammer, anchor; four small feet and the winding key."""
    solids: list[Solid] = [
        cut_out("spring", coil(), (-7.0, 0.45, -2.2), 0.8, 0.4),
        box("spring", (-0.6, 0.06, -3.4), (1.3, 0.03, 0.18), 0.02),
        rod("spring", (0.6, 0.08, -3.42), (1.2, 0.35, -3.1), 0.06),
        *[box("small", (x, 0.16, -3.4), (0.28, 0.14, 0.42), 0.05) for x in (-1.9, 1.5)],
        rod("dull", (-2.0, 0.18, -0.6), (2.6, 0.18, -0.9), 0.1),
        drum("dull", (2.9, 0.36, -0.92), "x", 0.36, 0.5, 0.05),
        drum("hide", (3.5, 0.36, -0.96), "x", 0.3, 0.16, 0.05),
        cut_out("dull", anchor(), (6.2, 0.25, -2.2), 0.32, 0.1),
        drum("dull", (6.2, 0.5, -3.0), "y", 0.14, 0.5, 0.03),
    ]
    for k in range(4):
        solids += [drum("small", (-8.6 + k * 1.7, 0.22, 3.1), "y", 0.62, 0.2, 0.12)]
        solids += [drum("dull", (-8.6 + k * 1.7, 0.62, 3.1), "y", 0.1, 0.3, 0.02)]
    solids += [drum("small", (3.2, 0.3, 2.6), "x", 0.3, 1.2, 0.05), *_bow(5.6, 2.6)]
    surfaces = {
        "spring": steel(0.5, 601, DARK),
        "dull": steel(0.45, 611, DARK),
        "small": brass(0.85, 0.2, 621),
    }
    return solids, {**surfaces, "hide": plain((0.16, 0.09, 0.05), 0.8, 0.02, 0.01, 631)}


def _bow(x: float, z: float) -> list[Solid]:
    """The two wings of a winding key."""
    wings = [ring("small", (x, 0.3, z + s * 0.75), "y", 0.55, 0.2) for s in (-1, 1)]
    return [
        rod("small", (x - 1.3, 0.3, z), (x, 0.3, z), 0.24),
        ball("small", (x, 0.3, z), (0.4, 0.3, 0.4)),
        *wings,
    ]


@cache
def coil() -> Stencil:
    """A spring let go: a spiral that widens to its outer end."""
    px, size = 60, 7.6
    mask = np.zeros((int(size * px), int(size * px)), np.uint8)
    turn = np.linspace(0.0, 2 * np.pi * 6.2, 900)
    radius = 0.55 + 2.9 * (turn / turn[-1]) ** 1.35
    points = np.stack([radius * np.cos(turn), radius * np.sin(turn)], -1) * px + mask.shape[0] / 2
    cv2.polylines(mask, [points.astype(np.int32)], False, 255, 5, cv2.LINE_AA)
    return Stencil.of(mask, px)


@cache
def anchor() -> Stencil:
    """An anchor with two pallets."""
    px = 60
    mask = np.zeros((4 * px, 5 * px), np.uint8)
    arms = [(0.4, 2.9), (0.9, 1.9), (2.1, 0.9), (2.9, 0.9), (4.1, 1.9), (4.6, 2.9), (4.2, 3.1), (3.7, 2.2)]
    arms += [(2.8, 1.5), (2.2, 1.5), (1.3, 2.2), (0.8, 3.1)]
    cv2.fillPoly(mask, [(np.array(arms) * px).astype(np.int32)], 255, cv2.LINE_AA)
    return Stencil.of(mask, px)
