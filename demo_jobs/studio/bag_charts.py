"""What is drawn on the sides of the bag: seams, caps, stitches, and what a hundred years left there."""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np

from studio.bag import HEIGHT, LOST_BACK, LOST_PINS, pin_places
from studio.textures import Chart, Path, cloud, stitches

PX = 56


def arc(cx: float, cy: float, r: float, start: float, stop: float, count: int = 24) -> Path:
    angles = np.radians(np.linspace(start, stop, count))
    return [(float(cx + r * np.cos(a)), float(cy + r * np.sin(a))) for a in angles]


def side_seam(sign: int) -> Path:
    return [
        (sign * (18.7 - 1.3 * (y / HEIGHT) ** 2 - 1.0 * (y / HEIGHT)), y)
        for y in np.linspace(1.2, HEIGHT - 0.6, 30)
    ]


@cache
def broad_side(back: bool, worn: bool) -> Chart:
    """Front or back panel: u is x, v is y."""
    chart = Chart.blank(-21, -0.5, 42, 24.5, PX)
    lost = ((0.04, 0.26),) if worn and not back else ()
    for sign in (-1, 1):
        for off in (0.0, 0.55):
            path = [(x - sign * off, y) for x, y in side_seam(sign)]
            stitches(chart, path, 0.36, 0.09, lost if sign == 1 and off == 0 else ())
        chart.line("welt", [(x + sign * 0.55, y) for x, y in side_seam(sign)], 0.42, 1.0, 0.06)
        _corner_cap(chart, sign)
    stitches(chart, [(-17.6, 2.55), (17.6, 2.55)], 0.36, 0.09)
    chart.line("crease", [(-18.2, 2.95), (18.2, 2.95)], 0.09, 1.0, 0.03)
    top = [(x, HEIGHT - 2.25) for x in np.linspace(-17.0, 17.0, 20)]
    chart.line("crease", top, 0.09, 1.0, 0.03)
    _age(chart, back, worn)
    for u, v in pin_places(LOST_BACK if back else LOST_PINS) if worn else ():
        chart.spot("rust", u, v, 0.33, 0.8, 0.08)
        chart.spot("hole", u, v, 0.11, 1.0, 0.015)
    return _heights(chart)


def _corner_cap(chart: Chart, sign: int) -> None:
    edge = [(sign * x, y) for x, y in arc(21, -1, 6.6, 88, 182)]
    chart.area("cap", [*edge, (sign * 21, -0.5)], 1.0, 0.05)
    seam = [(sign * x, y) for x, y in arc(21, -1, 6.2, 98, 166)]
    stitches(chart, seam, 0.36, 0.09)


def _age(chart: Chart, back: bool, worn: bool) -> None:
    """Scratches and the tide line stay to be seen after the work; scuffs and cracks mostly before it."""
    rng = np.random.default_rng(77 if back else 55)
    for _ in range(46):
        u, v = rng.uniform(-17, 17), rng.uniform(3, 19)
        turn, run = rng.normal(0.2, 0.5), rng.uniform(0.4, 3.8)
        bow = [
            (u + run * t * np.cos(turn), v + run * t * np.sin(turn) + 0.15 * t * t)
            for t in np.linspace(0, 1, 8)
        ]
        chart.line("scratch", bow, 0.02, rng.uniform(0.15, 0.8), 0.012)
    for _ in range(34 if worn else 10):
        u, v = rng.uniform(-18.5, 18.5), rng.uniform(0.2, 20) ** 1.0
        near = 0.35 + 0.65 * (abs(u) > 14 or v < 4)
        chart.spot(
            "scuff", u, v, rng.uniform(0.1, 0.7) * near, rng.uniform(0.25, 0.6) * near, rng.uniform(0.15, 0.4)
        )
    for sign in (-1, 1):
        chart.spot("scuff", sign * 19.2, 0.8, 1.5, 0.95 if worn else 0.35, 0.55)
    if not back:
        _tide_line(chart)
        _fold_cracks(chart, rng, worn)


def _tide_line(chart: Chart) -> None:
    """A water stain on the lower left of the front, with its darker rim."""
    height, width = chart.shape
    line, column = np.mgrid[0:height, 0:width].astype(np.float32)
    u = column / chart.per_cm + chart.left
    v = chart.bottom + chart.height - line / chart.per_cm
    wave = cv2.resize(cloud(2.6, 61)[:512, :1024], (width, height))
    far = np.hypot((u + 12.5) / 5.6, (v - 3.5) / 4.6) + 0.11 * wave
    chart.layers["stain"] = (
        np.clip((1.02 - far) * 8, 0, 1) * 0.45 + np.exp(-(((far - 1.0) / 0.035) ** 2)) * 0.75
    ).astype(np.float32)


