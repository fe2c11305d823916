"""The surfaces of the clock: veneer and its inlay, dial, brasses, as it came (`worn`) and after."""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np

from studio.clock import DIAL_Y
from studio.light import Finish, Patch, Relief, Surface, mixed, toned
from studio.metal import brass, plain, steel
from studio.solids import Grid, Triple
from studio.textures import Chart, Path, cloud, lay

WALNUT: Triple = (0.205, 0.088, 0.034)
DARK: Triple = (0.075, 0.030, 0.013)
GROUND: Triple = (0.42, 0.30, 0.175)  # the oak under the veneer


def figure(p: Patch, u: Grid, v: Grid, seed: int = 201) -> Grid:
    """Walnut with its figure running along v: colour."""
    wander = lay(cloud(2.6, seed), u, v * 0.35, 22.0, p.foot)
    rings = np.sin(u * 2.3 + 3.4 * wander) * 0.5 + 0.5 * np.sin(u * 6.1 + 5.2 * wander + 1.0)
    pores = lay(cloud(1.0, seed + 1, 14.0), v * 1.0, u, 45.0, p.foot)
    flame = lay(cloud(2.0, seed + 2, 3.0), v, u, 20.0, p.foot)
    share = np.clip(0.42 + 0.20 * rings + 0.10 * pores + 0.12 * flame, 0, 1)
    return mixed(toned(p, WALNUT), DARK, share)


def _faces(p: Patch) -> tuple[Grid, Grid]:
    """Across and along the grain: front and back by x, y; ends by z, y; the arch rolled out."""
    front = np.abs(p.nz) > 0.7
    rolled = np.arctan2(p.x, np.maximum(p.y - DIAL_Y, 0.01)) * 10.0
    side_v = np.where(p.y > DIAL_Y, rolled, p.y)
    return np.where(front, p.x, p.z), np.where(front, p.y, side_v)


def _polish(p: Patch, colour: Grid, worn: bool, seed: int) -> Finish:
    """French polish: dull, bloomed and scratched, or clear."""
    slow = lay(cloud(2.4, seed), p.x + p.z, p.y + 0.5 * p.z, 22.0, p.foot)
    fine = lay(cloud(1.3, seed + 1), p.x, p.y + p.z, 60.0, p.foot)
    relief = Relief(p).grain(cloud(1.8, seed + 2), 30.0, 0.003 if worn else 0.0012)
    if not worn:
        return Finish(colour, 0.17 + 0.015 * fine, slope=relief.slope, spec=0.045)
    grey = np.clip(0.42 + 0.22 * slow + 0.12 * fine, 0, 1) * 0.5
    faded = mixed(colour * 1.15, (0.24, 0.165, 0.105), grey)
    return Finish(faded, np.clip(0.52 + 0.08 * slow, 0.3, 0.9), slope=relief.slope, spec=0.035)


@cache
def front_chart(worn: bool) -> Chart:
    """Line inlay and a fan on the front; rings, scratches and lost veneer where worn."""
    chart = Chart.blank(-12.5, 0.5, 25, 31, 56)
    for inset in (0.0, 0.28):
        x, low, high = 6.7 - inset, 5.6 + inset, 11.6 - inset
        chart.line(
            "box", [(-x, low), (x, low), (x, high), (-x, high), (-x, low)], 0.09 if inset == 0 else 0.04
        )
    _fan(chart)
    rng = np.random.default_rng(211)
    for _ in range(40 if worn else 7):
        u, v = rng.uniform(-10, 10), rng.uniform(4.5, 28)
        turn, run = rng.normal(0.4, 0.9), rng.uniform(0.3, 2.6)
        chart.line(
            "scratch",
            [(u, v), (u + run * np.cos(turn), v + run * np.sin(turn))],
            0.02,
            rng.uniform(0.2, 0.8),
            0.01,
        )
    chart.line("split", [(-9.6, 5.0), (-9.35, 9.0), (-9.5, 13.4)], 0.05, 1.0 if worn else 0.35, 0.01)
    if worn:
        lost: Path = [(3.9, 4.3), (4.6, 6.4), (5.3, 6.9), (5.6, 8.3), (6.5, 8.9), (7.2, 8.1), (7.4, 4.3)]
        chart.area("lost", lost, 1.0, 0.02)
    else:
        chart.area("let", [(3.7, 4.3), (4.4, 9.1), (7.5, 9.1), (7.5, 4.3)], 1.0)
        chart.line("joint", [(3.7, 4.3), (4.4, 9.1), (7.5, 9.1)], 0.02, 0.55)
    return chart


