"""What differs between two photographs, on public ones of which it is known (sources: picture_scenes.py).

How well the places agree is the area under the ROC curve: scipy's rank statistic (Mann-Whitney U) divided by
the number of pairs of places.
"""

from __future__ import annotations

import sys
from pathlib import Path

import cv2
import numpy as np
import pytest
from scipy.stats import mannwhitneyu

from dossier.pictures import align
from dossier.pictures.changed import apart, view
from dossier.pictures.difference import TO_XYZ_D50, ciede2000, lab_of_xyz, linear

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import picture_scenes as scenes


def lit(pixels: np.ndarray) -> np.ndarray:
    """Warm light from the right: a third of it at the left, less blue (IEC 61966-2-1 both ways)."""
    fall = np.linspace(0.35, 1.0, pixels.shape[1])[None, :, None] * np.array([1.0, 0.95, 0.8])
    light = linear(pixels) * fall
    encoded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.rint(encoded * 255).astype(np.uint8)


def dyed(pixels: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """One patch, a twelfth of the picture, is somewhat darker and redder, as new leather in an old lining."""
    mask = np.zeros(pixels.shape[:2], np.uint8)
    height, width = mask.shape
    cv2.ellipse(mask, (width // 2, height // 2), (width // 5, height // 8), 20, 0, 360, 1, -1)
    new = np.clip(pixels * np.array([0.8, 0.62, 0.6]), 0, 255).astype(np.uint8)
    return np.where(mask[..., None] == 1, new, pixels), mask == 1


def told_apart(found: np.ndarray, where: np.ndarray) -> float:
    core = cv2.erode(where.astype(np.uint8), np.ones((9, 9))) == 1
    rest = cv2.dilate(where.astype(np.uint8), np.ones((9, 9))) == 0
    rng = np.random.default_rng(1)
    changed, same = (rng.choice(found[part], 3000) for part in (core, rest))
    return float(mannwhitneyu(changed, same).statistic) / 3000**2


@pytest.mark.parametrize("name", ["coffee", "chelsea"])
def test_work_is_told_from_light(name: str) -> None:
    before = scenes.covering(scenes.photograph(name), (800, 600))
    worked, where = dyed(before)
    after = lit(worked)
    evened = told_apart(apart(before, after, np.ones(where.shape, bool)), where)
    seen = (lab_of_xyz(linear(picture) @ TO_XYZ_D50.T) for picture in (before, after))
    plain = told_apart(ciede2000(*seen), where)
    assert evened > 0.95
    assert plain < evened  # the light alone hides some of it


def test_nothing_differs_between_a_picture_and_itself_in_other_light() -> None:
    before = scenes.covering(scenes.photograph("coffee"), (800, 600))
    found = apart(before, lit(before), np.ones((600, 800), bool))
    assert np.median(found) < 2
    assert np.percentile(found, 95) < 6


def test_the_view_shows_three_pictures_and_white_where_only_one_shows_anything() -> None:
    pair = scenes.pair("coffee", "coins", 3)
    shown = view(pair.before, pair.after)
    assert isinstance(shown, np.ndarray)
    height, width = pair.before.shape[:2]
    assert shown.shape == (height, 3 * width + 24, 3)
    assert (shown[:, :width] == pair.before).all()
    third = shown[:, 2 * width + 24 :]
    assert (third == 255).all(axis=2).any()


def test_the_edge_of_what_is_shown_does_not_differ() -> None:
    """The white beside it had been smoothed into it, and the whole edge was drawn as work."""
    before = scenes.covering(scenes.photograph("coffee"), (300, 225))
    after, seen = before.copy(), np.ones((225, 300), bool)
    after[:, :40], seen[:, :40] = 255, False
    assert apart(before, after, seen).max() < 1


def test_two_scenes_are_not_compared() -> None:
    found = view(scenes.photograph("coffee"), scenes.photograph("rocket"))
    assert isinstance(found, align.NotAligned)
