"""From what each pixel sees to light: surfaces, a softbox studio round them, and how they answer it.

Not here: the camera's own faults (lens.py). A surface is a function from a Patch to a Finish.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from studio.rays import Sight
from studio.solids import Grid, Triple, length
from studio.textures import lay


@dataclass(frozen=True)
class Patch:
    """The pixels of one surface, as flat arrays."""

    x: Grid
    y: Grid
    z: Grid
    nx: Grid
    ny: Grid
    nz: Grid
    foot: float  # cm a pixel covers


@dataclass
class Finish:
    """How a patch looks: colour (n x 3), roughness, metal, and the slope (n x 3) that tilts its normal."""

    colour: Grid
    rough: Grid | float = 0.6
    metal: Grid | float = 0.0
    slope: Grid | None = None
    shut: Grid | float = 1.0  # light that small hollows keep out: 1 none
    glow: Grid | float = 0.0
    spec: Grid | float = 0.04  # how much a surface that is no metal mirrors


Surface = Callable[[Patch], Finish]


@dataclass(frozen=True)
class Studio:
    """Light round the object. `sun` points to the key light; colours are linear."""

    sun: Triple = (-0.55, 0.75, 0.65)
    key: float = 1.75
    fill: float = 0.5
    warm: Triple = (1.04, 1.0, 0.93)
    cool: Triple = (0.94, 0.98, 1.05)
    paper: Triple = (0.44, 0.44, 0.43)
    up: Triple = (0.0, 1.0, 0.0)


def lit(sight: Sight, surfaces: Mapping[str, Surface], studio: Studio, angle: float) -> Grid:
    """Linear light of every pixel, height x width x 3."""
    picture = np.zeros((*sight.t.shape, 3), np.float32)
    for index, name in enumerate(sight.names):
        mask = sight.kind == index
        if not mask.any():
            continue
        patch = _patch(sight, mask, angle)
        picture[mask] = _answer(patch, surfaces[name](patch), sight, mask, studio)
    return picture


def _patch(sight: Sight, mask: np.ndarray, angle: float) -> Patch:
    foot = float(np.median(sight.t[mask])) * angle
    n = sight.normal
    return Patch(sight.x[mask], sight.y[mask], sight.z[mask], n[0][mask], n[1][mask], n[2][mask], foot)


def _answer(patch: Patch, finish: Finish, sight: Sight, mask: np.ndarray, studio: Studio) -> Grid:
    normal = _tilted(np.stack([patch.nx, patch.ny, patch.nz], -1), finish.slope)
    ray = np.stack([r[mask] for r in sight.ray], -1)
    rough = np.broadcast_to(np.asarray(finish.rough, np.float32), patch.x.shape)
    metal = np.broadcast_to(np.asarray(finish.metal, np.float32), patch.x.shape)[:, None]
    opened = (sight.openness[mask] * finish.shut)[:, None]
    shadow = (sight.light[mask] * np.sqrt(finish.shut))[:, None]
    sun = np.array(studio.sun, np.float32) / np.float32(np.linalg.norm(studio.sun))
    facing = np.clip(normal @ sun, 0, None)[:, None]
    spec = np.broadcast_to(np.asarray(finish.spec, np.float32), patch.x.shape)[:, None]
    base = spec * (1 - metal) + finish.colour * metal
    warm = np.array(studio.warm, np.float32) * np.float32(studio.key)
    soft = ambient(normal, studio) * opened
    matt = finish.colour * (1 - metal) * (facing * shadow * warm + soft)
    shine = _shine(normal, ray, sun, rough, base) * shadow * warm
    mirror = _mirror(normal, ray, rough, base, studio) * (0.25 + 0.75 * opened)
    glow = np.asarray(finish.glow, np.float32)
    return (matt + shine + mirror + (glow[:, None] if glow.ndim else glow)).astype(np.float32)


def ambient(normal: Grid, studio: Studio) -> Grid:
    """Soft light by direction: cool from above, the paper's own colour from below."""
    up = (normal @ np.array(studio.up, np.float32))[:, None] * 0.5 + 0.5
    above = np.array(studio.cool, np.float32) * np.float32(studio.fill)
    below = np.array(studio.paper, np.float32) * np.float32(studio.fill * 0.75)
    return above * up + below * (1 - up)


def _shine(normal: Grid, ray: Grid, sun: Grid, rough: Grid, base: Grid) -> Grid:
    """Highlight of the key light (GGX; Walter and others 2007), widened for a large softbox."""
    half = sun - ray
    half /= np.linalg.norm(half, axis=1, keepdims=True)
    nh = np.clip((normal * half).sum(1), 0, 1)
    nl = np.clip(normal @ sun, 0, 1)
    nv = np.clip(-(normal * ray).sum(1), 0.05, 1)
    a2 = np.clip(rough * rough, 0.02, 1) ** 2
    spread = a2 / (np.pi * ((nh * nh) * (a2 - 1) + 1) ** 2)
    k = (rough + 1) ** 2 / 8
    hidden = 1 / ((nv * (1 - k) + k) * (nl * (1 - k) + k) * 4)
    return base * np.minimum(spread * hidden * nl, 6.0)[:, None]


