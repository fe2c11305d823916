"""From solids to what each pixel sees: distance, surface, normal, shadow and how open the place is.

Works in tiles with bounded memory; a coarse pass finds where each tile's rays may safely start.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from studio.solids import Grid, Solid, Triple, length

FAR = np.float32(400.0)
TILE = 128


@dataclass(frozen=True)
class Camera:
    place: Triple
    look_at: Triple
    view: float  # width of the view, in degrees
    up: Triple = (0.0, 1.0, 0.0)
    roll: float = 0.0  # degrees

    def frame(self) -> tuple[Grid, Grid, Grid]:
        """Forward, right and up, as unit vectors."""
        ahead = _unit(np.array(self.look_at) - np.array(self.place))
        right = _unit(np.cross(ahead, np.array(self.up)))
        up = np.cross(right, ahead)
        c, s = np.cos(np.radians(self.roll)), np.sin(np.radians(self.roll))
        return ahead, _f(right * c + up * s), _f(up * c - right * s)

    def rays(self, width: int, height: int) -> tuple[Grid, Grid, Grid]:
        ahead, right, up = self.frame()
        half = np.tan(np.radians(self.view / 2))
        u = ((np.arange(width, dtype=np.float32) + 0.5) / width * 2 - 1) * np.float32(half)
        v = (1 - (np.arange(height, dtype=np.float32) + 0.5) / height * 2) * np.float32(half * height / width)
        uu, vv = np.meshgrid(u, v)
        d = [_f(ahead[k] + right[k] * uu + up[k] * vv) for k in range(3)]
        size = length(*d)
        return d[0] / size, d[1] / size, d[2] / size

    def pixel(self, width: int) -> float:
        """Angle of one pixel, in radians."""
        return float(2 * np.tan(np.radians(self.view / 2)) / width)


@dataclass(frozen=True)
class Sight:
    """What each pixel sees; arrays of height x width."""

    t: Grid
    kind: np.ndarray  # index into `names`
    names: tuple[str, ...]
    x: Grid
    y: Grid
    z: Grid
    normal: tuple[Grid, Grid, Grid]
    ray: tuple[Grid, Grid, Grid]
    light: Grid  # 0 in full shadow of the key light, 1 in full light
    openness: Grid


class Field:
    """All solids of a scene, asked only where they can matter."""

    def __init__(self, solids: Sequence[Solid]) -> None:
        self.solids = list(solids)
        self.names = tuple(dict.fromkeys(s.surface for s in solids))
        self.low = np.array([s.low for s in solids], np.float32)
        self.high = np.array([s.high for s in solids], np.float32)

    def nearest(self, x: Grid, y: Grid, z: Grid) -> Grid:
        return self._ask(x, y, z, None)

    def named(self, x: Grid, y: Grid, z: Grid) -> np.ndarray:
        kinds = np.zeros(x.shape, np.int16)
        self._ask(x, y, z, kinds)
        return kinds

    def _ask(self, x: Grid, y: Grid, z: Grid, kinds: np.ndarray | None) -> Grid:
        best = np.full(x.shape, FAR, np.float32)
        gaps = self._gaps(x, y, z)
        for k in np.argsort(gaps):
            if gaps[k] > best.max():
                break
            d = self.solids[k].within(x, y, z)
            if kinds is not None:
                kinds[d < best] = self.names.index(self.solids[k].surface)
            best = np.minimum(best, d)
        return best

    def _gaps(self, x: Grid, y: Grid, z: Grid) -> Grid:
        low = np.array([x.min(), y.min(), z.min()])
        high = np.array([x.max(), y.max(), z.max()])
        apart = np.maximum(0, np.maximum(self.low - high, low - self.high))
        return np.sqrt((apart * apart).sum(axis=1))


def see(field: Field, camera: Camera, width: int, height: int, sun: Triple, soft: float = 9.0) -> Sight:
    """March every pixel's ray; `sun` is the direction to the key light, `soft` how sharp its shadows are."""
    starts = _starts(field, camera, width, height)
    ray = camera.rays(width, height)
    out = {name: np.zeros((height, width), np.float32) for name in ("t", "nx", "ny", "nz")}
    kind = np.zeros((height, width), np.int16)
    at = np.array(camera.place, np.float32)
    angle = camera.pixel(width)
    for rows, cols in _tiles(width, height):
        d = tuple(r[rows, cols].ravel() for r in ray)
        t = _march(field, at, d, starts[rows, cols].ravel().copy(), angle * 0.5, 90)
        p = tuple(at[k] + d[k] * t for k in range(3))
        n = _normals(field, p, np.maximum(0.004, t * angle * 0.6))
        size = (rows.stop - rows.start, cols.stop - cols.start)
        for name, value in zip(out, (t, *n), strict=True):
            out[name][rows, cols] = value.reshape(size)
        kind[rows, cols] = field.named(*p).reshape(size)
    x, y, z = (at[k] + ray[k] * out["t"] for k in range(3))
    normal = (out["nx"], out["ny"], out["nz"])
    light, openness = _light(field, (x, y, z), normal, _edges(out["t"], kind), _unit(np.array(sun)), soft)
    return Sight(out["t"], kind, field.names, x, y, z, normal, ray, light, openness)


