"""The photographs of the doctor's bag, in the order they were taken."""

from __future__ import annotations

from studio import bag, bag_inside, bench
from studio.bag_inside import Inside
from studio.bag_surfaces import bag_surfaces
from studio.lens import Lens
from studio.light import Studio
from studio.rays import Camera
from studio.room import felt, paper, scale_bar, sweep, table
from studio.shots import Scene, Shot

FLOOR = -0.62
DULL = Studio(key=1.55, fill=0.56, warm=(1.0, 1.0, 0.97))
CLEAR = Studio(sun=(-0.62, 0.8, 0.6), key=1.85, fill=0.46)
ABOVE = Studio(sun=(-0.35, 1.0, 0.75), fill=0.66)
LYING = Studio(sun=(-0.55, -0.5, 0.85), up=(0.0, 0.0, 1.0), fill=0.55)


def shut(worn: bool, scale: tuple[float, float] | None = (-16.0, 13.0), cm: int = 10) -> Scene:
    solids = [sweep(FLOOR, -45), *bag.bag(lost_pins=worn, key=not worn)]
    surfaces = {**bag_surfaces(worn), "paper": paper()}
    if scale:
        bar, surfaces["scale"] = scale_bar(scale[0], FLOOR, scale[1], cm)
        solids.append(bar)
    return solids, surfaces


def from_behind(worn: bool) -> Scene:
    bar, look = scale_bar(-22.0, FLOOR, -13.0)
    solids = [table(FLOOR), bar, *bag.bag(lost_pins=worn, key=not worn)]
    return solids, {**bag_surfaces(worn), "paper": paper(), "scale": look}


def on_its_back(worn: bool) -> Scene:
    solids = [table(-10.4, "z"), *bag.bag(lost_pins=worn)]
    return solids, {**bag_surfaces(worn), "paper": paper()}


def opened(state: Inside) -> Scene:
    worn = state in ("came", "bare")
    bar, look = scale_bar(-22.0, FLOOR, 17.5)
    solids = [sweep(FLOOR, -60), bar, *bag.bag(open_=True, lost_pins=state != "new"), bag_inside.lining()]
    surfaces = {**bag_surfaces(worn), **bag_inside.surfaces(state), "paper": paper(), "scale": look}
    return [*solids, *bag_inside.fitted(state)], surfaces


def on_bench(laid: Scene, cloth: bool, scale: tuple[float, float], cm: int = 10) -> Scene:
    bar, look = scale_bar(scale[0], 0.0, scale[1], cm)
    ground = felt((0.10, 0.12, 0.115)) if cloth else paper((0.50, 0.50, 0.49))
    return [table(0.0), bar, *laid[0]], {**laid[1], "paper": ground, "scale": look}


def _cam(
    place: tuple[float, float, float], at: tuple[float, float, float], view: float, roll: float = 0.0
) -> Camera:
    return Camera(place, at, view, roll=roll)


