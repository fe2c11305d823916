"""The demo bag: a doctor's bag of brown leather on a brass-plated steel frame, shut or open.

Solids only; its surfaces are in bag_surfaces.py. The bag stands on y = 0, its front towards the camera.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from studio.solids import Grid, Solid, ball, box, box_distance, drum, length, moved, ring, rod

HEIGHT = 23.0
HALF_WIDTH = 20.0
PINS_ROW = 30  # along the front, and as many along the back; two at each end: 64
LOST_PINS = (3, 4, 11, 17, 18, 19, 26)  # on the front; two more on the back
LOST_BACK = (8, 21)


def depth_at(y: Grid, open_: bool) -> Grid:
    """Half the depth of the body at a height."""
    share = np.clip(y / np.float32(HEIGHT), 0, 1)
    bulge = np.float32(0.9) * np.sin(np.pi * np.clip(share, 0, 1))
    if open_:
        return 8.6 + bulge * 0.8 + 0.3 * share
    return 8.9 + bulge - np.float32(6.5) * share * share * (np.float32(1.75) - np.float32(0.75) * share)


def body(open_: bool = False) -> Solid:
    def outer(x: Grid, y: Grid, z: Grid) -> Grid:
        deep = depth_at(y, open_)
        share = np.clip(y / np.float32(HEIGHT), 0, 1)
        fold = np.exp(-((z / (deep * 0.5 + 0.6)) ** 2)) * share * np.float32(1.0 if open_ else 2.1)
        wide = HALF_WIDTH - np.float32(1.3) * share * share - fold
        slack = 0.10 * np.sin(x * 0.55 + 0.8) * np.sin(y * 0.42 + z * 0.2) + 0.05 * np.sin(x * 1.3 + y * 0.9)
        return box_distance(
            x, y - HEIGHT / 2, z, (wide, HEIGHT / 2, deep + slack * np.sin(np.pi * share)), 1.7
        )

    def distance(x: Grid, y: Grid, z: Grid) -> Grid:
        d = outer(x, y, z)
        if open_:
            inner = box_distance(
                x, y - HEIGHT / 2 - 3, z, (HALF_WIDTH - 1.6, HEIGHT / 2 + 2.35, depth_at(y, True) - 0.7), 1.2
            )
            d = np.maximum(d, -inner)
        return d * np.float32(0.62)

    return Solid("leather", (-21, -0.2, -11), (21, HEIGHT + 0.1, 11), distance)


def bag(open_: bool = False, lost_pins: bool = False, key: bool = False, tag: bool = True) -> list[Solid]:
    """All solids of the shut bag (or its open body, without the fittings of the shut front)."""
    solids = [body(open_), *feet()]
    if open_:
        return solids + open_frame() + open_front(lost_pins)
    solids += frame() + lock() + catches() + handle()
    solids += [pins(1, LOST_PINS if lost_pins else ()), pins(-1, LOST_BACK if lost_pins else ())]
    return solids + (hanging_key() if key else [])


def feet() -> list[Solid]:
    return [ball("foot", (x, -0.05, z), (1.0, 0.62, 1.0)) for x in (-16.5, 16.5) for z in (-6.2, 6.2)]


def frame() -> list[Solid]:
    jaws = [box("frame", (0, HEIGHT + 0.05, s * 1.25), (18.2, 0.62, 1.12), 0.38) for s in (1, -1)]
    hinges = [drum("frame", (s * 18.2, HEIGHT - 0.1, 0), "z", 0.75, 1.9, 0.2) for s in (1, -1)]
    return jaws + hinges


def pins(side: int, lost: Iterable[int]) -> Solid:
    """The row of dome-headed pins that holds the leather to the frame, on the front (1) or back (-1)."""
    pitch, gone = np.float32(36.0 / PINS_ROW), set(lost)
    left = [k for k in range(PINS_ROW) if k not in gone]
    nearest = np.array([min(left, key=lambda k: abs(k - j)) for j in range(PINS_ROW)], np.float32)

    def distance(x: Grid, y: Grid, z: Grid) -> Grid:
        k = nearest[np.clip(np.round(x / pitch + (PINS_ROW - 1) / 2), 0, PINS_ROW - 1).astype(np.int32)]
        local = x - (k - np.float32((PINS_ROW - 1) / 2)) * pitch
        dz = z * side - _pin_depth()
        return (length(local / 0.27, (y - PIN_Y) / 0.27, dz / 0.17) - 1) * np.float32(0.17)

    deep = side * _pin_depth()
    return Solid("pin", (-18.2, PIN_Y - 0.3, deep - 0.2), (18.2, PIN_Y + 0.3, deep + 0.2), distance)


PIN_Y = HEIGHT - 1.35


def _pin_depth() -> float:
    return float(depth_at(np.array([PIN_Y], np.float32), False)[0]) + 0.03


def pin_places(lost: Iterable[int]) -> list[tuple[float, float]]:
    return [((k - (PINS_ROW - 1) / 2) * 36.0 / PINS_ROW, PIN_Y) for k in lost]


def lock() -> list[Solid]:
    """A box lock proud of the leather, with its hasp and turning knob."""
    front, y = LOCK_FRONT, HEIGHT - 1.0
    return [
        box("lock", (0, y, front - 0.75), (2.3, 1.55, 0.75), 0.2),
        box("hasp", (0, HEIGHT - 0.25, front + 0.18), (0.85, 1.1, 0.2), 0.16),
        box("hasp", (0, HEIGHT + 0.72, (front + 0.75) / 2), (0.85, 0.16, (front - 0.1) / 2), 0.12),
        ball("hasp", (0, HEIGHT - 1.0, front + 0.36), (0.4, 0.4, 0.25)),
        *[
            ball("pin", (x, v, front), (0.19, 0.19, 0.12))
            for x in (-1.92, 1.92)
            for v in (y + 1.15, y - 1.15)
        ],
    ]


LOCK_FRONT = 4.05


def catches() -> list[Solid]:
    """Left catch as made; the right one is narrower, from another object."""
    made: list[Solid] = []
    for x, wide, tall in ((-11.2, 1.15, 0.95), (11.2, 0.8, 1.1)):
        made.append(box("catch", (x, HEIGHT - 0.85, 3.05), (wide, tall, 0.5), 0.16))
        made.append(
            rod("catch", (x - wide * 0.55, HEIGHT - 0.25, 3.6), (x + wide * 0.55, HEIGHT - 0.25, 3.6), 0.26)
        )
        made.append(box("catch", (x, HEIGHT + 0.72, 1.9), (wide * 0.7, 0.12, 1.4), 0.1))
    return made


def open_front(lost_pins: bool) -> list[Solid]:
    """Lock, catches, handle and pins where the open front jaw carries them."""
    shut = [s for s in [*lock(), *catches()] if s.low[1] < HEIGHT]
    forward = 9.95 - LOCK_FRONT
    row = moved(
        pins(1, LOST_PINS if lost_pins else ()),
        (0, 0, float(depth_at(np.array([PIN_Y], np.float32), True)[0]) + 0.06 - _pin_depth()),
    )
    return [moved(s, (0, 0.1, forward)) for s in shut] + [row, *[moved(s, (0, 0, 7.6)) for s in handle(1.15)]]


def handle(lean: float = 0.0) -> list[Solid]:
    """A stitched leather handle on two rings with chapes, on the front jaw."""
    base, span, rise, z0 = HEIGHT + 1.25, 6.6, 4.6, 1.25

    def grip(x: Grid, y: Grid, z: Grid) -> Grid:
        up = (y - base) * np.float32(span / rise)
        z1 = z - z0 - np.float32(lean) * (y - base)
        thick = 0.62 + 0.42 * np.exp(-((x / 4.2) ** 4))
        arch = length(length(x, np.maximum(up, 0)) - span, z1 * 0.92) - thick
        near = np.float32(rise / span * 0.85 / np.sqrt(1 + lean * lean))
        return (
            np.where(up < -0.5, length(np.abs(x) - span, y - base, z1) - 0.6, arch).astype(np.float32) * near
        )

    solids = [
        Solid(
            "handle",
            (-8, base - 0.8, z0 - 1.4 - abs(lean) * 5),
            (8, base + 6, z0 + 1.4 + abs(lean) * 5),
            grip,
        )
    ]
    for s in (-1, 1):
        solids.append(ring("ring", (s * span, base - 0.15, z0), "x", 0.78, 0.2))
        solids.append(box("chape", (s * span, HEIGHT + 0.75, z0), (1.0, 0.3, 0.95), 0.2))
        solids += [
            ball("pin", (s * span + dx, HEIGHT + 1.05, z0 + 0.62), (0.16, 0.1, 0.16)) for dx in (-0.6, 0.6)
        ]
    return solids


def hanging_key() -> list[Solid]:
    """The new key on a leather thong beside the lock."""
    x, y, z = 4.6, HEIGHT - 5.2, 5.3
    return [
        rod("chape", (5.6, HEIGHT + 1.1, 1.9), (4.8, HEIGHT - 2.6, 4.2), 0.09),
        rod("chape", (4.8, HEIGHT - 2.6, 4.2), (x, y + 0.9, z - 0.35), 0.09),
        ring("key", (x, y + 0.5, z - 0.2), "z", 0.55, 0.12),
        rod("key", (x, y, z - 0.1), (x, y - 2.3, z + 0.55), 0.13),
        box("key", (x + 0.32, y - 2.0, z + 0.47), (0.34, 0.28, 0.08), 0.03),
    ]


def open_frame() -> list[Solid]:
    """The two jaws drawn apart, with the handle laid back over the front edge left off."""
    z = 8.6
    solids = [box("frame", (0, HEIGHT + 0.2, s * z), (18.9, 0.62, 0.85), 0.36) for s in (1, -1)]
    solids += [rod("frame", (s * 18.6, HEIGHT + 0.2, -z), (s * 18.6, HEIGHT + 0.2, z), 0.42) for s in (1, -1)]
    solids += [drum("frame", (s * 18.7, HEIGHT + 0.25, 0), "x", 0.8, 0.5, 0.1) for s in (1, -1)]
    return solids
