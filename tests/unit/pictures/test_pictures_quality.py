"""40 dB or better, before encoding, on a real camera's pixels, against averaging every pixel at full scale.

The picture is `tests/data/photographs/rockery.jpg`: 2560 x 1920 pixels of a compact camera at full scale,
stone and leaves. Sizes have the proportions of a 12 MP photograph shown at 1,800 to 400 pixels.
"""

from __future__ import annotations

from io import BytesIO

import cv2
import numpy as np
import pytest
from PIL import Image

from dossier.pictures.decode import decode


@pytest.mark.parametrize(
    ("share", "least"),
    [
        *((share, 40) for share in (0.45, 0.4, 0.325, 0.3, 0.28, 0.265, 0.25, 0.2, 0.16, 0.1)),
        # Softened first: steps of 2.6 to 3.85 from half scale, where averaging the half comes to 47 to 51.
        *((share, 45) for share in (0.19, 0.18, 0.17, 0.15, 0.13)),
    ],
)
def test_decibels(data, decibels, share, least):
    content = (data / "rockery.jpg").read_bytes()
    whole = cv2.imdecode(np.frombuffer(content, np.uint8), cv2.IMREAD_COLOR)[:, :, ::-1]
    made = decode(content, 1, round(2560 * share))
    assert decibels(made, averaged(whole, made)) >= least


def averaged(pixels: np.ndarray, like: np.ndarray) -> np.ndarray:
    return cv2.resize(pixels, (like.shape[1], like.shape[0]), interpolation=cv2.INTER_AREA)


def test_what_is_decoded_whole_is_averaged() -> None:
    """Thin lines, as of a drawing, at the steps where a photograph is softened."""
    drawing = np.full((900, 1200, 3), 255, np.uint8)
    drawing[::7], drawing[:, ::5] = 0, 90
    for kind in ("PNG", "TIFF", "JPEG"):
        content = BytesIO()
        Image.fromarray(drawing).save(content, kind)
        whole = np.asarray(Image.open(content).convert("RGB"))
        made = decode(content.getvalue(), 1, 1200 * 10 // 27)
        assert np.array_equal(made, averaged(whole, made)), kind


@pytest.mark.parametrize(("step", "softened"), [(1.95, False), (2.5, False), (2.7, True), (3.9, True)])
def test_only_long_steps_are_softened(data, step, softened):
    """At short ones a weave of a pixel or two would shimmer."""
    content = (data / "rockery.jpg").read_bytes()
    half = cv2.imdecode(np.frombuffer(content, np.uint8), cv2.IMREAD_REDUCED_COLOR_2)[:, :, ::-1]
    made = decode(content, 1, round(half.shape[1] / step))
    assert (np.abs(made.astype(int) - averaged(half, made)).max() > 4) == softened


@pytest.mark.parametrize("share", [0.45, 0.4])
def test_forty_decibels_against_lanczos_too(data, decibels, share):
    """At the sizes shown large, also against Pillow's antialiased Lanczos of the full picture."""
    content = (data / "rockery.jpg").read_bytes()
    made = decode(content, 1, round(2560 * share))
    with Image.open(data / "rockery.jpg") as image:
        reference = np.asarray(image.resize((made.shape[1], made.shape[0]), Image.Resampling.LANCZOS))
    assert decibels(made, reference) >= 40


def test_small_pictures_are_decoded_whole(data, decibels):
    """A small picture, sharp to the last pixel, equals its own full decode."""
    content = (data / "old-phone.jpg").read_bytes()
    whole = cv2.imdecode(np.frombuffer(content, np.uint8), cv2.IMREAD_COLOR)[:, :, ::-1]
    assert np.array_equal(decode(content, 1, 5000), whole)