BEFORE = [
    Shot(
        "IMG_20260309_101204.jpg",
        "2026-03-09T10:12:04.310+01:00",
        lambda: shut(True),
        _cam((-38, 38, 92), (-1.0, 11.2, 0), 29),
        Lens(100, 0.6, balance=(1.0, 1.0, 0.97)),
        DULL,
    ),
    Shot(
        "IMG_20260309_101341.jpg",
        "2026-03-09T10:13:41.877+01:00",
        lambda: from_behind(True),
        _cam((-34, 34, -94), (1.0, 11.4, 0), 29),
        Lens(100, 0.6),
        Studio(sun=(0.5, 0.8, -0.7), key=1.55, fill=0.56),
    ),
    Shot(
        "IMG_20260309_101522.jpg",
        "2026-03-09T10:15:22.054+01:00",
        lambda: on_its_back(True),
        Camera((-16, -66, 50), (0, 3, -1), 32, up=(0, 0, 1)),
        Lens(82, 0.5),
        LYING,
    ),
    Shot(
        "IMG_20260309_101710.jpg",
        "2026-03-09T10:17:10.642+01:00",
        lambda: opened("came"),
        _cam((5, 84, 46), (0, 12.5, -0.5), 32.5),
        Lens(86, 0.5),
        ABOVE,
        turn=3,
    ),
    Shot(
        "IMG_20260309_101958.jpg",
        "2026-03-09T10:19:58.118+01:00",
        lambda: shut(True, None),
        _cam((88, 27, 26), (0, 14, 0), 21.0),
        Lens(84, 0.6),
        Studio(sun=(0.75, 0.8, 0.7), key=1.5),
        upright=True,
        turn=6,
    ),
    Shot(
        "IMG_20260311_092233.jpg",
        "2026-03-11T09:22:33.502+01:00",
        lambda: shut(True, None),
        _cam((-7, 33, 36), (0.5, 22.6, 2.5), 26),
        Lens(35, 1.2),
        DULL,
    ),
    Shot(
        "IMG_20260311_092415.jpg",
        "2026-03-11T09:24:15.239+01:00",
        lambda: shut(True, (8.0, 13.5)),
        _cam((32, 13, 42), (16.6, 4.4, 5.5), 24),
        Lens(42, 1.1),
        Studio(sun=(0.15, 0.8, 0.8), key=1.6),
    ),
    Shot(
        "IMG_20260311_092602.jpg",
        "2026-03-11T09:26:02.771+01:00",
        lambda: shut(True, None),
        _cam((19, 27.2, 34), (2.2, 26.0, 1.2), 25),
        Lens(37, 1.1),
        DULL,
    ),
    Shot(
        "IMG_20260311_092744.jpg",
        "2026-03-11T09:27:44.420+01:00",
        lambda: shut(True, None),
        _cam((-1.5, 24, 19), (0, 21.5, 3.2), 20),
        Lens(16, 1.0),
        Studio(sun=(-0.8, 0.7, 0.45), key=1.5),
    ),
    Shot(
        "IMG_20260311_093011.jpg",
        "2026-03-11T09:30:11.908+01:00",
        lambda: opened("came"),
        _cam((-6.2, 27.5, 4.2), (-7.2, 12.4, -7.7), 30),
        Lens(18.5, 0.9),
        ABOVE,
        wide_colours=True,
    ),
    Shot(
        "IMG_20260311_093140.jpg",
        "2026-03-11T09:31:40.066+01:00",
        lambda: opened("came"),
        _cam((-0.2, 24.5, 1.5), (-0.9, 15.4, -7.7), 27),
        Lens(12.6, 0.9),
        ABOVE,
    ),
]

