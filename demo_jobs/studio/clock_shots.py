"""The photographs of the mantel clock, in the order they were taken."""

from __future__ import annotations

from studio import bench, bench_small, clock
from studio.bag_shots import on_bench
from studio.clock_surfaces import clock_surfaces, veneer
from studio.lens import Lens
from studio.light import Studio
from studio.rays import Camera
from studio.room import paper, scale_bar, sweep, table
from studio.shots import Scene, Shot

DULL = Studio(key=1.6, fill=0.5, warm=(1.0, 1.0, 0.97))
CLEAR = Studio(sun=(-0.62, 0.78, 0.62), key=1.85, fill=0.44)
BEHIND = Studio(sun=(0.5, 0.8, -0.7), key=1.65, fill=0.55)
TOP = Studio(sun=(-0.5, 0.9, -0.5), fill=0.6)


def front(worn: bool, scale: tuple[float, float] | None = (-5.5, 12.5)) -> Scene:
    solids = [sweep(0.0, -42), *clock.clock(worn)]
    surfaces = {**clock_surfaces(worn), "paper": paper((0.40, 0.405, 0.41))}
    if scale:
        bar, surfaces["scale"] = scale_bar(scale[0], 0.0, scale[1])
        solids.append(bar)
    return solids, surfaces


def back(worn: bool) -> Scene:
    bar, look = scale_bar(-5.5, 0.0, -12.0)
    solids = [table(0.0), bar, *clock.clock(worn, back=True)]
    return solids, {**clock_surfaces(worn), "paper": paper((0.40, 0.405, 0.41)), "scale": look}


def piece_let_in() -> Scene:
    solids, surfaces = front(True, None)
    return solids, {**surfaces, "veneer": veneer(False, raw=True)}


def tablet() -> Scene:
    solids, surfaces = bench.plaque()
    return solids, surfaces


def _cam(place: tuple[float, float, float], at: tuple[float, float, float], view: float) -> Camera:
    return Camera(place, at, view)


BEFORE = [
    Shot(
        "P1040211.JPG",
        "2026-01-19T09:41:07.22+01:00",
        lambda: front(True),
        _cam((-15, 23, 92), (0, 16.6, 0), 19.5),
        Lens(88, 0.5),
        DULL,
        upright=True,
        turn=6,
    ),
    Shot(
        "P1040212.JPG",
        "2026-01-19T09:42:31.80+01:00",
        lambda: front(True, (4.0, 13.0)),
        _cam((52, 30, 74), (1.0, 13.6, 0), 32.5),
        Lens(90, 0.5),
        DULL,
    ),
    Shot(
        "P1040214.JPG",
        "2026-01-19T09:45:12.05+01:00",
        lambda: back(True),
        _cam((-13, 25, -92), (0, 16.2, 0), 19.5),
        Lens(88, 0.5),
        BEHIND,
        upright=True,
        turn=8,
    ),
    Shot(
        "P1040219.JPG",
        "2026-01-22T14:03:44.61+01:00",
        lambda: front(True, None),
        _cam((-3.5, 22.5, 38), (0, 19.4, 6.8), 27),
        Lens(31, 0.8),
        DULL,
    ),
    Shot(
        "P1040220.JPG",
        "2026-01-22T14:05:02.37+01:00",
        lambda: front(True, None),
        _cam((7.0, 11.5, 30), (3.4, 7.2, 6.5), 27),
        Lens(24.5, 0.9),
        DULL,
    ),
    Shot(
        "P1040221.JPG",
        "2026-01-22T14:06:19.94+01:00",
        lambda: front(True, None),
        _cam((14, 21.5, 26), (8.3, 16.8, 7.0), 25),
        Lens(21, 1.0),
        DULL,
    ),
    Shot(
        "P1040222.JPG",
        "2026-01-22T14:07:55.48+01:00",
        lambda: front(True, None),
        _cam((-14, 40, 42), (0, 29.5, 1.5), 25),
        Lens(44, 1.0),
        DULL,
    ),
    Shot(
        "P1040223.JPG",
        "2026-01-22T14:09:28.16+01:00",
        lambda: front(True, None),
        _cam((-17, 10, 32), (-8.6, 3.6, 6.5), 27),
        Lens(28, 0.9),
        DULL,
    ),
    Shot(
        "P1040225.JPG",
        "2026-01-22T14:12:40.73+01:00",
        lambda: back(True),
        _cam((-2.5, 18.5, -28), (0.2, 18.2, -5), 25),
        Lens(23.5, 0.9),
        BEHIND,
    ),
    Shot(
        "P1040226.JPG",
        "2026-01-22T14:15:03.90+01:00",
        lambda: on_bench(bench.label_in_door(), False, (-5.5, 11.2)),
        _cam((0, 38, 9), (0, 0, 1.3), 35),
        Lens(39, 0.3, exposure=0.8),
        Studio(sun=(-0.7, 0.9, -0.1), fill=0.62),
        wide_colours=True,
    ),
    Shot(
        "P1040227.JPG",
        "2026-01-22T14:17:26.55+01:00",
        tablet,
        _cam((-2.0, 1.6, 17), (0, 0, 0), 36),
        Lens(17, 0.8),
        Studio(sun=(-0.7, 0.6, 0.6), key=1.5),
    ),
]

