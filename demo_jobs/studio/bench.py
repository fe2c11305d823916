"""Things laid out on the bench: pieces taken out, parts between two hands, new beside old."""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np

from studio import bag_inside, bag_surfaces, clock_surfaces
from studio.clock import CAPITAL, URN, hand, wheel
from studio.light import Finish, Patch, Relief, Surface, mixed, toned
from studio.metal import brass, plain, steel
from studio.solids import Solid, Stencil, ball, box, cut_out, drum, hollowed, ring, rod, turned
from studio.textures import Chart, cloud, lay

Scene = tuple[list[Solid], dict[str, Surface]]


@cache
def ragged(width: float, height: float, seed: int, rough: float = 0.25) -> Stencil:
    """A piece of cloth or board with a torn outline."""
    px = 40
    mask = np.zeros((round((height + 2) * px), round((width + 2) * px)), np.uint8)
    line, column = np.mgrid[0 : mask.shape[0], 0 : mask.shape[1]].astype(np.float32)
    u, v = np.abs(column / px - width / 2 - 1), np.abs(line / px - height / 2 - 1)
    wave = cv2.resize(cloud(2.0, seed)[:512, :512], (mask.shape[1], mask.shape[0]))
    inside = np.maximum(u - width / 2, v - height / 2) + rough * np.abs(wave) < 0
    return Stencil.of(np.where(inside, 255, 0).astype(np.uint8), px)


def old_lining() -> Scene:
    """The old lining in its pieces, laid flat with the broken board."""
    solids = [
        cut_out("cloth", ragged(21, 12, 501, 0.5), (-9.5, 0.06, -6.5), 0.12, 0.05),
        cut_out("cloth", ragged(19, 10, 502, 0.6), (12.5, 0.06, -7.5), 0.12, -0.09),
        cut_out("cloth", ragged(15, 7, 503, 0.7), (-11.5, 0.06, 6.5), 0.12, -0.04),
        cut_out("board", ragged(10.5, 10.5, 504, 0.3), (4.2, 0.14, 6.8), 0.28, 0.16),
        cut_out("board", ragged(8.5, 10.0, 505, 0.35), (15.8, 0.14, 6.6), 0.28, -0.1),
    ]
    return solids, {
        "cloth": bag_inside.cloth("came"),
        "board": plain((0.28, 0.215, 0.14), 0.9, 0.02, 0.008, 511),
    }


def frame_parts(plated: bool) -> Scene:
    """The two jaws of the frame with catches' tongues and hinge pins, off the bag."""
    solids: list[Solid] = []
    for z in (-4.5, 1.5):
        bar = box("frame", (0, 0.55, z), (18.2, 0.5, 1.1), 0.34)
        slots = [box("frame", (x, 0.9, z), (0.9, 0.8, 0.28), 0.1) for x in (-11.2, 0.0, 11.2)]
        solids += [hollowed(bar, *slots)]
    solids += [drum("frame", (x, 0.75, 6.2), "x", 0.72, 1.7, 0.2) for x in (-14.5, -9.5)]
    solids += [ring("frame", (x, 0.3, 6.3), "y", 0.85, 0.22) for x in (-4.8, -1.8)]
    solids += [rod("frame", (x, 0.3, 5.4), (x + 0.9, 0.3, 7.2), 0.22) for x in (1.8, 4.0)]
    surface = brass(0.03, 0.0, 20, brushed=0.13) if plated else bag_surfaces.worn_plating()
    return solids, {"frame": surface}


def pins_side_by_side() -> Scene:
    """Nine old pins, bent and broken, and above them the nine new ones; the new key on the right."""
    rng = np.random.default_rng(521)
    solids: list[Solid] = []
    for k in range(9):
        x = -4.8 + k * 0.95
        solids += _pin("new", x, -1.2, 0.0)
        solids += _pin("old", x + rng.uniform(-0.05, 0.05), 1.1, rng.uniform(-0.55, 0.55))
    solids += [
        ring("new", (5.6, 0.14, -1.4), "y", 0.55, 0.12),
        rod("new", (5.6, 0.14, -0.85), (5.6, 0.14, 1.6), 0.13),
    ]
    solids += [box("new", (5.98, 0.14, 1.25), (0.34, 0.07, 0.28), 0.03)]
    return solids, {"new": brass(0.08, 0.0, 531), "old": brass(0.8, 0.3, 532)}


