"""Colours as numbers: CIELAB under D50 from sRGB, and the difference CIEDE2000 between two.

CIEDE2000: Sharma, Wu & Dalal 2005, "The CIEDE2000 Color-Difference Formula", Color Research and
Application 30(1), equations 2 to 22, with kL = kC = kH = 1; ISO/CIE 11664-6:2014. sRGB: IEC 61966-2-1.
Lab: ISO/CIE 11664-4:2019. Pure. Not done here: where the numbers come from, and whether a camera's can be
trusted (`target`).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

FORMULA = "CIEDE2000 (1:1:1)"
# Linear sRGB (D65) to XYZ under D50 by the linear Bradford transform, as ICC profiles of sRGB have it.
TO_XYZ_D50 = np.array(
    [
        [0.4360747, 0.3850649, 0.1430804],
        [0.2225045, 0.7168786, 0.0606169],
        [0.0139322, 0.0971045, 0.7141733],
    ]
)
WHITE_D50 = np.array(
    [0.96422, 1.0, 0.82521]
)  # ASTM E308-01 table 5, divided by 100; what the matrix gives for white

_SEVENTH = 25.0**7


def linear(srgb: ArrayLike) -> Floats:
    """sRGB values 0 to 255 (..., 3) to linear light 0 to 1."""
    value = np.asarray(srgb, float) / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def lab_of_xyz(xyz: ArrayLike) -> Floats:
    """XYZ under D50 (..., 3), Y of white 1, to CIELAB."""
    ratio = np.asarray(xyz, float) / WHITE_D50
    step = 6 / 29
    root = np.where(ratio > step**3, np.cbrt(ratio), ratio / (3 * step**2) + 4 / 29)
    x, y, z = root[..., 0], root[..., 1], root[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def ciede2000(one: ArrayLike, other: ArrayLike) -> Floats:
    """The difference of CIELAB colours (..., 3), pair by pair."""
    first, second = np.asarray(one, float), np.asarray(other, float)
    chroma = (np.hypot(first[..., 1], first[..., 2]) + np.hypot(second[..., 1], second[..., 2])) / 2
    stretch = 1 + 0.5 * (1 - np.sqrt(chroma**7 / (chroma**7 + _SEVENTH)))
    (c1, h1), (c2, h2) = _polar(first, stretch), _polar(second, stretch)
    lightness, middle_l = second[..., 0] - first[..., 0], (first[..., 0] + second[..., 0]) / 2
    turn, middle_h = _hues(c1, h1, c2, h2)
    middle_c = (c1 + c2) / 2
    delta_h = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn / 2))
    s_l, s_c, s_h = _weights(middle_l, middle_c, middle_h)
    l, c, h = lightness / s_l, (c2 - c1) / s_c, delta_h / s_h  # noqa: E741 - the letters of the formula
    return np.asarray(np.sqrt(l**2 + c**2 + h**2 + _rotation(middle_c, middle_h) * c * h), np.float64)


def _polar(lab: Floats, stretch: Floats) -> tuple[Floats, Floats]:
    """Equations 5 to 7: chroma, and hue in degrees 0 to 360."""
    a, b = lab[..., 1] * stretch, lab[..., 2]
    return np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360


def _hues(c1: Floats, h1: Floats, c2: Floats, h2: Floats) -> tuple[Floats, Floats]:
    """Equations 10 and 14: the turn from one hue to the other the short way, and the hue between them.

    Opposite hues count as within 180 degrees although their difference is rounded (pairs 9 to 16).
    """
    apart = h2 - h1
    near = np.abs(apart) <= 180 + 1e-9
    grey = c1 * c2 == 0
    turn = np.where(near, apart, apart - 360 * np.sign(apart))
    total = h1 + h2
    middle = np.where(near, total / 2, np.where(total < 360, (total + 360) / 2, (total - 360) / 2))
    return np.where(grey, 0.0, turn), np.where(grey, total, middle)


def _weights(middle_l: Floats, middle_c: Floats, middle_h: Floats) -> tuple[Floats, Floats, Floats]:
    """Equations 15, 18 to 20: how large a step counts as one, in lightness, chroma and hue."""
    t = (
        1
        - 0.17 * np.cos(np.radians(middle_h - 30))
        + 0.24 * np.cos(np.radians(2 * middle_h))
        + 0.32 * np.cos(np.radians(3 * middle_h + 6))
        - 0.20 * np.cos(np.radians(4 * middle_h - 63))
    )
    from_middle = (middle_l - 50) ** 2
    return 1 + 0.015 * from_middle / np.sqrt(20 + from_middle), 1 + 0.045 * middle_c, 1 + 0.015 * middle_c * t


def _rotation(middle_c: Floats, middle_h: Floats) -> Floats:
    """Equations 16, 17 and 21: chroma and hue are not independent in the blue."""
    turn = 30 * np.exp(-(((middle_h - 275) / 25) ** 2))
    strength = 2 * np.sqrt(middle_c**7 / (middle_c**7 + _SEVENTH))
    rotation: Floats = -np.sin(np.radians(2 * turn)) * strength
    return rotation
