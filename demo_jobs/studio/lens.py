"""From light to a photograph: depth of field, lens, sensor and tone, as a telephone's camera gives them."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from studio.solids import Grid


@dataclass(frozen=True)
class Lens:
    focus: float  # cm
    open: float = 1.0  # how fast things blur away from the focus; 0 is a pinhole
    exposure: float = 1.0
    balance: tuple[float, float, float] = (1.0, 1.0, 1.0)
    noise: float = 1.0
    vignette: float = 0.28


def developed(light: Grid, depth: Grid, lens: Lens, size: tuple[int, int], seed: int) -> np.ndarray:
    """8-bit sRGB picture of `size` (width, height)."""
    soft = _focused(light, depth, lens)
    small = cv2.resize(_bloom(soft), size, interpolation=cv2.INTER_AREA)
    seen = (
        small * np.array(lens.balance, np.float32) * np.float32(lens.exposure) * _falloff(size, lens.vignette)
    )
    grainy = _sensor(seen, lens.noise, np.random.default_rng(seed))
    toned = srgb(_film(np.clip(grainy, 0, None)))
    sharp = toned + 0.35 * (toned - cv2.GaussianBlur(toned, (0, 0), 1.1))
    return (np.clip(sharp, 0, 1) * 255 + 0.5).astype(np.uint8)


def _focused(light: Grid, depth: Grid, lens: Lens) -> Grid:
    """Each pixel blurred by how far it lies from the focus, between ready blurred pictures."""
    width = light.shape[1]
    blur = np.abs(1 / depth - 1 / lens.focus) * lens.focus * lens.open * width * 0.012
    blur = cv2.GaussianBlur(blur.astype(np.float32), (0, 0), 2.0)
    radii = [0.0, 1.2, 2.6, 5.0, 9.0]
    steps = [light] + [cv2.GaussianBlur(light, (0, 0), r) for r in radii[1:]]
    out = np.zeros_like(light)
    for k, picture in enumerate(steps):
        below = radii[k - 1] if k else -1.0
        above = radii[k + 1] if k + 1 < len(radii) else 1e9
        rise = np.clip((blur - below) / (radii[k] - below), 0, 1)
        fall = np.clip((above - blur) / (above - radii[k]), 0, 1)
        out += picture * np.minimum(rise, fall)[..., None]
    return out


def _bloom(light: Grid) -> Grid:
    bright = np.clip(light - 1.0, 0, 4)
    return light + 0.06 * cv2.GaussianBlur(bright, (0, 0), light.shape[1] / 160)


def _falloff(size: tuple[int, int], strength: float) -> Grid:
    u = np.linspace(-1, 1, size[0], dtype=np.float32)[None, :]
    v = np.linspace(-1, 1, size[1], dtype=np.float32)[:, None] * size[1] / size[0]
    return (1 / (1 + strength * (u * u + v * v)))[..., None]


def _sensor(seen: Grid, strength: float, rng: np.random.Generator) -> Grid:
    shape = seen.shape
    shot = np.sqrt(np.clip(seen, 0.002, 1)) * np.float32(0.0085 * strength)
    plain = rng.standard_normal(shape[:2]).astype(np.float32)[..., None]
    colour = cv2.GaussianBlur(rng.standard_normal(shape).astype(np.float32), (0, 0), 1.0) * 1.1
    return seen + shot * (0.8 * plain + 0.6 * colour)


def _film(x: Grid) -> Grid:
    """A gentle shoulder: straight below 0.6, bending to 1."""
    knee = np.float32(0.55)
    over = np.clip(x - knee, 0, None)
    return np.where(x < knee, x, knee + (1 - knee) * (1 - np.exp(-over / (1 - knee))))


def srgb(x: Grid) -> Grid:
    """Linear to sRGB (IEC 61966-2-1)."""
    return np.where(x <= 0.0031308, 12.92 * x, 1.055 * np.power(np.clip(x, 1e-9, None), 1 / 2.4) - 0.055)
