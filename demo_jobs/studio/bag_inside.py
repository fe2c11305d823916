"""The inside of the bag: the lining as it came, the bare boards when it was open, and the new lining."""

from __future__ import annotations

from functools import cache
from typing import Literal

import cv2
import numpy as np

from studio.bag import HALF_WIDTH, HEIGHT, depth_at
from studio.bag_surfaces import plain_leather
from studio.light import Finish, Patch, Relief, Surface, mixed, toned
from studio.metal import plain
from studio.solids import Grid, Solid, Triple, box, box_distance, rod
from studio.textures import Chart, cloud, lay, stitches

Inside = Literal["came", "bare", "boarded", "new"]


def lining() -> Solid:
    """The inner skin of the open bag."""

    def distance(x: Grid, y: Grid, z: Grid) -> Grid:
        half = (HALF_WIDTH - 1.75, HEIGHT / 2 + 2.3, depth_at(y, True) - 0.85)
        inner = box_distance(x, y - HEIGHT / 2 - 3, z, half, 1.2)
        ripple = 0.05 * np.sin(x * 1.1 + y * 0.5) * np.sin(y * 0.6 + z * 0.5)
        shell = np.maximum(-(inner + ripple), inner - 0.3)
        return np.maximum(shell, y - (HEIGHT - 0.5)) * np.float32(0.8)

    return Solid("lining", (-20, 0.2, -11), (20, HEIGHT - 0.4, 11), distance)


def fitted(state: Inside) -> list[Solid]:
    """Pocket, loops and label on the back wall."""
    if state in ("bare", "boarded"):
        return []
    back = -8.05
    solids = [
        box("pocket", (-7.2, 10.0, back), (8.6, 5.8, 0.35), 0.25),
        box("trim", (-7.2, 15.7, back + 0.12), (8.7, 0.55, 0.36), 0.2),
        box("label", (-7.2, 11.2, back + 0.38), (3.1, 1.15, 0.06), 0.05),
        box("trim", (10.2, 12.6, back), (7.2, 1.0, 0.2), 0.15),
    ]
    for k in range(8):
        if state == "came" and k in (2, 5):
            continue
        x = 4.0 + k * 1.78
        sag = 0.5 if state == "came" and k == 6 else 0.0
        solids.append(rod("loop", (x, 11.9 - sag, back + 0.55), (x, 13.3 - sag, back + 0.55), 0.62))
    return solids


def surfaces(state: Inside) -> dict[str, Surface]:
    worn = state != "new"
    return {
        "lining": boards(state == "boarded") if state in ("bare", "boarded") else cloth(state),
        "pocket": cloth(state),
        "trim": trim(worn),
        "label": label(),
        "loop": plain((0.055, 0.05, 0.05), 0.9, 0.02, 0.006, 141),
    }


def ticking(p: Patch, u: Grid, v: Grid, faded: bool) -> tuple[Grid, Grid]:
    """Striped cotton ticking: colour, and weave height."""
    ground = (0.40, 0.335, 0.235) if faded else (0.56, 0.515, 0.41)
    colour = toned(p, ground)
    soft = max(0.02, p.foot * 0.6)
    for centre, wide, tone in (
        (0.0, 0.16, (0.10, 0.13, 0.20)),
        (0.42, 0.05, (0.10, 0.13, 0.20)),
        (-0.42, 0.05, (0.10, 0.13, 0.20)),
        (0.9, 0.07, (0.30, 0.07, 0.05)),
    ):
        away = np.abs(np.mod(u - centre + 0.9, 1.8) - 0.9)
        strength = np.clip((wide - away) / soft + 0.5, 0, 1) * (0.62 if faded else 0.9)
        colour = mixed(colour, tone, strength)
    weave = np.sin(u * 90) * np.sin(v * 90)
    return colour, weave


def _walls(p: Patch) -> tuple[Grid, Grid, np.ndarray]:
    ground = p.ny > 0.7
    end = ~ground & (np.abs(p.nx) > np.abs(p.nz))
    u = np.where(end, p.z, p.x)
    v = np.where(ground, p.z, p.y)
    return u, v, end | ground


