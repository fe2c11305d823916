"""The photograph after the work in the frame of the one before: public photographs, known homographies.

Sources and licences: tests/picture_scenes.py.
"""

from __future__ import annotations

import hashlib
import sys
from io import BytesIO
from pathlib import Path

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from dossier.pictures import align_plane
from dossier.pictures.decode import decode_both
from dossier.pictures.lay import lay

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import picture_scenes as scenes

CALM = scenes.Change(gain=(1.0, 1.0), gradient=0.0, gamma=0.0, noise=0.0, changed=0.0, quality=97)


def shown(jpeg: bytes) -> np.ndarray:
    return cv2.cvtColor(cv2.imdecode(np.frombuffer(jpeg, np.uint8), cv2.IMREAD_COLOR), cv2.COLOR_BGR2RGB)


@pytest.mark.parametrize("name", ["coffee", "rocket"])
def test_both_show_the_same_at_one_scale(name: str) -> None:
    """Where it shows anything it differs from the one before by resampling and compression alone."""
    pair = scenes.pair(name, "coins", 3, CALM)
    picture = lay(pair.before, pair.after, "photo-001.jpg", 90)
    assert picture.laid.refused == ""
    drawn = shown(picture.jpeg)
    assert drawn.shape == pair.before.shape
    assert (picture.laid.shown_height, picture.laid.shown_width) == drawn.shape[:2]
    assert picture.laid.shown_sha256 == hashlib.sha256(picture.jpeg).hexdigest()
    white = cv2.erode((drawn.min(axis=2) > 250).astype(np.uint8), np.ones((9, 9)))
    inside = cv2.dilate(white, np.ones((41, 41))) == 0
    assert inside.mean() > 0.5
    laid, as_taken = (apart(one, pair.before)[inside].mean() for one in (drawn, pair.after))
    assert laid < 4 < as_taken
    assert laid < as_taken / 4


def apart(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """The difference of two pictures of one size, grain and compression smoothed away."""
    first, second = (cv2.GaussianBlur(picture, (0, 0), 2).astype(float) for picture in (one, other))
    return np.abs(first - second).mean(axis=2)


def test_what_it_does_not_show_is_white() -> None:
    before = scenes.photograph("coffee")[:400, :600]
    after = before[:, 150:]
    picture = lay(before, after, "photo-001.jpg", 90)
    drawn = shown(picture.jpeg)
    assert (drawn[:, :140] > 245).all()
    assert not (drawn[:, 160:] > 245).all(axis=2).all()


def test_less_than_half_of_the_frame_is_refused() -> None:
    before = scenes.photograph("coffee")[:400, :600]
    picture = lay(before, before[:, 330:], "photo-001.jpg", 90)
    assert (picture.laid.refused, picture.jpeg) == ("little_in_common", b"")
    assert 40 <= int(picture.laid.figures["percent"]) <= 48  # 270 of 600 columns are 45 %


def test_another_object_is_refused_with_its_reason() -> None:
    picture = lay(scenes.photograph("coffee"), scenes.photograph("rocket"), "photo-001.jpg", 90)
    assert picture.laid.refused
    assert (picture.laid.homography, picture.laid.shown_sha256, picture.jpeg) == ((), "", b"")


def test_drawn_from_the_finer_picture_it_loses_less(data, decibels) -> None:
    """A real camera's 5 MP, turned a little, against averaging every pixel of the same frame.

    At a size whose other side is no whole number: by the long sides alone it lay half a pixel off.
    """
    with Image.open(data / "rockery.jpg") as image:
        scene = np.asarray(image)
    turned = np.array([[0.998, 0.05, -30], [-0.05, 0.998, 60], [2e-6, 1e-6, 1]])
    size = (scene.shape[1], scene.shape[0])
    after = cv2.warpPerspective(scene, turned, size, flags=cv2.INTER_LANCZOS4, borderMode=cv2.BORDER_REFLECT)
    before, later = (decode_both(photograph(picture), 1, 850) for picture in (scene, after))
    assert later.finer is not None
    assert later.finer.shape[1] == 1280
    once, twice = (
        shown(lay(before.pixels, later.pixels, "photo-001.jpg", 98, finer).jpeg)
        for finer in (later.finer, None)
    )
    truth = cv2.resize(scene, (once.shape[1], once.shape[0]), interpolation=cv2.INTER_AREA)
    middle = np.s_[40:-40, 40:-40]
    better, worse = (decibels(drawn[middle], truth[middle]) for drawn in (once, twice))
    assert better > worse + 3  # 41.6 and 36.5 seen


def photograph(pixels: np.ndarray) -> bytes:
    content = BytesIO()
    Image.fromarray(pixels).save(content, "JPEG", quality=97)
    return content.getvalue()


@given(
    seed=st.integers(0, 2**32 - 1),
    before=st.tuples(st.integers(200, 900), st.integers(200, 900)),
    after=st.tuples(st.integers(200, 900), st.integers(200, 900)),
)
def test_the_share_seen_is_that_of_every_pixel(seed, before, after) -> None:
    """Against OpenCV's own warp of a picture of nothing but white."""
    moved = np.random.default_rng(seed)
    homography = np.eye(3) + moved.uniform(-0.3, 0.3, (3, 3)) * [[1, 1, 500], [1, 1, 500], [1e-3, 1e-3, 0]]
    full = np.full(after, 255, np.uint8)
    flags = cv2.INTER_NEAREST | cv2.WARP_INVERSE_MAP
    drawn = cv2.warpPerspective(full, homography, before[::-1], flags=flags)
    assert abs(align_plane.share_seen(homography, before, after) - (drawn > 0).mean()) < 0.02
