"""The photograph after the work in the frame of the one before: public photographs, known homographies.

Sources and licences: tests/picture_scenes.py.
"""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

import cv2
import numpy as np
import pytest

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