@cache
def damage() -> Chart:
    """Tears and stains of the old lining on the back wall (u = x, v = y) and floor (v = z)."""
    chart = Chart.blank(-21, -11, 42, 36, 40)
    height, width = chart.shape
    wave = cv2.resize(cloud(2.2, 151), (width, height)).astype(np.float32)
    line, column = np.mgrid[0:height, 0:width].astype(np.float32)
    u, v = column / 40 + chart.left, chart.bottom + chart.height - line / 40
    fringe = cv2.resize(cloud(0.6, 152)[:1, :1024], (width, height)).astype(np.float32)
    wave = wave * 1.7 + 0.45 * fringe
    tear = np.clip((1.0 - np.hypot((u - 11.5) / 4.6, (v - 19.6) / 3.4) + 0.16 * wave) * 14, 0, 1)
    lower = np.clip((1.0 - np.hypot((u + 13.5) / 3.4, (v - 1.0) / 3.6) + 0.22 * wave) * 14, 0, 1)
    chart.layers["tear"] = np.maximum(tear, lower).astype(np.float32)
    far = np.hypot((u - 2) / 8.5, (v - 0.5) / 5.5) + 0.08 * wave
    chart.layers["stain"] = (
        np.clip((1 - far) * 5, 0, 1) * 0.5 + np.exp(-(((far - 1) / 0.05) ** 2)) * 0.5
    ).astype(np.float32)
    return chart


def cloth(state: Inside) -> Surface:
    faded = state == "came"

    def surface(p: Patch) -> Finish:
        u, v, _ = _walls(p)
        colour, weave = ticking(p, u, v, faded)
        slow = lay(cloud(2.3, 153), u, v, 26.0, p.foot)
        colour *= (1 + (0.10 if faded else 0.03) * slow)[:, None]
        relief = (
            Relief(p)
            .grain(cloud(2.7, 154), 20.0, 0.05 if faded else 0.018)
            .grain(cloud(0.8, 155), 70.0, 0.004)
        )
        shut: Grid | float = 1.0
        slope = relief.slope
        if faded:
            chart = damage()
            tear, stain = chart.at("tear", u, v, p.foot), chart.at("stain", u, v, p.foot)
            colour = mixed(colour, (0.13, 0.085, 0.05), stain * 0.6)
            bare = toned(p, (0.17, 0.115, 0.07)) * (1 + 0.2 * slow)[:, None]
            colour = mixed(colour, bare, tear)
            rim = np.exp(-(((tear - 0.5) / 0.22) ** 2))
            colour = mixed(colour, (0.50, 0.44, 0.34), rim * 0.8)
            shut = 1 - 0.45 * tear
        colour *= (1 + 0.03 * weave * (p.foot < 0.03))[:, None]
        return Finish(colour, 0.9, slope=slope, shut=shut, spec=0.02)

    return surface


@cache
def board_chart() -> Chart:
    """The stiffening boards as found: broken across, rusty under the frame, a pencil note."""
    chart = Chart.blank(-21, -11, 42, 36, 48)
    chart.line("edge", [(-16.8, 0.8), (-16.8, 19.4), (16.8, 19.4), (16.8, 0.8)], 0.10, 1.0, 0.03)
    rng = np.random.default_rng(161)
    x = np.linspace(2.2, 16.8, 40)
    path = [(float(a), float(9.0 + 2.4 * np.sin(a * 0.35) + rng.normal(0, 0.16))) for a in x]
    chart.line("crack", path, 0.10, 1.0, 0.02)
    chart.line("crack", [(2.2, path[0][1]), (1.2, 12.5), (1.6, 19.4)], 0.08, 1.0, 0.02)
    chart.words("pencil", "3127", -10.8, 13.6, 1.25, 0.05, cv2.FONT_HERSHEY_SCRIPT_COMPLEX)
    chart.words("pencil", "links v. 11", -10.9, 11.6, 0.8, 0.045, cv2.FONT_HERSHEY_SCRIPT_COMPLEX)
    chart.line("pencil", [(-11.0, 11.2), (-6.0, 11.35)], 0.04)
    for _ in range(160):
        chart.spot(
            "rust",
            rng.uniform(-17, 17),
            19.6 - abs(rng.normal(0, 1.1)),
            rng.uniform(0.05, 0.6),
            rng.uniform(0.2, 0.8),
            0.16,
        )
    for _ in range(12):
        chart.spot(
            "glue",
            rng.uniform(-16, 16),
            rng.uniform(2, 18),
            rng.uniform(0.6, 1.8),
            rng.uniform(0.25, 0.6),
            0.3,
        )
    patch = [(5.4, 3.0), (12.8, 2.7), (13.1, 6.6), (5.2, 6.9)]
    chart.area("patch", patch, 1.0, 0.02)
    stitches(chart, [(5.7, 3.3), (12.5, 3.0), (12.8, 6.3), (5.5, 6.6), (5.7, 3.3)], 0.5, 0.07)
    return chart