DURING = [
    Shot(
        "IMG_20260407_141930.jpg",
        "2026-04-07T14:19:30.615+02:00",
        lambda: opened("bare"),
        _cam((4, 85, 45), (0, 12.5, -0.5), 32.5),
        Lens(86, 0.5),
        ABOVE,
        position=True,
    ),
    Shot(
        "IMG_20260407_142212.jpg",
        "2026-04-07T14:22:12.190+02:00",
        lambda: opened("bare"),
        _cam((3.0, 62, 9), (5.5, 9.5, -7.5), 23),
        Lens(56, 0.7),
        ABOVE,
    ),
    Shot(
        "IMG_20260408_101005.jpg",
        "2026-04-08T10:10:05.733+02:00",
        lambda: on_bench(bench.old_lining(), False, (-21, 13.5)),
        _cam((0, 74, 26), (0, 0, 1.5), 33),
        Lens(78, 0.3),
        Studio(sun=(-0.7, 0.9, -0.3), fill=0.62),
    ),
    Shot(
        "scan_lining_pattern.png",
        "",
        lambda: on_bench(bench.old_lining(), False, (-14, 60)),
        _cam((-9.4, 60, -6.3), (-9.4, 0, -6.5), 16.5),
        Lens(60, 0.0, noise=0.3, vignette=0.0),
        Studio(sun=(-0.2, 1, 0.1), key=1.0, fill=1.3),
        flat_scan=True,
    ),
    Shot(
        "IMG_20260414_083352.jpg",
        "2026-04-14T08:33:52.284+02:00",
        lambda: on_bench(bench.frame_parts(False), True, (5.5, 6.4)),
        _cam((-4, 52, 36), (0, 0, 0.9), 34),
        Lens(62, 0.5),
        Studio(sun=(-0.5, 0.9, -0.5), fill=0.6),
    ),
    Shot(
        "IMG_20260430_160718.jpg",
        "2026-04-30T16:07:18.447+02:00",
        lambda: on_bench(bench.frame_parts(True), True, (5.5, 6.4)),
        _cam((-2, 53, 35), (0, 0, 0.9), 34),
        Lens(62, 0.5),
        Studio(sun=(-0.5, 0.9, -0.45), fill=0.6),
    ),
    Shot(
        "IMG_20260506_094821.jpg",
        "2026-05-06T09:48:21.902+02:00",
        lambda: opened("boarded"),
        _cam((3, 85, 46), (0, 12.5, -0.5), 32.5),
        Lens(86, 0.5),
        ABOVE,
    ),
    Shot(
        "IMG_20260520_111547.jpg",
        "2026-05-20T11:15:47.356+02:00",
        lambda: on_bench(bench.pins_side_by_side(), True, (-5.2, 3.6)),
        _cam((0.5, 19, 10.5), (0.5, 0, 0.9), 36),
        Lens(21, 0.8),
        Studio(sun=(-0.6, 0.9, -0.5), fill=0.6),
    ),
]

AFTER = [
    Shot(
        "IMG_20260612_150336.jpg",
        "2026-06-12T15:03:36.129+02:00",
        lambda: shut(False),
        _cam((-37, 39, 93), (-1.0, 11.2, 0), 29),
        Lens(100, 0.6),
        CLEAR,
    ),
    Shot(
        "IMG_20260612_150502.jpg",
        "2026-06-12T15:05:02.581+02:00",
        lambda: from_behind(False),
        _cam((-32, 35, -95), (1.0, 11.4, 0), 29),
        Lens(100, 0.6),
        Studio(sun=(0.55, 0.8, -0.65), key=1.8, fill=0.48),
    ),
    Shot(
        "IMG_20260612_150633.jpg",
        "2026-06-12T15:06:33.013+02:00",
        lambda: on_its_back(False),
        Camera((-14, -67, 50), (0, 3, -1), 32, up=(0, 0, 1)),
        Lens(82, 0.5),
        LYING,
    ),
    Shot(
        "IMG_20260612_150829.jpg",
        "2026-06-12T15:08:29.748+02:00",
        lambda: opened("new"),
        _cam((6, 84, 47), (0, 12.5, -0.5), 32.5),
        Lens(86, 0.5),
        ABOVE,
    ),
    Shot(
        "IMG_20260612_151144.jpg",
        "2026-06-12T15:11:44.205+02:00",
        lambda: shut(False, None),
        _cam((-6.4, 33.5, 36.2), (0.5, 22.6, 2.5), 26),
        Lens(35, 1.2),
        CLEAR,
    ),
    Shot(
        "IMG_20260612_151318.jpg",
        "2026-06-12T15:13:18.690+02:00",
        lambda: shut(False, (8.0, 13.5)),
        _cam((31.4, 13.4, 42.5), (16.6, 4.4, 5.5), 24),
        Lens(42, 1.1),
        Studio(sun=(0.1, 0.8, 0.8), key=1.8),
    ),
    Shot(
        "IMG_20260612_151450.jpg",
        "2026-06-12T15:14:50.334+02:00",
        lambda: shut(False, None),
        _cam((18.4, 27.6, 34.4), (2.2, 26.0, 1.2), 25),
        Lens(37, 1.1),
        CLEAR,
    ),
]

SHOTS = [*BEFORE, *DURING, *AFTER]
