"""Photographs with a colour target, made from measured spectra: what a camera would save of them.

Sources, all by the package colour-science (BSD 3-clause): spectral sensitivities of two cameras measured by a
national laboratory; the lamps of CIE; spectra of the 24-patch target made before November 2014 (ISO 17321-1's
and an average of 30); the fourteen test samples of CIE 13.3 as leather, thread and the like; the vivid ones
of the colour quality scale (Davis & Ohno 2010) as dyes.
"""

from __future__ import annotations

import warnings
from functools import cache

import cv2
import numpy as np
import picture_scenes

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it says that drawing is not available
    import colour
    from colour.quality.datasets import SDS_TCS, SDS_VS

from dossier.pictures import difference

SHAPE = colour.SpectralShape(400, 700, 10)
CAMERAS = tuple(colour.MSDS_CAMERA_SENSITIVITIES)
CHART = (600, 400)  # px, of the block of patches drawn flat
SAMPLES = tuple(SDS_TCS["CIE 1995"])


@cache
def spectra(name: str) -> np.ndarray:
    """(n, bands) reflectances of a target, or of the samples ("samples", "vivid")."""
    apart = {"samples": SDS_TCS["CIE 1995"], "vivid": SDS_VS["NIST CQS 9.0"]}
    some = apart.get(name) or colour.SDS_COLOURCHECKERS[name]
    return np.array([sd.copy().align(SHAPE).values for sd in some.values()])


def seen(reflectances: np.ndarray, camera: str, lamp: str, exposure: float = 0.9) -> np.ndarray:
    """Linear signals (..., 3) of a camera balanced on a perfect white; that white gives `exposure`."""
    sensitivities = colour.MSDS_CAMERA_SENSITIVITIES[camera].copy().align(SHAPE).values
    light = colour.SDS_ILLUMINANTS[lamp].copy().align(SHAPE).values
    return (reflectances * light) @ sensitivities / (light @ sensitivities) * exposure


def lab_d50(reflectances: np.ndarray) -> np.ndarray:
    """CIELAB (..., 3) under D50, of the 2 degree observer, by the summation at these bands."""
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(SHAPE).values
    light = colour.SDS_ILLUMINANTS["D50"].copy().align(SHAPE).values
    xyz = (reflectances * light) @ observer / (light @ observer[:, 1])
    return colour.XYZ_to_Lab(xyz, colour.XYZ_to_xy(light @ observer))


def srgb(signal: np.ndarray) -> np.ndarray:
    """Signals as a camera saves them: the curve of sRGB, 0 to 255."""
    light = np.clip(signal, 0, 1)
    curved = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.round(curved * 255).astype(np.uint8)


def signals_of(lab: np.ndarray, cast: tuple[float, float, float] = (1, 1, 1)) -> np.ndarray:
    """Signals whose colour by sRGB is `lab` (D50), under a coloured light."""
    f_y = (lab[..., 0] + 16) / 116
    root = np.stack([f_y + lab[..., 1] / 500, f_y, f_y - lab[..., 2] / 200], axis=-1)
    xyz = np.where(root > 6 / 29, root**3, 3 * (6 / 29) ** 2 * (root - 4 / 29)) * difference.WHITE_D50
    return xyz @ np.linalg.inv(difference.TO_XYZ_D50).T * cast


def chart(values: np.ndarray, gap: float = 0.12, frame: int = 30) -> np.ndarray:
    """The target drawn flat: 24 patches (24, 3) of 0 to 255 in four rows, black between and around them."""
    width, height = CHART
    cell = width // 6
    flat = np.full((height + 2 * frame, width + 2 * frame, 3), 22, np.uint8)
    edge = round(cell * gap / 2)
    for index, value in enumerate(values):
        row, column = divmod(index, 6)
        y, x = frame + row * cell, frame + column * cell
        flat[y + edge : y + cell - edge, x + edge : x + cell - edge] = value
    return flat


def laid_into(
    picture: np.ndarray, flat: np.ndarray, corners: np.ndarray, frame: int = 30
) -> tuple[np.ndarray, np.ndarray]:
    """`flat` drawn into `picture` between four corners; and where the block of patches lies, (4, 2)."""
    height, width = flat.shape[:2]
    ends = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    to = cv2.getPerspectiveTransform(ends, np.array(corners, np.float32))
    size = picture.shape[1], picture.shape[0]
    drawn = cv2.warpPerspective(flat, to, size, flags=cv2.INTER_AREA)
    mask = cv2.warpPerspective(np.full((height, width), 255, np.uint8), to, size)
    inner = np.array([[frame, frame], [width - frame, frame]], float)
    inner = np.vstack([inner, [[width - frame, height - frame], [frame, height - frame]]])
    x, y, wide, high = cv2.boundingRect(mask)
    there = np.s_[y : y + high, x : x + wide]
    share = mask[there][..., None] / 255.0
    mixed = picture.astype(np.uint8)
    mixed[there] = np.round(picture[there] * (1 - share) + drawn[there] * share)
    return mixed, cv2.perspectiveTransform(inner[None], to)[0]


def grained(picture: np.ndarray, seed: int, noise: float = 3.0) -> np.ndarray:
    drawn = picture_scenes.grain(picture.shape, np.random.default_rng(seed)) * noise
    return np.clip(picture + drawn, 0, 255).astype(np.uint8)


def percent(points: np.ndarray, shape: tuple[int, ...], places: int = 2) -> str:
    """Points in pixels as `marks.csv` has them."""
    height, width = shape[:2]
    return " ".join(f"{x / width * 100:.{places}f},{y / height * 100:.{places}f}" for x, y in points)