DURING = [
    Shot(
        "P1040251.JPG",
        "2026-02-17T10:20:15.02+01:00",
        lambda: on_bench(bench.wheels_laid_out(True), True, (-11.0, 8.3)),
        _cam((0, 30, 16), (0.6, 0, 0.9), 44),
        Lens(34, 0.5),
        TOP,
    ),
    Shot(
        "P1040252.JPG",
        "2026-02-17T16:44:52.13+01:00",
        lambda: on_bench(bench_small.small_parts(), True, (-9.6, 5.9)),
        _cam((-1.0, 25, 14), (-0.7, 0, 1.0), 40),
        Lens(28, 0.6),
        TOP,
    ),
    Shot(
        "P1040263.JPG",
        "2026-02-24T15:48:37.68+01:00",
        piece_let_in,
        _cam((6.6, 11.8, 30.2), (3.4, 7.2, 6.5), 27),
        Lens(24.5, 0.9),
        DULL,
        position=True,
    ),
    Shot(
        "P1040270.JPG",
        "2026-03-05T11:07:58.31+01:00",
        lambda: on_bench(bench.new_beside_pattern(), False, (-4.6, 4.2)),
        _cam((1, 10, 26), (0.6, 1.8, 0), 31),
        Lens(27, 0.8),
        Studio(sun=(-0.6, 0.7, 0.5), fill=0.5),
    ),
    Shot(
        "P1040277.JPG",
        "2026-03-18T16:31:09.44+01:00",
        lambda: on_bench(bench.wheels_laid_out(False), True, (-11.0, 8.3)),
        _cam((0.4, 30, 16.3), (0.6, 0, 0.9), 44),
        Lens(34, 0.5),
        TOP,
    ),
]

AFTER = [
    Shot(
        "P1040301.JPG",
        "2026-04-21T13:12:20.17+02:00",
        lambda: front(False, None),
        _cam((-32, 26, 84), (-1.0, 17.4, 0), 34),
        Lens(88, 0.5),
        CLEAR,
    ),
    Shot(
        "P1040302.JPG",
        "2026-04-21T13:14:02.59+02:00",
        lambda: front(False),
        _cam((-14, 23.5, 93), (0, 16.9, 0), 20.5),
        Lens(88, 0.5),
        CLEAR,
        upright=True,
    ),
    Shot(
        "P1040303.JPG",
        "2026-04-21T13:15:47.03+02:00",
        lambda: back(False),
        _cam((-12, 25.5, -93), (0, 16.6, 0), 19.5),
        Lens(88, 0.5),
        BEHIND,
        upright=True,
        turn=6,
    ),
    Shot(
        "P1040304.JPG",
        "2026-04-21T13:17:11.85+02:00",
        lambda: front(False, None),
        _cam((-3.0, 22.9, 38.3), (0, 19.4, 6.8), 27),
        Lens(31, 0.8),
        CLEAR,
    ),
    Shot(
        "P1040305.JPG",
        "2026-04-21T13:18:33.26+02:00",
        lambda: front(False, None),
        _cam((6.5, 11.9, 30.3), (3.4, 7.2, 6.5), 27),
        Lens(24.5, 0.9),
        CLEAR,
    ),
    Shot(
        "P1040306.JPG",
        "2026-04-21T13:19:50.70+02:00",
        lambda: front(False, None),
        _cam((13.6, 21.9, 26.3), (8.3, 16.8, 7.0), 25),
        Lens(21, 1.0),
        CLEAR,
    ),
    Shot(
        "P1040307.JPG",
        "2026-04-21T13:21:05.92+02:00",
        lambda: front(False, None),
        _cam((-13.5, 41, 42.5), (0, 30.3, 1.5), 25),
        Lens(44, 1.0),
        CLEAR,
    ),
]

SHOTS = [*BEFORE, *DURING, *AFTER]
