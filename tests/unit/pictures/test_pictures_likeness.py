"""The same photograph twice, on public photographs; the transform against scipy's."""

from __future__ import annotations

import itertools

import cv2
import numpy as np
import picture_scenes as scenes
import pytest
from scipy.fft import dctn

from dossier.pictures import likeness

NAMES = (
    "astronaut",
    "coffee",
    "chelsea",
    "camera",
    "coins",
    "brick",
    "gravel",
    "rocket",
    "retina",
    "rockery",
)


def taken(pixels: np.ndarray, digest: str = "") -> likeness.Print:
    return likeness.take(pixels, digest)


@pytest.fixture(scope="module")
def prints() -> list[likeness.Print]:
    return [taken(scenes.photograph(name), name) for name in NAMES]


def saved_again(pixels: np.ndarray, size: int, quality: int) -> np.ndarray:
    factor = size / max(pixels.shape)
    small = cv2.resize(pixels, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
    encoded = cv2.imencode(".jpg", small[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return cv2.imdecode(encoded, cv2.IMREAD_COLOR)[..., ::-1]


def test_signs_are_those_of_the_transform() -> None:
    """scipy.fft.dctn (type II, orthonormal) of the same 32 x 32 values."""
    small = likeness.take(scenes.photograph("astronaut"), "").small
    coarse = cv2.resize(small, (32, 32), interpolation=cv2.INTER_AREA).astype(float)
    low = dctn(coarse, norm="ortho")[:8, :8].ravel()
    bits = "".join("1" if value > np.median(low[1:]) else "0" for value in low)
    assert likeness.signs(small) == int(bits, 2)


def test_different_scenes_are_never_alike(prints: list[likeness.Print]) -> None:
    assert likeness.nearly_same(prints) == []
    apart = [(a.signs ^ b.signs).bit_count() for a, b in itertools.combinations(prints, 2)]
    assert min(apart) >= 2 * likeness.MOST_SIGNS  # 20 seen


def test_different_pieces_of_one_scene_are_never_alike() -> None:
    """48 pieces of one wall of stones, 320 x 320 pixels each: as alike as different scenes get."""
    rockery = scenes.photograph("rockery")
    pieces = [
        taken(rockery[y : y + 320, x : x + 320], f"{x} {y}")
        for y, x in itertools.product(range(0, 1920, 320), range(0, 2560, 320))
    ]
    assert likeness.nearly_same(pieces) == []


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(("size", "quality"), [(320, 30), (400, 60), (360, 85)])
def test_scaled_and_saved_again_is_found(name: str, size: int, quality: int) -> None:
    pixels = scenes.photograph(name)
    again = taken(saved_again(pixels, size, quality), "again")
    assert likeness.nearly_same([taken(pixels, "first"), again]) == [(0, 1)]


@pytest.mark.parametrize("name", NAMES[::2])
def test_before_and_after_from_one_tripod_are_not_the_same(name: str) -> None:
    """2 % of the area changed, the camera did not move."""
    still = scenes.Change(turn=0, tilt=0, zoom=0, changed=0.02, gradient=0.1)
    pair = scenes.pair(name, "immunohistochemistry", 1, still)
    assert likeness.nearly_same([taken(pair.before, "before"), taken(pair.after, "after")]) == []


def test_byte_for_byte() -> None:
    one = scenes.photograph("camera")
    prints = [taken(one, "a"), taken(one, "b"), taken(one, "a"), taken(one[:, ::-1].copy(), "c")]
    assert likeness.same(prints) == [[0, 2]]
    assert likeness.nearly_same(prints) == [(0, 1), (1, 2)]
    assert likeness.nearly_same([]) == []


@pytest.mark.parametrize("quarters", [1, 2, 3])
def test_one_turned_is_the_same(prints: list[likeness.Print], quarters: int) -> None:
    """As a program leaves it that drops the orientation (EXIF 2.32, 4.6.4 A)."""
    turned = np.rot90(scenes.photograph("coffee"), quarters)
    again = taken(np.ascontiguousarray(saved_again(turned, 480, 60)), "again")
    assert likeness.nearly_same([*prints, again]) == [(NAMES.index("coffee"), len(prints))]
