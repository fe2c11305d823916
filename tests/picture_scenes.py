"""Pairs of photographs with a known homography, made from public photographs that packages ship.

Shared by the tests of `pictures` and by `tests/bench`. Sources and licences: scikit-image's own data
(astronaut, coffee, chelsea, rocket, hubble, retina, camera, coins, brick, gravel ...: public domain, CC0 or
CC BY by its `data` documentation) and `rockery.jpg` (tests/data/photographs/README.md: a real camera's,
from Pillow). What is done to them is said in `Change`; the truth is the homography drawn with, to floating-
point accuracy.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import skimage.data

DATA = Path(__file__).resolve().parent / "data" / "photographs"
SIZE = (1000, 750)  # of a view, width and height
TEXTURED = (
    "astronaut",
    "coffee",
    "chelsea",
    "rocket",
    "camera",
    "coins",
    "brick",
    "gravel",
    "immunohistochemistry",
)
WHOLE = (*TEXTURED, "retina", "hubble_deep_field", "moon", "text")
LARGE = ("retina", "hubble_deep_field")


@dataclass(frozen=True)
class Change:
    """What is different in the second view."""

    turn: float = 6.0  # degrees at most, either way
    tilt: float = 0.08  # corners moved at most, as a share of the view
    zoom: float = 0.12  # at most, either way
    gain: tuple[float, float] = (0.7, 1.3)
    gradient: float = 0.35  # light falling off across the picture at most
    gamma: float = 0.2
    noise: float = 5.0  # standard deviation of 255
    changed: float = 0.3  # share of the area that shows something else
    quality: int = 88  # JPEG
    nearer: float = 1.0  # the second view shows down to one part in this of the first's length
    cast: float = 0.0  # each colour brighter or darker at most
    shadow: float = 0.0  # how much darker one side of a hard edge is at most
    surface: float = 0.0  # how much of the second view is the texture of another thing


USUAL = Change()


@dataclass(frozen=True)
class Pair:
    name: str
    before: np.ndarray
    after: np.ndarray
    truth: np.ndarray  # a pixel of `before` to one of `after`


@cache
def photograph(name: str) -> np.ndarray:
    """RGB pixels of a named source, or of a file; not to be written to."""
    pixels = _read(name)
    pixels.setflags(write=False)
    return pixels


def _read(name: str) -> np.ndarray:
    if name == "rockery":
        return cv2.cvtColor(cv2.imread(str(DATA / "rockery.jpg")), cv2.COLOR_BGR2RGB)
    if Path(name).exists():
        return cv2.cvtColor(cv2.imread(name), cv2.COLOR_BGR2RGB)
    pixels = getattr(skimage.data, name)()
    return (
        cv2.cvtColor(pixels, cv2.COLOR_GRAY2RGB)
        if pixels.ndim == 2
        else np.ascontiguousarray(pixels[..., :3])
    )


def covering(pixels: np.ndarray, size: tuple[int, int]) -> np.ndarray:
    """`pixels` brought to the least size that covers `size`, cut to its shape in the middle."""
    factor = max(size[0] / pixels.shape[1], size[1] / pixels.shape[0])
    way = cv2.INTER_AREA if factor < 1 else cv2.INTER_CUBIC
    large = cv2.resize(pixels, None, fx=factor, fy=factor, interpolation=way)
    top, left = (large.shape[0] - size[1]) // 2, (large.shape[1] - size[0]) // 2
    return np.ascontiguousarray(large[top : top + size[1], left : left + size[0]])


def pair(name: str, other: str, seed: int, change: Change = USUAL, size: tuple[int, int] = SIZE) -> Pair:
    """Two views of `name`; in the second, places show `other` instead."""
    rng = np.random.default_rng(seed)
    canvas = (size[0] * 13 // 10, size[1] * 13 // 10)
    source = covering(photograph(name), canvas)
    altered = worked_on(source, covering(photograph(other), canvas), change.changed, rng)
    first, second = view(size, canvas, change, rng), view(size, canvas, change, rng)
    before = developed(drawn(source, first, size), change, rng, plain=True)
    after = developed(drawn(altered, second, size), change, rng)
    return Pair(name, before, after, second @ np.linalg.inv(first))


def layered(name: str, other: str, share: float, pixels: int) -> tuple[np.ndarray, np.ndarray]:
    """Two views of `name` with `share` of the area, in the middle, showing `other`, `pixels` further right in
    the second.
    """
    behind, near = covering(photograph(name), SIZE), covering(photograph(other), SIZE)
    width, height = (round(side * share**0.5) for side in SIZE)
    left, top = (SIZE[0] - width) // 2, (SIZE[1] - height) // 2
    seen = []
    for shift in (0, pixels):
        made = behind.copy()
        made[top : top + height, left + shift : left + shift + width] = near[
            top : top + height, left : left + width
        ]
        seen.append(developed(made, USUAL, np.random.default_rng(shift), plain=shift == 0))
    return seen[0], seen[1]


def view(
    size: tuple[int, int], canvas: tuple[int, int], change: Change, rng: np.random.Generator
) -> np.ndarray:
    """A homography from the canvas to a view of its middle."""
    width, height = size
    angle, zoom = (
        np.deg2rad(rng.uniform(-change.turn, change.turn)),
        1 + rng.uniform(-change.zoom, change.zoom),
    )
    if change.nearer > 1:
        zoom *= rng.uniform(1, change.nearer)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]]) * zoom
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]], float)
    moved = (corners - [width / 2, height / 2]) @ turn.T + [width / 2, height / 2]
    moved += rng.uniform(-change.tilt, change.tilt, (4, 2)) * [width, height] / 2
    shifted = corners + np.array([(canvas[0] - width) / 2, (canvas[1] - height) / 2])
    return cv2.getPerspectiveTransform(shifted.astype(np.float32), moved.astype(np.float32))


def drawn(pixels: np.ndarray, homography: np.ndarray, size: tuple[int, int]) -> np.ndarray:
    return cv2.warpPerspective(
        pixels,
        homography,
        size,
        flags=cv2.INTER_CUBIC,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=(70, 66, 60),
    )


def worked_on(source: np.ndarray, other: np.ndarray, share: float, rng: np.random.Generator) -> np.ndarray:
    """`share` of the area of `source` shows `other`, in some ten ellipses with hard edges."""
    height, width = source.shape[:2]
    mask = np.zeros((height, width), np.uint8)
    while mask.mean() < share:
        centre = (int(rng.uniform(0, width)), int(rng.uniform(0, height)))
        axes = (int(width * rng.uniform(0.06, 0.14)), int(height * rng.uniform(0.06, 0.14)))
        cv2.ellipse(mask, centre, axes, rng.uniform(0, 180), 0, 360, 1, -1)
    return np.where(mask[..., None] == 1, other, source)


def developed(
    pixels: np.ndarray, change: Change, rng: np.random.Generator, *, plain: bool = False
) -> np.ndarray:
    """As a camera saves it: light, noise, JPEG. `plain`: the usual light."""
    fine = pixels.astype(np.float32) / 255
    if not plain:
        fine = fine ** (1 + rng.uniform(-change.gamma, change.gamma)) * rng.uniform(*change.gain)
        across = np.linspace(-1, 1, pixels.shape[1])[None, :, None] * rng.uniform(-1, 1)
        down = np.linspace(-1, 1, pixels.shape[0])[:, None, None] * rng.uniform(-1, 1)
        fine = fine * (1 + change.gradient * (across + down) / 2)
        if change.cast:
            fine = fine * (1 + rng.uniform(-change.cast, change.cast, 3))
        if change.shadow:
            edge = across * rng.uniform(-1, 1) + down * rng.uniform(-1, 1) > rng.uniform(-0.1, 0.1)
            fine = fine * np.where(edge, 1 - rng.uniform(0, change.shadow), 1)
    noisy = fine * 255 + rng.normal(0, change.noise, pixels.shape)
    saved = np.clip(noisy, 0, 255).astype(np.uint8)
    encoded = cv2.imencode(".jpg", saved[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, change.quality])[1]
    return np.ascontiguousarray(cv2.imdecode(encoded, cv2.IMREAD_COLOR)[..., ::-1])


def grain(shape: tuple[int, ...], rng: np.random.Generator) -> np.ndarray:
    """White noise of deviation 1, (height, width, 3): another window of one field each time, since drawing
    the numbers takes longer than what is tried with them."""
    field = _field()
    down, right = (
        int(rng.integers(0, room - used + 1)) for room, used in zip(field.shape, shape[:2], strict=False)
    )
    return field[down : down + shape[0], right : right + shape[1]]


@cache
def _field() -> np.ndarray:
    return np.random.default_rng(1).standard_normal((1300, 1800, 3), np.float32)


def corner_errors(truth: np.ndarray, found: np.ndarray, size: tuple[int, int] = SIZE) -> np.ndarray:
    """How far `found` puts each corner of the first view from where it is, in pixels (4,)."""
    width, height = size[0] - 1, size[1] - 1
    corners = np.array([[[0, 0], [width, 0], [width, height], [0, height]]], float)
    apart = cv2.perspectiveTransform(corners, found) - cv2.perspectiveTransform(corners, truth)
    return np.linalg.norm(apart[0], axis=1)


def in_pixels(matrix: np.ndarray, size: tuple[int, int] = SIZE) -> np.ndarray:
    """A homography in parts of 1,000 from the corner, for pixels counted from their middles."""
    factor = 1000 / max(size)
    parts = np.array([[factor, 0, factor / 2], [0, factor, factor / 2], [0, 0, 1]])
    return np.linalg.inv(parts) @ matrix @ parts


# Another place to stand and another light, as months later.
STRONG = Change(turn=15, tilt=0.25, zoom=0.25, gain=(0.55, 1.35), gradient=0.5, gamma=0.3)
# A new surface, another lamp, and nearer by: what months in a workshop do.
REWORKED = Change(
    turn=20,
    tilt=0.14,
    zoom=0.0,
    nearer=2.0,
    gain=(0.6, 1.3),
    gradient=0.6,
    gamma=0.3,
    changed=0.15,
    cast=0.25,
    shadow=0.5,
    surface=0.3,
)
ELSEWHERE = Change(turn=9, tilt=0.14, zoom=0.18, gain=(0.55, 1.35), gradient=0.5, gamma=0.3)


@dataclass(frozen=True)
class Album:
    """Photographs before and after in no order; `pairs` of indices; about half have no partner."""

    before: list[np.ndarray]
    after: list[np.ndarray]
    pairs: list[tuple[int, int]]


def pieces(names: list[str], per_picture: int, side: int = 800) -> list[np.ndarray]:
    """Pieces of the named pictures that do not overlap and have some detail."""
    found: list[np.ndarray] = []
    for name in names:
        pixels = photograph(name)
        high, wide = max(1, pixels.shape[0] // side), max(1, pixels.shape[1] // side)
        places = [(row * side, column * side) for row in range(high) for column in range(wide)]
        some = [pixels[y : y + side, x : x + side] for y, x in places]
        found += [piece for piece in some if detailed(piece)][:per_picture]
    return found


def detailed(pixels: np.ndarray) -> bool:
    """Whether it shows something: any object of a workshop does, a soft ground or a plain wall does not.

    At 600 px it has 150 corners or more, and a tenth of 300 tiles vary by 10 of 255 or more: the grain of a
    wall has corners too.
    """
    grey = cv2.cvtColor(covering(pixels, (600, 450)), cv2.COLOR_RGB2GRAY)
    tiles = grey.reshape(15, 30, 20, 30).transpose(0, 2, 1, 3).reshape(300, -1)
    if np.mean(tiles.std(axis=1) >= 10) < 0.1:
        return False
    corners = cv2.goodFeaturesToTrack(grey, 500, 0.02, 8)
    return corners is not None and len(corners) >= 150


def album(scenes: list[np.ndarray], change: Change, seed: int, size: tuple[int, int] = (1000, 750)) -> Album:
    """Every other scene is seen before and after, of the rest one before and one after in turn."""
    rng = np.random.default_rng(seed)
    before: list[tuple[int, np.ndarray]] = []
    after: list[tuple[int, np.ndarray]] = []
    canvas = (size[0] * 13 // 10, size[1] * 13 // 10)
    others = [covering(photograph(name), canvas) for name in ("grass", "page")]  # in no scene of its own
    for number, scene in enumerate(scenes):
        source = covering(scene, canvas)
        other = others[number % 2]
        worked = worked_on(source, other, change.changed, rng)
        if change.surface:
            worked = cv2.addWeighted(worked, 1 - change.surface, other, change.surface, 0)
        shown = number % 4
        if shown != 1:
            before.append(
                (number, developed(drawn(source, view(size, canvas, change, rng), size), change, rng))
            )
        if shown != 3:
            after.append(
                (number, developed(drawn(worked, view(size, canvas, change, rng), size), change, rng))
            )
    rng.shuffle(after)
    where = {number: index for index, (number, _) in enumerate(after)}
    pairs = [(index, where[number]) for index, (number, _) in enumerate(before) if number in where]
    return Album([p for _, p in before], [p for _, p in after], pairs)
