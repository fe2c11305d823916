"""Brass, steel and plated surfaces, bright or tarnished."""

from __future__ import annotations

import numpy as np

from studio.light import Finish, Patch, Relief, Surface, mixed, toned
from studio.solids import Grid, Triple
from studio.textures import cloud, lay

BRASS: Triple = (0.80, 0.53, 0.21)
STEEL: Triple = (0.36, 0.36, 0.36)


def brass(
    tarnish: float = 0.0, verdigris: float = 0.0, seed: int = 1, colour: Triple = BRASS, brushed: float = 0.16
) -> Surface:
    """Brass: `tarnish` 0 bright to 1 dull brown; `verdigris` 0 none to 1 green in patches."""

    def surface(p: Patch) -> Finish:
        u, v = p.x + p.z * 0.7, p.y + p.z * 0.6
        slow = lay(cloud(2.4, seed), u, v, 60.0, p.foot)
        fine = lay(cloud(1.5, seed + 1), u, v, 90.0, p.foot)
        dull = np.clip(tarnish * (0.75 + 0.35 * slow + 0.12 * fine), 0, 1)
        green = np.clip((0.7 * slow + 0.6 * fine - 2.0 + 2.2 * verdigris) * 1.6, 0, 1) * min(
            1.0, verdigris * 2.5
        )
        base = mixed(toned(p, colour), (0.17, 0.095, 0.04), dull * 0.88)
        base = mixed(base, (0.15, 0.27, 0.20), green * 0.85)
        metal = (1 - 0.55 * dull) * (1 - green)
        rough = np.clip(brushed + 0.32 * dull + 0.5 * green + 0.03 * fine, 0.08, 0.9)
        relief = (
            Relief(p)
            .grain(cloud(1.3, seed + 2, 9.0), 70.0, 0.0009)
            .grain(cloud(1.7, seed + 3), 80.0, 0.0022, dull + green)
        )
        return Finish(base, rough, metal, relief.slope)

    return surface


def steel(rust: float = 0.0, seed: int = 31, colour: Triple = STEEL) -> Surface:
    """Steel, with `rust` 0 none to 1 all over."""

    def surface(p: Patch) -> Finish:
        u, v = p.x + p.z * 0.6, p.y + p.z * 0.7
        slow = lay(cloud(2.0, seed), u, v, 50.0, p.foot)
        fine = lay(cloud(1.0, seed + 1), u, v, 90.0, p.foot)
        brown = np.clip((slow * 0.8 + 0.4 * fine - 1.6 + 2.6 * rust) * 1.2, 0, 1) * min(1.0, rust * 3)
        base = mixed(toned(p, colour), (0.16, 0.055, 0.02), brown)
        base *= (1 + 0.12 * fine * brown)[:, None]
        relief = (
            Relief(p)
            .grain(cloud(1.2, seed + 2), 80.0, 0.004, brown)
            .grain(cloud(1.3, seed + 3, 8.0), 70.0, 0.0008)
        )
        return Finish(base, 0.25 + 0.6 * brown, 1 - brown, relief.slope)

    return surface


def plain(
    colour: Triple, rough: float = 0.5, spec: float = 0.04, depth: float = 0.0, seed: int = 51
) -> Surface:
    """Anything of one colour, faintly uneven."""

    def surface(p: Patch) -> Finish:
        slow: Grid = lay(cloud(1.8, seed), p.x + p.z * 0.8, p.y + p.z * 0.5, 40.0, p.foot)
        relief = Relief(p).grain(cloud(1.4, seed + 1), 60.0, depth) if depth else None
        return Finish(
            toned(p, colour) * (1 + 0.05 * slow)[:, None],
            rough,
            slope=relief.slope if relief else None,
            spec=spec,
        )

    return surface