def _fan(chart: Chart) -> None:
    c, r = (0.0, 6.9), 3.2
    for k in range(13):
        a, b = np.pi * k / 13, np.pi * (k + 1) / 13
        blade = [
            c,
            (c[0] + r * np.cos(a), c[1] + r * 0.95 * np.sin(a)),
            (c[0] + r * 1.06 * np.cos((a + b) / 2), c[1] + r * np.sin((a + b) / 2)),
            (c[0] + r * np.cos(b), c[1] + r * 0.95 * np.sin(b)),
        ]
        chart.area("box", blade, 0.9 if k % 2 == 0 else 0.55)
        chart.line("ink", [c, blade[1]], 0.03, 0.8)
    chart.area("box", [(-0.7 * np.cos(t), 6.9 + 0.7 * np.sin(t)) for t in np.linspace(0, np.pi, 16)], 1.0)


def veneer(worn: bool, raw: bool = False) -> Surface:
    """The case; `raw` shows the piece let in before it is coloured and polished."""

    def surface(p: Patch) -> Finish:
        u, v = _faces(p)
        colour = figure(p, u, v)
        new_piece = figure(p, u + 40, v + 17)
        front = (p.nz > 0.7).astype(np.float32)
        chart = front_chart(worn)

        def drawn(name: str) -> Grid:
            return chart.at(name, p.x, p.y, p.foot) * front

        if raw:
            new_piece = new_piece * 0.7 + np.array([0.20, 0.12, 0.06], np.float32)
        colour = mixed(colour, new_piece, drawn("let"))
        colour = mixed(colour, (0.44, 0.30, 0.13), drawn("box") * 0.9)
        colour = mixed(colour, (0.03, 0.015, 0.008), np.maximum(drawn("ink"), drawn("joint")) * 0.8)
        finish = _polish(p, colour, worn or raw, 221)
        lost = drawn("lost")
        oak = toned(p, GROUND) * (1 + 0.10 * lay(cloud(1.0, 231, 12.0), p.y, p.x, 40.0, p.foot))[:, None]
        finish.colour = mixed(finish.colour, oak, lost)
        finish.colour = mixed(finish.colour, (0.40, 0.27, 0.16), drawn("scratch") * (0.5 if worn else 0.2))
        finish.colour = mixed(finish.colour, (0.012, 0.007, 0.004), drawn("split") * 0.9)
        finish.rough = np.clip(np.asarray(finish.rough) + 0.3 * lost, 0, 1)
        edge = Relief(p).drawn(
            lambda a, b: -0.10 * chart.at("lost", a, b, p.foot) - 0.05 * chart.at("split", a, b, p.foot),
            p.x,
            p.y,
            (0, 1),
            front,
        )
        finish.slope = edge.slope + (finish.slope if finish.slope is not None else 0)
        return finish

    return surface


def plinth(worn: bool) -> Surface:
    """Plinth mouldings, grain along the length; where worn, some veneer of the front is missing."""

    def surface(p: Patch) -> Finish:
        along = np.where(np.abs(p.nx) > 0.7, p.z, p.x)
        colour = figure(p, p.y + p.z * 0.2, along, 241)
        finish = _polish(p, colour, worn, 251)
        if worn:
            patchy = lay(cloud(1.8, 261), p.x, p.y, 30.0, p.foot)
            chip = np.clip((patchy + 1.6 - np.abs(p.x + 9.8) * 0.9) * 3, 0, 1) * (p.nz > 0.3)
            finish.colour = mixed(finish.colour, GROUND, chip)
        return finish

    return surface


def solid_wood(worn: bool, tone: float, seed: int) -> Surface:
    """Turned pieces and mouldings of darker, ebonised wood."""

    def surface(p: Patch) -> Finish:
        colour = figure(p, p.x + p.z, p.y, seed) * np.float32(tone)
        return _polish(p, colour, worn, seed + 5)

    return surface


