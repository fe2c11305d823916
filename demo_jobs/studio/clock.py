"""The demo clock: a round-topped mantel clock in veneered walnut, front and back, whole or taken apart.

It stands on y = 0, dial towards the camera; a round movement strikes on a bell. Solids only.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

import cv2
import numpy as np

from studio.solids import (
    Grid,
    Solid,
    Stencil,
    Triple,
    ball,
    box,
    cut_out,
    drum,
    hollowed,
    length,
    ring,
    rod,
    turned,
)

DIAL_Y = 19.6
DIAL_Z = 6.95
BUN = [(0.0, 0.75), (0.25, 1.25), (0.7, 1.5), (1.15, 1.3), (1.45, 0.85), (1.62, 0.8)]
URN = [
    (0.0, 1.3), (0.3, 1.35), (0.45, 0.7), (0.75, 0.5), (1.0, 0.75), (1.5, 1.4), (2.2, 1.62), (2.8, 1.45),
    (3.1, 0.9), (3.35, 1.05), (3.55, 0.7), (4.0, 0.42), (4.5, 0.36), (4.75, 0.2), (4.9, 0.02),
]  # fmt: skip
CAPITAL = [(0.0, 0.95), (0.18, 1.0), (0.35, 0.82), (0.6, 0.86), (0.9, 1.1), (1.15, 1.28), (1.3, 1.3)]


def case(open_back: bool = False) -> list[Solid]:
    trunk: Solid = box("veneer", (0, 12, 0), (10, 8.4, 6.5), 0.12)
    arch: Solid = drum("veneer", (0, DIAL_Y, 0), "z", 10.0, 6.5, 0.12)
    if open_back:
        space = box("inside", (0, 15.2, -4.6), (7.4, 10.6, 4.2), 2.6)
        trunk, arch = hollowed(trunk, space), hollowed(arch, space)
    plinth = [
        box("plinth", (0, 2.6, 0.1), (12.2, 1.05, 8.1), 0.14),
        box("plinth", (0, 3.85, 0.1), (11.3, 0.55, 7.4), 0.42),
    ]
    return [trunk, arch, *plinth, *_banding(), *feet()]


def _banding() -> list[Solid]:
    """The half-round moulding round the front edge of the arch."""

    def hoop(x: Grid, y: Grid, z: Grid) -> Grid:
        round_ = length(length(x, np.maximum(y - DIAL_Y, 0)) - 9.75, z - 6.5)
        return np.maximum(round_ - np.float32(0.34), np.float32(4.3) - y).astype(np.float32)

    return [Solid("moulding", (-10.2, 4.2, 6.1), (10.2, 29.8, 6.9), hoop)]


def feet() -> list[Solid]:
    return [turned("foot", (x, 0, z), BUN) for x in (-10, 10) for z in (-5.8, 6.2)]


def columns(lost_capital: bool = False) -> list[Solid]:
    made: list[Solid] = []
    for x in (-8.35, 8.35):
        made.append(turned("column", (x, 5.5, 7.1), [(0, 0.86), (4, 0.9), (8, 0.84), (11.2, 0.74)]))
        made.append(
            turned("capital", (x, 4.4, 7.1), [(0, 1.25), (0.3, 1.28), (0.5, 1.0), (0.8, 1.05), (1.1, 0.9)])
        )
        if not (lost_capital and x > 0):
            made.append(turned("capital", (x, 16.7, 7.1), CAPITAL))
        made.append(box("moulding", (x, 18.2, 7.0), (1.3, 0.2, 1.2), 0.08))
    return made


def finial(present: bool) -> list[Solid]:
    base = box("moulding", (0, 29.85, 0.6), (2.1, 0.5, 2.1), 0.15)
    return [base, turned("finial", (0, 30.3, 0.6), URN)] if present else [base]


def face() -> list[Solid]:
    """Dial, bezel, hands."""
    return [
        drum("dial", (0, DIAL_Y, DIAL_Z - 0.25), "z", 6.4, 0.25, 0.04),
        ring("bezel", (0, DIAL_Y, DIAL_Z + 0.05), "z", 6.72, 0.55),
        ring("bezel", (0, DIAL_Y, DIAL_Z + 0.18), "z", 6.05, 0.12),
        box("bezel", (6.95, DIAL_Y, DIAL_Z + 0.1), (0.55, 0.5, 0.3), 0.15),
        *hands(10, 9),
    ]


def hands(hour: int, minute: int) -> list[Solid]:
    h = -2 * np.pi * (hour + minute / 60) / 12
    m = -2 * np.pi * minute / 60
    return [
        cut_out("hand", hand(3.1, 0.42), (0, DIAL_Y, DIAL_Z + 0.16), 0.07, -h, "z"),
        cut_out("hand", hand(4.9, 0.3), (0, DIAL_Y, DIAL_Z + 0.28), 0.07, -m, "z"),
        drum("pin", (0, DIAL_Y, DIAL_Z + 0.25), "z", 0.22, 0.16, 0.04),
    ]


@cache
def hand(reach: float, eye: float) -> Stencil:
    """A hand with a pierced eye near its tip, pointing up from the middle."""
    px, half = 60, reach + 1.0
    size = int(2 * half * px)
    mask = np.zeros((size, size), np.uint8)
    c = size // 2

    def at(u: float, v: float) -> tuple[int, int]:
        return round(c + u * px), round(c - v * px)

    body = [
        at(-0.14, -0.9),
        at(0.14, -0.9),
        at(0.1, 0),
        at(0.085, reach * 0.62),
        at(0.02, reach),
        at(-0.02, reach),
        at(-0.085, reach * 0.62),
        at(-0.1, 0),
    ]
    cv2.fillPoly(mask, [np.array(body, np.int32)], 255, cv2.LINE_AA)
    cv2.circle(mask, at(0, 0), round(0.32 * px), 255, -1, cv2.LINE_AA)
    cv2.circle(mask, at(0, reach * 0.66), round(eye * px), 255, -1, cv2.LINE_AA)
    cv2.circle(mask, at(0, reach * 0.69), round(eye * 0.55 * px), 0, -1, cv2.LINE_AA)
    return Stencil.of(mask, px)


@cache
def wheel(teeth: int, radius: float, spokes: int = 4) -> Stencil:
    """A toothed wheel with crossings."""
    px, half = 50, radius + 0.4
    size = int(2 * half * px)
    line, column = np.mgrid[0:size, 0:size].astype(np.float32)
    u, v = (column - size / 2) / px, (line - size / 2) / px
    r, a = np.hypot(u, v), np.arctan2(v, u)
    tooth = radius * (1 - 0.075 * (np.cos(a * teeth) < 0.1))
    solid = r < tooth
    windows = (r < radius * 0.74) & (r > radius * 0.26)
    bar = np.abs(np.sin(a * spokes / 2)) * r < radius * 0.09
    hole = r < 0.1
    mask = np.where(solid & ~(windows & ~bar) & ~hole, 255, 0).astype(np.uint8)
    return Stencil.of(cv2.GaussianBlur(mask, (0, 0), 1.2), px)


def movement(at: Triple = (0.0, DIAL_Y, -3.4), bell: bool = True) -> list[Solid]:
    """The movement seen from behind: its back plate faces away from the dial."""
    x, y, z = at
    solids = [
        drum("plate", (x, y, z + 1.6), "z", 4.7, 0.13, 0.03),
        drum("plate", (x, y, z - 0.9), "z", 4.5, 0.13, 0.03),
        *[
            drum("plate", (x + 3.7 * np.cos(a), y + 3.7 * np.sin(a), z + 0.4), "z", 0.28, 1.3)
            for a in (0.8, 2.35, 3.95, 5.5)
        ],
        *[drum("barrel", (x + s * 1.95, y - 1.3, z + 0.4), "z", 1.85, 0.85) for s in (-1, 1)],
        *[
            cut_out("wheelwork", wheel(64, 1.5), (x + u, y + v, z + 0.9), 0.12, 0.2, "z")
            for u, v in ((-1.2, 2.0), (1.5, 2.1), (0.1, 0.6))
        ],
        *[
            cut_out("steelwork", wheel(24, 0.95, 5), (x + s * 1.95, y - 1.3, z - 1.15), 0.14, 0.4 * s, "z")
            for s in (-1, 1)
        ],
        *[drum("steelwork", (x + s * 1.95, y - 1.3, z - 1.3), "z", 0.28, 0.34, 0.05) for s in (-1, 1)],
        cut_out("wheelwork", wheel(30, 0.8, 3), (x + 2.6, y + 1.5, z - 1.2), 0.1, 0.1, "z"),
        *screws([(x + 3.7 * np.cos(a), y + 3.7 * np.sin(a)) for a in (0.8, 2.35, 3.95, 5.5)], z - 1.08),
        *screws(
            [(x - 0.7, y + 3.2), (x + 0.7, y + 3.2), (x - 3.2, y + 0.3), (x + 3.3, y + 0.2)], z - 1.08, 0.17
        ),
        box("plate", (x, y + 3.2, z - 1.25), (1.0, 0.32, 0.16), 0.06),
    ]
    return solids + (striking(at) if bell else [])


def striking(at: Triple) -> list[Solid]:
    x, y, z = at
    outer = ball("bell", (x - 0.9, y + 1.4, z - 2.3), (2.5, 2.5, 1.3))
    return [
        outer,
        rod("steelwork", (x - 0.9, y + 1.4, z - 1.0), (x - 0.9, y + 1.4, z - 3.8), 0.16),
        drum("pin", (x - 0.9, y + 1.4, z - 3.65), "z", 0.36, 0.14, 0.05),
        rod("steelwork", (x + 3.4, y + 1.0, z - 1.1), (x + 2.0, y + 2.6, z - 2.3), 0.09),
        ball("steelwork", (x + 1.95, y + 2.65, z - 2.3), (0.34, 0.34, 0.34)),
    ]


def screws(places: Iterable[tuple[float, float]], z: float, r: float = 0.26) -> list[Solid]:
    """Slotted screws seen from behind."""
    return [
        hollowed(
            drum("screw", (u, v, z), "z", r, 0.12, 0.04),
            box("screw", (u, v, z - 0.12), (r, 0.035, 0.07), 0.01),
        )
        for u, v in places
    ]


def pendulum(shorter: float = 0.0) -> list[Solid]:
    z, low = -6.1, 9.4 + shorter
    return [
        rod("steelwork", (0.5, DIAL_Y + 2.6, -4.9), (0.5, DIAL_Y + 2.4, z), 0.1),
        rod("steelwork", (0.5, DIAL_Y + 2.5, z), (0.5, low, z), 0.09),
        ball("bob", (0.5, low, z), (1.75, 1.75, 0.5)),
        drum("pin", (0.5, low - 2.1, z), "y", 0.3, 0.16, 0.05),
    ]


def clock(worn: bool, back: bool = False) -> list[Solid]:
    solids = [*case(back), *columns(worn), *finial(not worn), *face()]
    return solids + ([*movement(), *pendulum()] if back else [])
