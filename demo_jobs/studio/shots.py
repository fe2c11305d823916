"""One photograph as taken: what is in front of the camera, the camera, and what its file says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import cv2
import numpy as np

from studio.lens import Lens, developed
from studio.light import Studio, Surface, lit
from studio.rays import Camera, Field, see
from studio.solids import Solid

Scene = tuple[list[Solid], dict[str, Surface]]
LONG, SHORT = 1600, 1200


@dataclass(frozen=True)
class Shot:
    """`taken` is local time with offset; `turn` the EXIF orientation the file is stored with."""

    file: str
    taken: str
    scene: Callable[[], Scene]
    camera: Camera
    lens: Lens
    studio: Studio = field(default_factory=Studio)
    upright: bool = False  # taller than wide
    turn: int = 1
    soft: float = 9.0
    position: bool = False  # the file says where it was taken
    wide_colours: bool = False  # saved in a wider colour space than sRGB
    flat_scan: bool = False  # a scan: no camera data, few colours


def take(shot: Shot, long_side: int = LONG, over: float = 1.12) -> np.ndarray:
    """The upright picture, 8-bit sRGB, rendered `over` times larger and brought down to size."""
    long_, short = long_side, long_side * SHORT // LONG
    size = (short, long_) if shot.upright else (long_, short)
    width, height = round(size[0] * over), round(size[1] * over)
    solids, surfaces = shot.scene()
    sight = see(Field(solids), shot.camera, width, height, shot.studio.sun, shot.soft)
    light = lit(sight, surfaces, shot.studio, shot.camera.pixel(width))
    light = softened(light, sight.t, sight.kind)
    seed = sum(ord(c) * (k + 1) for k, c in enumerate(shot.file))
    return developed(light, sight.t, shot.lens, size, seed)


def softened(light: np.ndarray, depth: np.ndarray, kind: np.ndarray) -> np.ndarray:
    """Edges between surfaces without steps: there, and only there, a little blur."""
    cross = np.array([[0, 1, 0], [1, 1, 1], [0, 1, 0]], np.uint8)
    step = (cv2.dilate(kind, cross) != cv2.erode(kind, cross)) | (
        cv2.dilate(depth, cross) - cv2.erode(depth, cross) > depth * np.float32(0.012)
    )
    share = cv2.GaussianBlur(step.astype(np.float32), (0, 0), 0.7)[..., None]
    return (light * (1 - share) + cv2.GaussianBlur(light, (0, 0), 0.75) * share).astype(np.float32)