def _pin(surface: str, x: float, z: float, bend: float) -> list[Solid]:
    """A dome-headed pin lying on its side, its shank away from the camera."""
    return [
        ball(surface, (x, 0.26, z + 0.12), (0.27, 0.27, 0.16)),
        rod(surface, (x, 0.24, z), (x + bend * 0.25, 0.16, z - 0.45), 0.05),
        rod(surface, (x + bend * 0.25, 0.16, z - 0.45), (x + bend, 0.1, z - 0.85), 0.042),
    ]


def wheels_laid_out(worn: bool) -> Scene:
    """The movement in its parts on a cloth, in the order they came off."""
    solids: list[Solid] = []
    for x, z, teeth, r in (
        (-9, -5.0, 80, 2.0),
        (-4.6, -5.3, 64, 1.6),
        (-0.8, -5.4, 60, 1.35),
        (2.4, -5.4, 54, 1.1),
    ):
        solids += _arbor(x, z, wheel(teeth, r), r)
    for x, z, teeth, r in (
        (-9, 0.0, 80, 2.0),
        (-4.6, 0.0, 64, 1.6),
        (-0.9, -0.2, 48, 1.2),
        (1.9, -0.3, 40, 0.95),
    ):
        solids += _arbor(x, z, wheel(teeth, r), r)
    solids += [drum("barrel", (x, 0.85, 4.9), "y", 1.85, 0.85, 0.08) for x in (-9.2, -4.6)]
    solids += [drum("steelwork", (x, 1.75, 4.9), "y", 0.3, 0.3, 0.05) for x in (-9.2, -4.6)]
    plate = drum("plate", (8.0, 0.14, -3.2), "y", 4.6, 0.13, 0.03)
    holes = [
        drum("plate", (8.0 + u, 0.2, -3.2 + v), "y", r, 0.5)
        for u, v, r in (
            (1.9, 1.2, 0.32),
            (-1.9, 1.2, 0.32),
            (0, -1.4, 0.14),
            (-1.4, -2.2, 0.12),
            (1.5, -2.3, 0.12),
            (3.7, 0.4, 0.16),
            (-3.7, 0.4, 0.16),
            (0.1, 3.6, 0.16),
        )
    ]
    solids.append(hollowed(plate, *holes))
    solids += [
        hollowed(
            ball("bell", (8.2, 0.0, 5.2), (2.6, 1.7, 2.6)), drum("bell", (8.2, -1.0, 5.2), "y", 3.0, 1.0)
        )
    ]
    solids += [
        rod("steelwork", (-1.6, 0.2, 4.0), (3.6, 0.2, 4.5), 0.1),
        ball("bell", (3.9, 0.3, 4.55), (0.36, 0.36, 0.36)),
    ]
    solids += [drum("screw", (-1.6 + k * 0.8, 0.16, 6.4), "y", 0.26, 0.16, 0.04) for k in range(8)]
    return solids, clock_surfaces.clock_surfaces(worn)


def _arbor(x: float, z: float, stencil: Stencil, r: float) -> list[Solid]:
    return [
        cut_out("wheelwork", stencil, (x, 0.42, z), 0.14, 0.3 * x, "y"),
        drum("steelwork", (x, 0.55, z), "y", 0.13, 0.55, 0.03),
        drum("steelwork", (x, 0.72, z), "y", 0.28, 0.18, 0.03),
    ]


def new_beside_pattern() -> Scene:
    """The new finial as turned, the old capital and the one cast after it, and the old hands' pin."""
    solids = [
        turned("raw", (-4.2, 0, 0.2), URN),
        turned("old", (1.4, 0, 0), CAPITAL),
        turned("new", (5.4, 0, 0.3), CAPITAL),
    ]
    return solids, {
        "raw": clock_surfaces.solid_wood(False, 1.75, 321),
        "old": brass(0.82, 0.3, 341),
        "new": brass(0.03, 0.0, 541, brushed=0.28),
    }


def label_in_door() -> Scene:
    """The paper label inside the back door, as found and kept."""
    solids: list[Solid] = [
        box("door", (0, 0.3, 0), (11, 0.3, 8.5), 0.1),
        box("paperlabel", (0, 0.605, 0), (7.2, 0.012, 4.9), 0.005),
    ]
    return solids, {"door": plain((0.21, 0.13, 0.07), 0.7, 0.03, 0.01, 551), "paperlabel": paper_label()}