def _mirror(normal: Grid, ray: Grid, rough: Grid, base: Grid, studio: Studio) -> Grid:
    facing = (normal * ray).sum(1, keepdims=True)
    bounced = ray - 2 * facing * normal
    edge = (1 - np.clip(-facing, 0, 1)) ** 5
    strength = base + (np.maximum(1 - rough[:, None], base) - base) * edge
    return strength * around(bounced, rough, studio)


def around(way: Grid, rough: Grid, studio: Studio) -> Grid:
    """The studio as a mirror sees it: softbox by the key light, a strip opposite, dark gaps, paper below."""
    sun = np.array(studio.sun, np.float32) / np.float32(np.linalg.norm(studio.sun))
    up = way @ np.array(studio.up, np.float32)
    wide = 0.03 + 0.5 * rough
    key = _step(way @ sun, 0.80 - 0.5 * rough, wide) * 2.4
    strip = _step(way[:, 0], 0.62 - 0.3 * rough, wide) * _step(0.75 - np.abs(up - 0.25), 0.3, wide) * 1.1
    top = _step(up, 0.75, wide + 0.1) * 0.9
    room = 0.16 + 0.3 * np.clip(up + 0.15, 0, 1)
    paper = _step(-up, 0.08, wide) * 0.42
    level = key + strip + top + room + paper
    return level[:, None] * (np.array(studio.warm, np.float32) + np.array(studio.cool, np.float32)) / 2


def _step(value: Grid, edge: Grid | float, wide: Grid | float) -> Grid:
    s = np.clip((value - edge) / wide * 0.5 + 0.5, 0, 1)
    return s * s * (3 - 2 * s)


def _tilted(normal: Grid, slope: Grid | None) -> Grid:
    if slope is None:
        return normal
    along = (slope * normal).sum(1, keepdims=True)
    tilted = normal - (slope - along * normal)
    return tilted / np.linalg.norm(tilted, axis=1, keepdims=True)


@dataclass
class Relief:
    """Gathers the slopes of several textures on one patch."""

    patch: Patch
    slope: Grid = field(init=False)

    def __post_init__(self) -> None:
        self.slope = np.zeros((self.patch.x.size, 3), np.float32)

    def grain(self, texture: Grid, per_cm: float, depth: float, keep: Grid | float = 1.0) -> Relief:
        """A seamless height texture on every side, `depth` cm high, blended by the normal."""
        p = self.patch
        du, dv = _gradients(texture, per_cm, depth)
        sides = np.abs(np.stack([p.nx, p.ny, p.nz], -1)) ** 4
        sides /= sides.sum(1, keepdims=True)
        for k, (u, v, a, b) in enumerate(((p.z, p.y, 2, 1), (p.x, p.z, 0, 2), (p.x, p.y, 0, 1))):
            weight = sides[:, k] * keep
            if not np.any(weight > 0.02):
                continue
            self.slope[:, a] += weight * lay(du, u, v, per_cm, p.foot)
            self.slope[:, b] += weight * lay(dv, u, v, per_cm, p.foot)
        return self

    def drawn(
        self,
        height: Callable[[Grid, Grid], Grid],
        u: Grid,
        v: Grid,
        axes: tuple[int, int],
        keep: Grid | float = 1.0,
    ) -> Relief:
        """A drawn height (cm) over the plane (u, v), whose directions are the axes given."""
        step = np.float32(max(0.012, self.patch.foot * 0.7))
        self.slope[:, axes[0]] += keep * (height(u + step, v) - height(u - step, v)) / (2 * step)
        self.slope[:, axes[1]] += keep * (height(u, v + step) - height(u, v - step)) / (2 * step)
        return self


def _gradients(texture: Grid, per_cm: float, depth: float) -> tuple[Grid, Grid]:
    scale = np.float32(depth * per_cm / 2)
    across = (np.roll(texture, -1, 1) - np.roll(texture, 1, 1)) * scale
    down = (np.roll(texture, -1, 0) - np.roll(texture, 1, 0)) * scale
    return across, down


def toned(patch: Patch, colour: Triple) -> Grid:
    return np.tile(np.array(colour, np.float32), (patch.x.size, 1))


def mixed(a: Grid, b: Grid | Triple, share: Grid) -> Grid:
    other = np.asarray(b, np.float32)
    s = np.clip(share, 0, 1)[:, None]
    return a * (1 - s) + other * s


def distance_from(patch: Patch, place: Triple) -> Grid:
    return length(patch.x - place[0], patch.y - place[1], patch.z - place[2])