def _numeral(chart: Chart, text: str, angle: float, radius: float, tall: float) -> None:
    """Roman numerals of thick and thin strokes, their feet to the middle."""
    widths = {"I": 0.34, "V": 0.66, "X": 0.66}
    total = sum(widths[c] for c in text)
    place = -total / 2
    outward = np.array([np.sin(angle), np.cos(angle)])
    right = np.array([np.cos(angle), -np.sin(angle)])

    def at(u: float, v: float) -> tuple[float, float]:
        spot = np.array([0.0, DIAL_Y]) + outward * (radius + v) + right * u
        return float(spot[0]), float(spot[1])

    h = tall / 2
    for c in text:
        w = widths[c] - 0.1
        a, b, m = place + 0.05, place + 0.05 + w, place + 0.05 + w / 2
        strokes = {
            "I": [((m, -h), (m, h), 0.14)],
            "V": [((a, h), (m, -h), 0.14), ((b, h), (m, -h), 0.05)],
            "X": [((a, h), (b, -h), 0.14), ((b, h), (a, -h), 0.05)],
        }[c]
        for (u0, v0), (u1, v1), thick in strokes:
            chart.line("ink", [at(u0, v0), at(u1, v1)], thick)
        for v0 in (-h, h):
            if not (c == "V" and v0 < 0):
                chart.line("ink", [at(a - 0.05, v0), at(b + 0.05, v0)], 0.05)
        place += widths[c]


@cache
def dial_chart(worn: bool) -> Chart:
    chart = Chart.blank(-6.6, DIAL_Y - 6.6, 13.2, 13.2, 120)
    for k, text in enumerate(["XII", "I", "II", "III", "IIII", "V", "VI", "VII", "VIII", "IX", "X", "XI"]):
        _numeral(chart, text, 2 * np.pi * k / 12, 4.25, 1.25)
    circle = np.linspace(0, 2 * np.pi, 240)
    for r in (5.28, 5.62):
        chart.line("ink", [(r * np.sin(a), DIAL_Y + r * np.cos(a)) for a in circle], 0.03)
    for k in range(60):
        a, inner = 2 * np.pi * k / 60, 5.1 if k % 5 == 0 else 5.28
        chart.line(
            "ink",
            [(r * np.sin(a), DIAL_Y + r * np.cos(a)) for r in (inner, 5.62)],
            0.11 if k % 5 == 0 else 0.035,
        )
    for x in (-2.0, 2.0):
        chart.spot("hole", x, DIAL_Y - 1.5, 0.42)
        chart.spot("eyelet", x, DIAL_Y - 1.5, 0.56)
    chart.words("ink", "J. Averin", -1.32, DIAL_Y + 1.75, 0.52, 0.03, cv2.FONT_HERSHEY_SCRIPT_COMPLEX)
    chart.words("ink", "BRANNWALD", -0.78, DIAL_Y - 2.55, 0.22, 0.024, cv2.FONT_HERSHEY_SIMPLEX)
    _hairlines(chart)
    return chart


def _hairlines(chart: Chart) -> None:
    rng = np.random.default_rng(271)
    for start, turn in (
        ((2.2, DIAL_Y - 1.9), -0.75),
        ((2.4, DIAL_Y - 1.2), 0.35),
        ((-5.2, DIAL_Y + 3.0), -0.2),
    ):
        path, heading = [start], turn
        for _ in range(26):
            heading += rng.normal(0, 0.12)
            last = path[-1]
            path.append((last[0] + 0.15 * np.cos(heading), last[1] + 0.15 * np.sin(heading)))
        chart.line("hair", path, 0.018, 0.8)
    chart.area(
        "chip",
        [
            (2.35, DIAL_Y - 1.15),
            (2.75, DIAL_Y - 1.0),
            (3.0, DIAL_Y - 1.35),
            (2.85, DIAL_Y - 1.75),
            (2.5, DIAL_Y - 1.9),
        ],
        1.0,
        0.01,
    )


