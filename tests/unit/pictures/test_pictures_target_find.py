"""The target found by itself, on public photographs (`picture_scenes`) with targets drawn in and without.

Drawn from the published values of both generations, as colour-science has them, in other light, turned, in
perspective, small and large, with noise and as a JPEG. The truth is the homography drawn with.

Looked at once, and not kept here: four photographs of real targets under incandescent light (in notebooks of
the package colour-checker-detection 0.2.3, BSD 3-clause; 1,055 px wide): all four found, the right way round,
with a residual of 1.6 to 2.3.
"""

from __future__ import annotations

import colour_scenes as colours
import cv2
import numpy as np
import picture_scenes as scenes
import pytest
from counting import calls

from dossier.pictures import target, target_find

GENERATIONS = list(target.VALUES)
CASTS = ((1, 1, 1), (1.0, 0.8, 0.5), (0.7, 0.85, 1.0))
SIZE = (1600, 1200)


def scene(seed: int, values: np.ndarray | None = None) -> tuple[np.ndarray, np.ndarray]:
    """A photograph with a target somewhere in it, and where its block of patches lies."""
    rng = np.random.default_rng(seed)
    ground = scenes.covering(scenes.photograph(scenes.TEXTURED[seed % len(scenes.TEXTURED)]), SIZE)
    if values is None:
        signals = colours.signals_of(target.VALUES[GENERATIONS[seed % 2]], CASTS[seed % 3])
        values = colours.srgb(signals * rng.uniform(0.6, 0.95))
    corners = somewhere(rng)
    mixed, block = colours.laid_into(ground.copy(), colours.chart(values), corners)
    lit = mixed * np.linspace(1, rng.uniform(0.7, 1), SIZE[0])[None, :, None]
    return saved(colours.grained(lit, seed, rng.uniform(2, 6))), block


def somewhere(rng: np.random.Generator) -> np.ndarray:
    """Four corners inside the picture: any turn, a fifth to a half of its width, corners off by 6 %."""
    base = np.array([[0, 0], [1, 0], [1, 2 / 3], [0, 2 / 3]]) * rng.uniform(0.22, 0.5) * SIZE[0]
    angle = rng.uniform(0, 2 * np.pi)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    corners = (base - base.mean(axis=0)) @ turn.T
    corners += rng.uniform(-0.06, 0.06, (4, 2)) * np.linalg.norm(base[1] - base[0])
    low, high = corners.min(axis=0), corners.max(axis=0)
    room = np.maximum(np.array(SIZE) - (high - low), 0)
    return corners - low + rng.uniform(0, 1, 2) * room


def saved(picture: np.ndarray, quality: int = 85) -> np.ndarray:
    encoded = cv2.imencode(".jpg", picture[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return np.ascontiguousarray(cv2.imdecode(encoded, cv2.IMREAD_COLOR)[..., ::-1])


@pytest.mark.parametrize("seed", range(9))
def test_it_is_found_where_it_lies_and_the_right_way_round(seed: int) -> None:
    picture, block = scene(seed)
    (found,) = target_find.find(picture)
    patch = np.linalg.norm(block[1] - block[0]) / 6
    # A patch is sampled in its inner 40 %, so a corner may be off by 0.3 of one.
    assert np.linalg.norm(np.array(found) - block, axis=1).max() < 0.15 * patch
    drawn, marked = (target.sample(picture, corners) for corners in (found, block))
    assert np.nanmean(np.abs(drawn - marked)) < 0.01


def test_of_two_targets_both_are_found() -> None:
    """One of the other generation, smaller and in half the light: neither is chosen silently."""
    picture, block = scene(0)
    signals = colours.signals_of(target.VALUES[GENERATIONS[1]]) * 0.4
    room = np.array([[40, 40], [440, 40], [440, 310], [40, 310]], float)
    free = max(
        (np.add(room, [x, y]) for x in (0, 1100) for y in (0, 840)),
        key=lambda place: np.linalg.norm(place.mean(axis=0) - block.mean(axis=0)),
    )
    both, second = colours.laid_into(picture.copy(), colours.chart(colours.srgb(signals)), free)
    found = [np.array(one) for one in target_find.find(saved(both))]
    assert len(found) == 2
    for place in (block, second):
        nearest = min(np.linalg.norm(one - place, axis=1).max() for one in found)
        assert nearest < 0.3 * np.linalg.norm(place[1] - place[0]) / 6


@pytest.mark.parametrize("name", [*scenes.WHOLE, "rockery"])
def test_on_photographs_without_one_nothing_is_found(name: str) -> None:
    assert target_find.find(np.array(scenes.photograph(name))) == []


def chessboard() -> np.ndarray:
    return np.array([[240, 240, 240] if sum(divmod(n, 6)) % 2 else [60, 60, 60] for n in range(24)], np.uint8)


def usual_values() -> np.ndarray:
    return colours.srgb(colours.signals_of(target.VALUES[GENERATIONS[0]]) * 0.85)


OTHERS = {
    "grey": lambda: np.repeat(usual_values().mean(axis=1, keepdims=True), 3, axis=1).astype(np.uint8),
    "in a mirror": lambda: usual_values().reshape(4, 6, 3)[:, ::-1].reshape(24, 3),
    "rows in another order": lambda: usual_values().reshape(4, 6, 3)[[1, 0, 2, 3]].reshape(24, 3),
    "chessboard": chessboard,
    "one colour": lambda: np.full((24, 3), (170, 120, 80), np.uint8),
} | {
    f"any colours {n}": lambda n=n: np.random.default_rng(n).integers(40, 240, (24, 3)).astype(np.uint8)
    for n in range(3)
}


@pytest.mark.parametrize("what", OTHERS)
def test_a_grid_of_other_colours_is_refused(what: str) -> None:
    picture, _ = scene(4, OTHERS[what]())
    assert target_find.find(picture) == []


def test_a_target_half_covered_is_refused() -> None:
    picture, block = scene(2)
    middle = block.mean(axis=0)
    cover = np.array([block[0], (block[0] + block[1]) / 2, middle, (block[0] + block[3]) / 2])
    cv2.fillPoly(picture, [cover.astype(np.int32)], (200, 30, 40))
    assert target_find.find(picture) == []


@pytest.mark.parametrize("shape", [(1, 1), (3, 900), (40, 40)])
def test_tiny_pictures_are_no_trouble(shape: tuple[int, int]) -> None:
    assert target_find.find(np.full((*shape, 3), 128, np.uint8)) == []


def test_a_picture_full_of_squares_is_bounded() -> None:
    """Three thousand squares of two colours each: none is even, and not all are looked at at every level."""
    tile = np.full((22, 22, 3), 20, np.uint8)
    tile[2:20, 2:11], tile[2:20, 11:20] = 200, (120, 200, 90)
    many = np.tile(tile, (54, 54, 1))
    found: list[object] = []
    assert (
        calls(lambda: found.append(target_find.find(many))) < 1_500_000
    )  # 984,000, as of half as many each way
    assert found == [[]]