@cache
def label_chart() -> Chart:
    chart = Chart.blank(-7.2, -4.9, 14.4, 9.8, 110)
    script, print_ = cv2.FONT_HERSHEY_SCRIPT_COMPLEX, cv2.FONT_HERSHEY_TRIPLEX
    for x, y in ((6.9, 4.6), (6.7, 4.4)):
        chart.line("ink", [(-x, -y), (x, -y), (x, y), (-x, y), (-x, -y)], 0.05 if x > 6.8 else 0.03)
    chart.words("ink", "JONAS AVERIN", -4.9, 2.6, 0.92, 0.08, print_)
    chart.words("ink", "UHRMACHER", -2.35, 1.55, 0.5, 0.045, print_)
    chart.words("ink", "BRANNWALD  -  OBERE GASSE 4", -4.0, 0.72, 0.34, 0.036, cv2.FONT_HERSHEY_DUPLEX)
    chart.line("ink", [(-5.9, 0.2), (5.9, 0.2)], 0.03)
    chart.words("pen", "No. 4418", -5.7, -1.2, 0.95, 0.05, script)
    chart.words("pen", "gereinigt 3. V. 1938", -5.6, -2.55, 0.72, 0.042, script)
    chart.words("pen", "Feder neu  XI. 1962", -5.6, -3.75, 0.72, 0.042, script)
    return chart


def paper_label() -> Surface:
    def surface(p: Patch) -> Finish:
        chart = label_chart()
        u, v = p.x, -p.z
        slow, fine = lay(cloud(2.4, 561), u, v, 30.0, p.foot), lay(cloud(1.2, 562), u, v, 60.0, p.foot)
        colour = toned(p, (0.60, 0.50, 0.34)) * (1 + 0.09 * slow + 0.03 * fine)[:, None]
        foxed = np.clip(lay(cloud(1.5, 563), u, v, 34.0, p.foot) - 1.7, 0, 1)
        colour = mixed(colour, (0.33, 0.19, 0.08), foxed * 0.8)
        far = np.hypot((u - 6.2) / 3.4, (v + 3.8) / 3.0) + 0.06 * slow
        tide = np.clip((1 - far) * 6, 0, 1) * 0.35 + np.exp(-(((far - 1) / 0.04) ** 2)) * 0.6
        colour = mixed(colour, (0.30, 0.19, 0.09), tide * 0.7)
        colour = mixed(
            colour, (0.035, 0.03, 0.03), chart.at("ink", u, v, p.foot) * np.clip(0.85 + 0.15 * fine, 0.4, 1)
        )
        colour = mixed(colour, (0.085, 0.05, 0.035), chart.at("pen", u, v, p.foot) * 0.85)
        return Finish(colour, 0.9, slope=Relief(p).grain(cloud(2.2, 564), 30.0, 0.012).slope, spec=0.02)

    return surface


def plaque() -> Scene:
    """The engraved dedication on the plinth's back, close to."""
    solids: list[Solid] = [
        box("plinth", (0, 0, -1), (12, 6, 1), 0.2),
        box("tablet", (0, 0, 0.06), (4.2, 1.7, 0.08), 0.05),
        *[ball("pin", (x, y, 0.15), (0.14, 0.14, 0.08)) for x in (-3.9, 3.9) for y in (-1.4, 1.4)],
    ]
    return solids, {**clock_surfaces.clock_surfaces(True), "tablet": engraved(), "pin": brass(0.5, 0.0, 571)}


@cache
def plaque_chart() -> Chart:
    chart = Chart.blank(-4.2, -1.7, 8.4, 3.4, 150)
    script = cv2.FONT_HERSHEY_SCRIPT_COMPLEX
    chart.words("cut", "Fuer Lehrer A. Hollant", -3.35, 0.45, 0.5, 0.035, script)
    chart.words("cut", "seine Klasse 1931", -2.45, -0.75, 0.5, 0.035, script)
    return chart


def engraved() -> Surface:
    base = brass(0.5, 0.05, 581)

    def surface(p: Patch) -> Finish:
        finish = base(p)
        cut = plaque_chart().at("cut", p.x, p.y, p.foot)
        finish.colour = mixed(finish.colour, (0.04, 0.025, 0.012), cut * 0.9)
        finish.metal = np.asarray(finish.metal) * (1 - 0.7 * cut)
        return finish

    return surface


def steel_new() -> Surface:
    return steel(0.0, 591)


def hands_off() -> Scene:
    """The two hands, lying on paper."""
    solids = [
        cut_out("hand", hand(3.1, 0.42), (-1.5, 0.1, 0), 0.09, 1.2),
        cut_out("hand", hand(4.9, 0.3), (1.2, 0.1, 1.4), 0.09, 1.5),
    ]
    return solids, {"hand": clock_surfaces.blued}