def dial(worn: bool) -> Surface:
    """Enamel on copper: creamy white, hairlines and one chip that stay; before the work brown with smoke."""

    def surface(p: Patch) -> Finish:
        chart = dial_chart(worn)

        def drawn(name: str) -> Grid:
            return chart.at(name, p.x, p.y, p.foot)

        slow = lay(cloud(2.4, 281), p.x, p.y, 40.0, p.foot)
        colour = toned(p, (0.74, 0.70, 0.60))
        if worn:
            rim = np.clip((np.hypot(p.x, p.y - DIAL_Y) - 3.8) / 2.6, 0, 1) ** 1.5
            smoke = np.clip(0.50 + 0.16 * slow + 0.45 * rim, 0, 1) * 0.85
            colour = mixed(colour, (0.17, 0.105, 0.042), smoke)
        colour = mixed(colour, (0.16, 0.13, 0.10) if worn else (0.30, 0.27, 0.22), drawn("hair") * 0.7)
        colour = mixed(colour, (0.16, 0.08, 0.045), drawn("chip"))
        colour = mixed(colour, (0.012, 0.012, 0.014), drawn("ink"))
        ring = np.clip(drawn("eyelet") - drawn("hole"), 0, 1)
        colour = mixed(colour, (0.62, 0.42, 0.17) if not worn else (0.25, 0.17, 0.08), ring)
        colour = mixed(colour, (0.006, 0.006, 0.006), drawn("hole"))
        return Finish(colour, 0.35 if worn else 0.14, ring * 0.8, spec=0.045)

    return surface


@cache
def plate_chart() -> Chart:
    """Seen from behind, so x runs to the left."""
    chart = Chart.blank(-4.6, DIAL_Y - 4.6, 9.2, 9.2, 110)
    chart.words("cut", "J. AVERIN", -1.15, DIAL_Y - 2.9, 0.38, 0.035, cv2.FONT_HERSHEY_DUPLEX)
    chart.words("cut", "4418", -0.42, DIAL_Y - 3.42 + 0.02, 0.34, 0.035, cv2.FONT_HERSHEY_DUPLEX)
    return chart


def back_plate(base: Surface) -> Surface:
    def surface(p: Patch) -> Finish:
        finish = base(p)
        behind = (p.nz < -0.6).astype(np.float32)
        cut = plate_chart().at("cut", -p.x, p.y, p.foot) * behind
        finish.colour = mixed(finish.colour, (0.05, 0.03, 0.012), cut * 0.85)
        finish.metal = np.asarray(finish.metal) * (1 - 0.6 * cut)
        return finish

    return surface


def blued(p: Patch) -> Finish:
    """Blued steel."""
    return Finish(toned(p, (0.045, 0.06, 0.14)), 0.28, 0.85)


def clock_surfaces(worn: bool) -> dict[str, Surface]:
    old = 1.0 if worn else 0.0
    return {
        "veneer": veneer(worn),
        "inside": plain((0.30, 0.20, 0.11), 0.9),
        "plinth": plinth(worn),
        "moulding": solid_wood(worn, 0.55, 301),
        "column": solid_wood(worn, 0.42, 311),
        "finial": solid_wood(False, 0.55, 321),
        "foot": solid_wood(worn, 0.5, 331),
        "capital": brass(0.82 * old + 0.10, 0.28 * old, 341),
        "bezel": brass(0.98 * old + 0.08 * (1 - old), 0.2 * old, 351, brushed=0.14),
        "dial": dial(worn),
        "hand": blued,
        "pin": brass(0.6 * old + 0.1, 0.0, 361),
        "plate": back_plate(brass(0.95 * old + 0.1 * (1 - old), 0.16 * old, 371, brushed=0.2)),
        "barrel": brass(0.95 * old + 0.1 * (1 - old), 0.12 * old, 381, brushed=0.24),
        "wheelwork": brass(0.95 * old + 0.1 * (1 - old), 0.1 * old, 391),
        "steelwork": steel(0.42 * old + 0.02, 401),
        "screw": steel(0.3 * old, 411) if worn else blued,
        "bell": steel(0.38 * old, 421, (0.60, 0.58, 0.54)),
        "bob": brass(0.7 * old + 0.1, 0.12 * old, 431),
    }