def boards(renewed: bool = False) -> Surface:
    def surface(p: Patch) -> Finish:
        u, v, other = _walls(p)
        chart = board_chart()
        own = (~other & (p.nz > 0)).astype(np.float32)
        fine = lay(cloud(1.0, 163), u, v, 40.0, p.foot)
        slow = lay(cloud(2.2, 164), u, v, 26.0, p.foot)
        tone = (0.46, 0.42, 0.34) if renewed else (0.30, 0.235, 0.155)
        board = toned(p, tone) * (1 + 0.06 * fine + 0.09 * slow)[:, None]
        flesh = toned(p, (0.20, 0.125, 0.07)) * (1 + 0.10 * fine + 0.14 * slow)[:, None]
        on_board = own * (np.abs(p.x) < 16.8) * (p.y < 19.4) * (p.y > 0.8)
        floor = (p.ny > 0.7) & (np.abs(p.x) < 16.6)
        colour = mixed(flesh, board, np.maximum(on_board, floor.astype(np.float32)))

        def drawn(name: str) -> Grid:
            kept = name in ("edge",) or not renewed
            return chart.at(name, u, v, p.foot) * own if kept else np.zeros_like(u)

        colour = mixed(colour, (0.13, 0.08, 0.035), drawn("glue") * 0.55)
        colour = mixed(colour, (0.19, 0.065, 0.02), drawn("rust") * 0.8)
        colour = mixed(colour, (0.07, 0.03, 0.014), drawn("patch") * 0.9)
        colour = mixed(colour, (0.33, 0.27, 0.2), drawn("thread"))
        colour = mixed(colour, (0.06, 0.06, 0.065), drawn("pencil") * 0.75)
        colour = mixed(colour, (0.02, 0.015, 0.01), np.maximum(drawn("crack"), drawn("edge") * 0.7))
        relief = Relief(p).grain(cloud(1.4, 165), 50.0, 0.010)
        if not renewed:
            relief.drawn(
                lambda a, b: 0.10 * chart.at("patch", a, b, p.foot) - 0.12 * chart.at("crack", a, b, p.foot),
                u,
                v,
                (0, 1),
                own,
            )
        return Finish(colour, 0.88, slope=relief.slope, shut=1 - 0.5 * drawn("crack"), spec=0.02)

    return surface


@cache
def monogram_chart() -> Chart:
    chart = Chart.blank(-2.6, 15.0, 3.6, 1.4, 120)
    chart.words("gold", "E. M. T.", -2.2, 15.52, 0.46, 0.045, cv2.FONT_HERSHEY_TRIPLEX)
    return chart


def trim(worn: bool) -> Surface:
    """The leather edge of the pocket and the strip of the loops, with an earlier owner's letters."""
    base = plain_leather(worn, (0.10, 0.038, 0.016))

    def surface(p: Patch) -> Finish:
        finish = base(p)
        rub = np.clip(0.65 + 0.4 * lay(cloud(1.3, 175), p.x, p.y, 90.0, p.foot), 0.1, 1)
        gold = monogram_chart().at("gold", p.x, p.y, p.foot) * rub * (p.nz > 0.5)
        finish.colour = mixed(finish.colour, (0.60, 0.42, 0.17), gold)
        finish.metal = gold * 0.7
        return finish

    return surface


@cache
def label_chart() -> Chart:
    chart = Chart.blank(-10.4, 9.9, 6.4, 2.6, 110)
    chart.words("gold", "H. PRELL & SOHN", -9.75, 11.55, 0.44, 0.042, cv2.FONT_HERSHEY_TRIPLEX)
    chart.words("gold", "SATTLER UND TASCHNER", -9.65, 10.95, 0.30, 0.03, cv2.FONT_HERSHEY_DUPLEX)
    chart.words("gold", "SANKT ORLEN", -8.6, 10.42, 0.30, 0.03, cv2.FONT_HERSHEY_DUPLEX)
    chart.line("gold", [(-10.15, 10.2), (-4.25, 10.2), (-4.25, 12.2), (-10.15, 12.2), (-10.15, 10.2)], 0.04)
    return chart


def label() -> Surface:
    """The maker's leather label with its gold stamping, rubbed; the same before and after."""
    tone: Triple = (0.050, 0.017, 0.012)

    def surface(p: Patch) -> Finish:
        base = plain_leather(False, tone)(p)
        rub = np.clip(0.75 + 0.35 * lay(cloud(1.4, 171), p.x, p.y, 90.0, p.foot), 0.15, 1)
        gold = label_chart().at("gold", p.x, p.y, p.foot) * rub
        slope = (
            Relief(p)
            .drawn(lambda a, b: -0.02 * label_chart().at("gold", a, b, p.foot), p.x, p.y, (0, 1))
            .slope
        )
        colour = mixed(base.colour, (0.62, 0.43, 0.17), gold)
        return Finish(
            colour,
            0.45,
            gold * 0.7,
            slope + (base.slope if base.slope is not None else 0) * (1 - gold)[:, None],
        )

    return surface