def _fold_cracks(chart: Chart, rng: np.random.Generator, worn: bool) -> None:
    """Fine cracks where the front folds under the frame."""
    for _ in range(150):
        u, v = rng.normal(3, 7.5), HEIGHT - 3.0 - abs(rng.normal(0, 0.9))
        run = rng.uniform(0.3, 1.5)
        bow = [(u + run * t, v + rng.normal(0, 0.03)) for t in np.linspace(0, 1, 7)]
        chart.line("crack", bow, 0.025, rng.uniform(0.3, 1.0) * (1.0 if worn else 0.35), 0.008)


@cache
def end_side(worn: bool) -> Chart:
    """An end: u is z, v is y."""
    chart = Chart.blank(-11, -0.5, 22, 24.5, PX)
    chart.line("crease", [(0, 3.5), (0, HEIGHT)], 0.12, 1.0, 0.05)
    for sign in (-1, 1):
        path = [(sign * (8.0 - 5.9 * (y / HEIGHT) ** 1.7), y) for y in np.linspace(1.2, HEIGHT - 1, 24)]
        stitches(chart, path, 0.36, 0.09)
        edge = [(sign * z, y) for z, y in arc(10, -1, 5.4, 88, 182)]
        chart.area("cap", [*edge, (sign * 11, -0.5)], 1.0, 0.05)
        chart.spot("scuff", sign * 8.4, 0.8, 1.4, 0.95 if worn else 0.3, 0.5)
    rng = np.random.default_rng(91)
    for _ in range(90):
        z, y = rng.normal(0, 1.6), rng.uniform(4, 21)
        path = [(z + rng.normal(0, 0.05), y + t) for t in np.linspace(0, rng.uniform(0.3, 1.6), 6)]
        chart.line("crack", path, 0.025, rng.uniform(0.3, 1) * (1 if worn else 0.3), 0.008)
    return _heights(chart)


@cache
def base_side(worn: bool) -> Chart:
    """The base: u is x, v is z."""
    chart = Chart.blank(-21, -11, 42, 22, PX)
    path: Path = [(-17.5, -6.8), (17.5, -6.8), (17.5, 6.8), (-17.5, 6.8), (-17.5, -6.8)]
    stitches(chart, path, 0.36, 0.09)
    for sx in (-1, 1):
        for sz in (-1, 1):
            edge = [(sx * x, sz * z) for x, z in arc(20.2, 9.3, 5.6, 178, 272)]
            chart.area("cap", [*edge, (sx * 21, sz * 11)], 1.0, 0.05)
            stitches(chart, [(sx * x, sz * z) for x, z in arc(20.2, 9.3, 5.2, 190, 260)], 0.36, 0.09)
            strong = 0.95 if worn and (sx, sz) != (-1, 1) else 0.35
            chart.spot("scuff", sx * 19.0, sz * 8.0, 1.7, strong, 0.5)
    rng = np.random.default_rng(13)
    for _ in range(120):
        u, w, turn, run = rng.uniform(-17, 17), rng.uniform(-7, 7), rng.normal(0, 0.35), rng.uniform(0.5, 4)
        chart.line(
            "scratch",
            [(u, w), (u + run * np.cos(turn), w + run * np.sin(turn))],
            0.03,
            rng.uniform(0.2, 0.9),
            0.012,
        )
    if worn:
        chart.area("tear", [(18.6, 7.1), (19.9, 6.6), (20.2, 8.2), (19.2, 9.2), (18.4, 8.3)], 1.0, 0.04)
    return _heights(chart)


def _heights(chart: Chart) -> Chart:
    """All drawn layers as one height in cm."""
    depth = {
        "thread": 0.035,
        "hole": -0.035,
        "welt": 0.11,
        "cap": 0.13,
        "crease": -0.06,
        "crack": -0.012,
        "scratch": -0.006,
        "tear": -0.07,
    }
    total = chart.layer("height")
    for name, cm in depth.items():
        if name in chart.layers:
            total += np.float32(cm) * chart.layers[name]
    return chart
