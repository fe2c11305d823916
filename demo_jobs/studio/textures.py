"""Patterns: seamless noise, leather grain, and charts drawn flat and laid on a side."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from studio.sampling import sampled
from studio.solids import Grid

Path = list[tuple[float, float]]
Mask = NDArray[np.uint8]

SIZE = 1024


@cache
def cloud(beta: float, seed: int, stretch: float = 1.0, size: int = SIZE) -> Grid:
    """Seamless noise, mean 0, spread 1; larger `beta` is smoother; `stretch` draws it out along the width."""
    rng = np.random.default_rng(seed)
    spectrum = np.fft.rfft2(rng.standard_normal((size, size)))
    fy = np.fft.fftfreq(size)[:, None] * size
    fx = np.fft.rfftfreq(size)[None, :] * size * stretch
    power = (fx * fx + fy * fy + 1e-9) ** (-beta / 2)
    power[0, 0] = 0
    made = np.fft.irfft2(spectrum * power, s=(size, size))
    return ((made - made.mean()) / made.std()).astype(np.float32)


@cache
def leather_grain(seed: int, cells: int = 5200) -> Grid:
    """Small pebbles with creases between them, 0 (crease) to 1; seamless."""
    rng = np.random.default_rng(seed)
    points = rng.integers(0, SIZE, (cells, 2))
    seeds = np.full((SIZE * 2, SIZE * 2), 255, np.uint8)
    for dy in (0, 1):
        for dx in (0, 1):
            seeds[points[:, 0] + dy * SIZE, points[:, 1] + dx * SIZE] = 0
    far = cv2.distanceTransform(seeds, cv2.DIST_L2, 5)
    half = SIZE // 2
    middle = np.roll(far[half : half + SIZE, half : half + SIZE], (half, half), (0, 1))  # away from the edges
    reach = np.float32(np.percentile(middle, 97))
    pebbles = 1 - np.clip(middle / reach, 0, 1) ** 2
    pebbles *= 1 + 0.25 * cloud(1.6, seed + 1)
    return cv2.GaussianBlur(pebbles.astype(np.float32), (0, 0), 1.2, borderType=cv2.BORDER_REFLECT)


def blurred(texture: Grid, texels: float) -> Grid:
    """`texture` without detail finer than `texels`, so that it does not glitter when seen from afar."""
    if texels < 0.7:
        return texture
    reach = int(4 * texels) + 4
    wide = np.pad(texture, ((reach, reach), (reach, reach)) + ((0, 0),) * (texture.ndim - 2), mode="wrap")
    return np.ascontiguousarray(cv2.GaussianBlur(wide, (0, 0), texels * 0.5)[reach:-reach, reach:-reach])


def lay(texture: Grid, u: Grid, v: Grid, per_cm: float, foot: float = 0.0) -> Grid:
    """A seamless texture at (u, v) cm, `per_cm` texels a cm, seen with pixels of `foot` cm."""
    ready = blurred(texture, foot * per_cm)
    span = ready.shape[0]
    column = np.mod(u * np.float32(per_cm), span).astype(np.float32)
    line = np.mod(v * np.float32(per_cm), span).astype(np.float32)
    return sampled(ready, column, line, cv2.BORDER_WRAP)


@dataclass
class Chart:
    """Layers drawn flat at `per_cm` pixels a cm over a rectangle with `left`, `bottom` as its corner (cm)."""

    left: float
    bottom: float
    width: float
    height: float
    per_cm: float
    layers: dict[str, Grid]

    @classmethod
    def blank(cls, left: float, bottom: float, width: float, height: float, per_cm: float) -> Chart:
        return cls(left, bottom, width, height, per_cm, {})

    @property
    def shape(self) -> tuple[int, int]:
        return round(self.height * self.per_cm), round(self.width * self.per_cm)

    def layer(self, name: str) -> Grid:
        return self.layers.setdefault(name, np.zeros(self.shape, np.float32))

    def px(self, u: float, v: float) -> tuple[int, int]:
        """Column and line of a place, in 1/16 pixel (for OpenCV's `shift=4`)."""
        return round((u - self.left) * self.per_cm * 16), round(
            (self.bottom + self.height - v) * self.per_cm * 16
        )

    def line(self, name: str, places: Path, thick: float, value: float = 1.0, blur: float = 0.0) -> None:
        def draw(into: Mask, points: NDArray[np.int32]) -> None:
            cv2.polylines(into, [points], False, 255, max(1, round(thick * self.per_cm)), cv2.LINE_AA, 4)

        self._draw(name, places, thick, draw, value, blur)

    def area(self, name: str, places: Path, value: float = 1.0, blur: float = 0.0) -> None:
        def draw(into: Mask, points: NDArray[np.int32]) -> None:
            cv2.fillPoly(into, [points], 255, cv2.LINE_AA, 4)

        self._draw(name, places, 0.0, draw, value, blur)

    def spot(
        self, name: str, u: float, v: float, radius: float, value: float = 1.0, blur: float = 0.0
    ) -> None:
        def draw(into: Mask, points: NDArray[np.int32]) -> None:
            cv2.circle(into, points[0], max(8, round(radius * self.per_cm * 16)), 255, -1, cv2.LINE_AA, 4)

        self._draw(name, [(u, v)], radius, draw, value, blur)

    def words(
        self,
        name: str,
        text: str,
        u: float,
        v: float,
        size: float,
        thick: float,
        face: int,
        value: float = 1.0,
    ) -> None:
        """`text` with its left end at (u, v) and letters about `size` cm high, in a stroke face of OpenCV."""
        drawn = np.zeros(self.shape, np.uint8)
        column, line = self.px(u, v)
        scale = size * self.per_cm / 21
        place = (column // 16, line // 16)
        cv2.putText(drawn, text, place, face, scale, 255, max(1, round(thick * self.per_cm)), cv2.LINE_AA)
        self.lay_on(name, drawn, value, 0.0)

    def _draw(
        self,
        name: str,
        places: Path,
        reach: float,
        draw: Callable[[Mask, NDArray[np.int32]], None],
        value: float,
        blur: float,
    ) -> None:
        """Draws within the bounds of `places` only."""
        points = np.array([self.px(u, v) for u, v in places], np.int32)
        margin = round((reach + 3 * blur) * self.per_cm) + 4
        low = np.maximum(points.min(0) // 16 - margin, 0)
        high = np.minimum(points.max(0) // 16 + margin, self.shape[::-1])
        if (high <= low).any():
            return
        drawn = np.zeros((high[1] - low[1], high[0] - low[0]), np.uint8)
        draw(drawn, (points - low * 16).astype(np.int32))
        self.lay_on(name, drawn, value, blur, (slice(low[1], high[1]), slice(low[0], high[0])))

    def lay_on(
        self,
        name: str,
        drawn: Mask,
        value: float,
        blur: float,
        where: tuple[slice, slice] = (slice(None), slice(None)),
    ) -> None:
        soft = drawn.astype(np.float32) / 255
        if blur > 0:
            soft = cv2.GaussianBlur(soft, (0, 0), blur * self.per_cm, borderType=cv2.BORDER_CONSTANT)
        layer = self.layer(name)
        layer[where] = np.maximum(layer[where], soft * np.float32(value))

    def at(self, name: str, u: Grid, v: Grid, foot: float = 0.0) -> Grid:
        """A layer at places; 0 outside the chart."""
        if name not in self.layers:
            return np.zeros(u.shape, np.float32)
        texels = foot * self.per_cm
        ready = (
            self.layers[name] if texels < 0.7 else cv2.GaussianBlur(self.layers[name], (0, 0), texels * 0.5)
        )
        column = ((u - self.left) * self.per_cm - 0.5).astype(np.float32)
        line = ((self.bottom + self.height - v) * self.per_cm - 0.5).astype(np.float32)
        return sampled(ready, column, line, cv2.BORDER_CONSTANT)


def stitches(
    chart: Chart, path: Path, pitch: float, thick: float, lost: tuple[tuple[float, float], ...] = ()
) -> None:
    """Stitches along `path`, as layers "thread" and "hole"; `lost` are stretches (0 to 1) without thread."""
    points = np.array(path, float)
    steps = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0], np.cumsum(steps)])
    count = max(1, round(along[-1] / pitch))
    where = np.linspace(0, along[-1], count + 1)
    us, vs = np.interp(where, along, points[:, 0]), np.interp(where, along, points[:, 1])
    threads = np.zeros(chart.shape, np.uint8)
    holes = np.zeros(chart.shape, np.uint8)
    width = max(1, round(thick * chart.per_cm))
    for k in range(count):
        a = np.array([us[k], vs[k]])
        b = np.array([us[k + 1], vs[k + 1]])
        cv2.circle(holes, chart.px(*a), round(thick * 0.75 * chart.per_cm * 16), 255, -1, cv2.LINE_AA, 4)
        if any(low <= k / count <= high for low, high in lost):
            continue
        start, end = a + (b - a) * 0.14, b - (b - a) * 0.14
        cv2.line(threads, chart.px(*start), chart.px(*end), 255, width, cv2.LINE_AA, 4)
    chart.lay_on("hole", holes, 1.0, 0.01)
    chart.lay_on("thread", threads, 1.0, 0.008)