def _light(
    field: Field, p: tuple[Grid, ...], n: tuple[Grid, ...], edges: np.ndarray, sun: Grid, soft: float
) -> tuple[Grid, Grid]:
    """Shadow and openness at every second pixel, between them by interpolation, and afresh along edges."""
    shape = edges.shape
    low = _asked(field, p, n, _every_second(shape), sun, soft)
    small = tuple(v.reshape(-(-shape[0] // 2), -(-shape[1] // 2)) for v in low)
    full = [cv2.resize(v, shape[::-1], interpolation=cv2.INTER_LINEAR) for v in small]
    for whole, exact in zip(full, _asked(field, p, n, edges, sun, soft), strict=True):
        whole[edges] = exact
    return full[0], full[1]


def _every_second(shape: tuple[int, ...]) -> np.ndarray:
    mask = np.zeros(shape, bool)
    mask[::2, ::2] = True
    return mask


def _asked(
    field: Field, p: tuple[Grid, ...], n: tuple[Grid, ...], mask: np.ndarray, sun: Grid, soft: float
) -> tuple[Grid, Grid]:
    """Shadow and openness of the pixels of `mask`, in their order."""
    found = [np.zeros(mask.shape, np.float32) for _ in range(2)]
    height, width = mask.shape
    for tile in _tiles(width, height, TILE * 2):
        inside = mask[tile]
        if inside.any():
            q, m = tuple(v[tile][inside] for v in p), tuple(v[tile][inside] for v in n)
            found[0][tile][inside] = _shadow(field, q, m, sun, soft)
            found[1][tile][inside] = _openness(field, q, m)
    return found[0][mask], found[1][mask]


def _edges(t: Grid, kind: np.ndarray) -> np.ndarray:
    """Pixels beside another surface or a jump in depth."""
    square = np.ones((5, 5), np.uint8)
    jump = cv2.dilate(t, square) - cv2.erode(t, square) > t * np.float32(0.03)
    other = cv2.dilate(kind, square) != cv2.erode(kind, square)
    return jump | other


def _starts(field: Field, camera: Camera, width: int, height: int) -> Grid:
    """Where each ray may start: cones of 8 x 8 pixels marched until something comes within their radius."""
    w, h = -(-width // 8), -(-height // 8)
    d = camera.rays(w, h)
    cone = camera.pixel(w) * 0.9
    at = np.array(camera.place, np.float32)
    t = _march(field, at, tuple(r.ravel() for r in d), np.full(w * h, 2.0, np.float32), cone, 60)
    safe = np.maximum(1.0, t * (1 - cone) - 0.05).reshape(h, w)
    return cv2.resize(safe, (w * 8, h * 8), interpolation=cv2.INTER_NEAREST)[:height, :width]


def _march(field: Field, at: Grid, d: tuple[Grid, ...], t: Grid, cone: float, steps: int) -> Grid:
    left = np.arange(t.size)
    for _ in range(steps):
        s = t[left]
        near = field.nearest(*(at[k] + d[k][left] * s for k in range(3)))
        t[left] = s + near
        left = left[(near > s * np.float32(cone)) & (s < FAR)]
        if left.size == 0:
            break
    return np.minimum(t, FAR)


def _normals(field: Field, p: tuple[Grid, ...], step: Grid) -> tuple[Grid, Grid, Grid]:
    total = [np.zeros_like(p[0]) for _ in range(3)]
    for signs in ((1, -1, -1), (-1, -1, 1), (-1, 1, -1), (1, 1, 1)):
        d = field.nearest(*(p[k] + step * signs[k] for k in range(3)))
        for k in range(3):
            total[k] += d * signs[k]
    total[1] += np.float32(1e-9)  # where nothing says otherwise, a surface faces up
    size = length(*total)
    return total[0] / size, total[1] / size, total[2] / size


def _shadow(field: Field, p: tuple[Grid, ...], n: tuple[Grid, ...], sun: Grid, soft: float) -> Grid:
    t = np.full(p[0].shape, 0.12, np.float32)
    light = np.ones_like(t)
    left = np.flatnonzero(sum(n[k] * sun[k] for k in range(3)) > 0)
    for _ in range(72):
        if left.size == 0:
            break
        s = t[left]
        near = field.nearest(*(p[k][left] + n[k][left] * 0.06 + sun[k] * s for k in range(3)))
        light[left] = np.minimum(light[left], np.clip(0.5 + 0.5 * near * np.float32(soft) / s, 0, 1))
        t[left] = s + np.clip(near, 0.1, 5.0)
        left = left[(light[left] > 0.01) & (t[left] < 90)]
    return light * light * (3 - 2 * light)


def _openness(field: Field, p: tuple[Grid, ...], n: tuple[Grid, ...]) -> Grid:
    shut = np.zeros_like(p[0])
    for reach, weight in ((0.15, 0.5), (0.5, 0.5), (1.3, 0.45), (3.0, 0.35), (7.0, 0.25)):
        near = field.nearest(*(p[k] + n[k] * np.float32(reach) for k in range(3)))
        shut += np.float32(weight) * np.clip(1 - near / np.float32(reach), 0, 1)
    return np.exp(-shut * np.float32(1.1))


def _tiles(width: int, height: int, side: int = TILE) -> list[tuple[slice, slice]]:
    return [
        (slice(y, min(y + side, height)), slice(x, min(x + side, width)))
        for y in range(0, height, side)
        for x in range(0, width, side)
    ]


def _unit(v: np.ndarray) -> Grid:
    return _f(v / np.linalg.norm(v))


def _f(v: np.ndarray) -> Grid:
    return np.asarray(v, np.float32)
