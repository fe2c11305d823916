"""Registration against known homographies, on public photographs (`picture_scenes`) and a real stereo pair.

Limits: issue figures (median corner error at most 0.3 px at 1,000 px, none accepted above 3 px).
"""

from __future__ import annotations

import itertools

import cv2
import numpy as np
import picture_scenes as scenes
import pytest
import skimage.data
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.pictures import align_match, align_plane, align_refine
from dossier.pictures.align import FEWEST_MATCHES, Alignment, NotAligned, align, working
from dossier.pictures.lay import framed
from dossier.words import Catalogue

NAMES = ("astronaut", "coffee", "chelsea", "rocket", "coins", "gravel", "hubble_deep_field", "rockery")
UNLIKE = ("astronaut", "coffee", "gravel", "brick", "coins", "retina")


def errors(pair: scenes.Pair) -> np.ndarray:
    answer = align(pair.before, pair.after)
    assert isinstance(answer, Alignment), (pair.name, answer)
    return scenes.corner_errors(pair.truth, scenes.in_pixels(answer.matrix()))


def looked_at(pair: scenes.Pair) -> tuple[align_match.Picture, align_match.Picture]:
    return align_match.picture(working(pair.before)), align_match.picture(working(pair.after))


def measure(seeds: range) -> list[np.ndarray]:
    others = [*NAMES[1:], NAMES[0]]
    some = zip(NAMES, others, strict=True)
    return [errors(scenes.pair(name, other, seed)) for (name, other), seed in itertools.product(some, seeds)]


def test_corners_are_where_they_are() -> None:
    """Light, noise and JPEG differ, and 30 % of the area shows something else."""
    found = measure(range(1))
    assert np.median([error.mean() for error in found]) <= 0.15  # 0.04 seen; the issue asks for 0.3
    assert max(error.max() for error in found) <= 3


def test_a_pattern_that_repeats_is_laid_over_by_its_large_shapes() -> None:
    """A brick wall: corners of one brick look like those of the next, and too few agree."""
    pair = scenes.pair("brick", "gravel", 0)
    assert len(align_match.match(*looked_at(pair)).inliers) < FEWEST_MATCHES
    assert errors(pair).max() <= 0.3  # 0.07 seen


@pytest.mark.campaign
def test_corners_of_many_pairs() -> None:
    found = measure(range(100, 115))
    assert np.median([error.mean() for error in found]) <= 0.15
    assert max(error.max() for error in found) <= 3


