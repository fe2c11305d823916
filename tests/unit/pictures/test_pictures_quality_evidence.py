"""What makes a photograph weak, against scikit-image's `blur_effect` and on public photographs."""

from __future__ import annotations

import cv2
import numpy as np
import picture_scenes as scenes
import pytest
import skimage.data
from skimage.measure import blur_effect

from dossier.pictures import quality
from dossier.words import Catalogue

DETAILED = ("astronaut", "coffee", "chelsea", "coins", "rockery")
AS_THEY_ARE = (*DETAILED, "rocket", "camera", "brick", "gravel", "immunohistochemistry", "retina")


def said(pixels: np.ndarray) -> set[str]:
    found = quality.weaknesses(quality.measure(pixels), 4000, 3000)
    for weak in found:
        assert Catalogue().say(f"evidence.finding.{weak.code}", file="a.jpg", **weak.figures)
    return {weak.code for weak in found}


@pytest.mark.parametrize("name", ["astronaut", "camera", "coins", "brick"])
@pytest.mark.parametrize("sigma", [0, 1, 3])
def test_blur_is_the_published_measure(name: str, sigma: int) -> None:
    """Crete et al. 2007 as scikit-image has it; its slope filter weighs three rows as ours does."""
    grey = cv2.cvtColor(scenes.photograph(name), cv2.COLOR_RGB2GRAY)
    if sigma:
        grey = cv2.GaussianBlur(grey, (0, 0), sigma)
    assert quality.blur(grey) == pytest.approx(blur_effect(grey), abs=0.01)


@pytest.mark.parametrize("name", AS_THEY_ARE)
def test_photographs_as_they_are_can_serve(name: str) -> None:
    assert said(scenes.photograph(name)) == set()


@pytest.mark.parametrize("name", DETAILED)
def test_a_shaken_one_is_found(name: str) -> None:
    """As by a hand that moved 4 px at 1,000 px both ways."""
    pixels = quality.shrink(scenes.photograph(name), 1000)
    assert said(cv2.GaussianBlur(pixels, (0, 0), 4.0)) == {"photo-blurred"}


def test_burnt_out_and_too_dark() -> None:
    pixels = scenes.photograph("coffee").astype(float)
    assert said(np.clip(pixels * 6, 0, 255).astype(np.uint8)) == {"photo-burnt-out"}
    assert said((pixels * 0.2).astype(np.uint8)) == {"photo-too-dark"}
    glints = scenes.photograph("coffee").copy()
    glints[::6, ::6] = 255
    assert "photo-burnt-out" not in said(glints)


def test_too_small() -> None:
    seen = quality.measure(scenes.photograph("coffee"))
    assert [weak.code for weak in quality.weaknesses(seen, 600, 400)] == ["photo-too-small"]
    assert quality.weaknesses(seen, 600, 800) == []


def test_nothing_to_tell_by_is_no_blur() -> None:
    assert quality.measure(np.full((400, 500, 3), 140, np.uint8)).blur == 0
    assert quality.measure(skimage.data.astronaut()[:9, :9]).blur == 0