@pytest.mark.parametrize("turned", [90, 180])
def test_a_camera_held_otherwise(turned: int) -> None:
    pair = scenes.pair("coffee", "gravel", 5)
    after = np.ascontiguousarray(np.rot90(pair.after, turned // 90))
    answer = align(pair.before, after)
    assert isinstance(answer, Alignment)
    drawn, seen = framed(after, answer, *scenes.SIZE)
    # 30 % shows something else
    assert np.corrcoef(pair.before[seen].ravel(), drawn[seen].ravel())[0, 1] > 0.6


def test_other_scenes_are_refused() -> None:
    some = {
        name: scenes.developed(
            scenes.covering(scenes.photograph(name), scenes.SIZE), scenes.USUAL, np.random.default_rng(0)
        )
        for name in UNLIKE
    }
    for one, other in itertools.permutations(UNLIKE, 2):
        answer = align(some[one], some[other])
        assert isinstance(answer, NotAligned), (one, other)
        assert Catalogue().say(f"evidence.align.{answer.reason}", **answer.figures)


def test_depth_is_refused() -> None:
    """A real stereo pair of an engine (Middlebury 2014, in scikit-image): no plane holds."""
    left, right, _ = skimage.data.stereo_motorcycle()
    assert align(left, right) == NotAligned(reason="not_flat")


@pytest.mark.parametrize(("pixels", "share"), [(6, 1.0), (20, 0.5), (40, 0.5)])
def test_a_nearer_half_is_refused(pixels: int, share: float) -> None:
    """Half of the picture stands nearer, and moves; or all of it bulges."""
    pair = scenes.pair("astronaut", "gravel", 1, scenes.Change(changed=0.1))
    y, x = np.mgrid[0:750, 0:1000].astype(np.float32)
    near = (x > 500) if share == 0.5 else np.exp(-((x - 500) ** 2 + (y - 375) ** 2) / 250**2)
    answer = align(pair.before, bent(pair.after, pixels * near))
    assert answer == NotAligned(reason="not_flat")


@pytest.mark.parametrize(("share", "pixels", "laid"), [(0.3, 8, False), (0.3, 28, False), (0.05, 16, True)])
def test_a_layer_that_stands_nearer_is_refused_and_a_nudged_tool_is_not(
    share: float, pixels: int, laid: bool
) -> None:
    """A camera that moved shifts all that stands nearer: laid by the rest, that was shown displaced."""
    before, after = scenes.layered("gravel", "coffee", share, pixels)
    answer = align(before, after)
    assert isinstance(answer, Alignment) if laid else answer == NotAligned(reason="not_flat")


def bent(picture: np.ndarray, right: np.ndarray) -> np.ndarray:
    y, x = np.mgrid[0:750, 0:1000].astype(np.float32)
    return cv2.remap(picture, x - right.astype(np.float32), y, cv2.INTER_LINEAR)


def test_turned_over_is_refused() -> None:
    """As a film seen from behind: features of the mirror image match by chance only, or it folds."""
    pair = scenes.pair("coffee", "gravel", 5)
    assert isinstance(align(pair.before, np.ascontiguousarray(pair.after[:, ::-1])), NotAligned)


def test_little_in_common_and_too_small() -> None:
    pixels = scenes.covering(scenes.photograph("rockery"), (1000, 750))
    assert getattr(align(pixels[:, :560], pixels[:, 470:]), "reason", "") in ("little_in_common", "too_few")
    small = align(pixels[:150], pixels)
    assert small == NotAligned(reason="too_small", figures={"needed": "200"})
    assert isinstance(align(np.full((400, 600, 3), 128, np.uint8), pixels), NotAligned)


def test_the_same_at_any_size_and_again() -> None:
    """Parts of 1,000 hold for the same photograph at twice the size (to the accuracy of the scaling)."""
    large = scenes.pair("rockery", "gravel", 3, size=(2000, 1500))
    answer = align(large.before, large.after)
    assert isinstance(answer, Alignment)
    assert answer == align(large.before, large.after)
    found = scenes.in_pixels(answer.matrix(), (2000, 1500))
    assert scenes.corner_errors(large.truth, found, (2000, 1500)).max() < 1.0  # px of 2,000


@given(
    st.lists(st.floats(-0.2, 0.2), min_size=8, max_size=8),
    st.floats(0.6, 1.6),
)
@settings(deadline=None, max_examples=60)
def test_the_common_box_lies_in_both(moved: list[float], zoom: float) -> None:
    corners = np.array([[0, 0], [799, 0], [799, 599], [0, 599]], np.float32)
    target = (corners - [400, 300]) * zoom + [400, 300] + np.array(moved).reshape(4, 2) * 200
    homography = cv2.getPerspectiveTransform(corners, target.astype(np.float32))
    x, y, width, height = align_plane.common_box(homography, (600, 800), (600, 800))
    if width * height:
        box = np.array([[x, y], [x + width, y], [x + width, y + height], [x, y + height]]) - 0.5
        seen = align_plane.transform(homography, box)
        assert (seen >= 0).all()
        assert (seen <= [799, 599]).all()


lines = st.tuples(st.floats(-1, 1), st.floats(-1, 1), st.floats(-2, 8))


@given(st.lists(lines, max_size=4))
@settings(deadline=None, max_examples=200)
def test_the_largest_box_is_the_largest(edges: list[tuple[float, float, float]]) -> None:
    """Every box tried, in regions that straight lines bound, as those that two pictures share are."""
    y, x = np.mgrid[:6, :7]
    inside = np.all([a * x + b * y + c >= 0 for a, b, c in edges] or [np.ones((6, 7), bool)], axis=0)
    cells = inside[:-1, :-1] & inside[1:, :-1] & inside[:-1, 1:] & inside[1:, 1:]
    x, y, width, height = align_plane._largest(cells)
    assert cells[y : y + height, x : x + width].all()
    boxes = itertools.product(range(5), range(6), range(1, 6), range(1, 7))
    best = max(
        (
            h * w
            for top, left, h, w in boxes
            if top + h <= 5 and left + w <= 6 and cells[top : top + h, left : left + w].all()
        ),
        default=0,
    )
    assert width * height == best


def test_the_stated_corner_error_is_no_boast() -> None:
    """Three standard errors cover what is seen of the worst corner."""
    covered = []
    for seed in range(4):
        pair = scenes.pair("coffee", "rocket", seed)
        one, other = looked_at(pair)
        matched = align_match.match(one, other)
        refined = align_refine.refine(one, other, matched.homography)
        stated = 3 * align_refine.corner_error(refined, (0.0, 0.0, 1000.0, 750.0))
        covered.append(scenes.corner_errors(pair.truth, refined.homography).max() <= stated)
    assert np.mean(covered) >= 0.75
