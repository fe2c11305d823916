"""A printed cloth, cane or canvas that looks alike a repeat further on: laid rightly, or not at all.

Cloths are made of public photographs (scikit-image's data) side by side; where each lies is known.
"""

from __future__ import annotations

import cv2
import numpy as np
import picture_scenes as scenes
import pytest

from dossier.pictures import align_repeat
from dossier.pictures.align import Alignment, align

SIZE = (900, 700)


def cloth(name: str, repeat: tuple[int, int], buckle: float = 0.0) -> np.ndarray:
    """Repeats of a public photograph; in the middle another over so much of what a view of `SIZE` shows."""
    one = cv2.resize(scenes.photograph(name), repeat, interpolation=cv2.INTER_AREA)
    made = np.tile(one, (1300 // repeat[1] + 1, 1400 // repeat[0] + 1, 1))[:1200, :1300].copy()
    if side := int((buckle * SIZE[0] * SIZE[1]) ** 0.5):
        top, left = 500 - side // 2, 600 - side // 2
        made[top : top + side, left : left + side] = cv2.resize(scenes.photograph("chelsea"), (side, side))
    return made


def seen(made: np.ndarray, at: tuple[int, int], rng: np.random.Generator) -> np.ndarray:
    """From (right, down), in other light and with noise of its own."""
    part = made[at[1] : at[1] + SIZE[1], at[0] : at[0] + SIZE[0]]
    lit = part * np.float32(rng.uniform(0.8, 1.1))
    return np.clip(lit + 4 * scenes.grain(part.shape, rng), 0, 255).astype(np.uint8)


@pytest.mark.parametrize("buckle", [0.0, 0.06, 0.25])
@pytest.mark.parametrize("repeat", [(60, 50), (120, 100), (240, 200)])
@pytest.mark.parametrize("name", ["astronaut", "coffee", "coins"])
def test_it_is_never_laid_a_repeat_aside(name: str, repeat: tuple[int, int], buckle: float) -> None:
    rng, made = np.random.default_rng(7), cloth(name, repeat, buckle)
    for _ in range(3):
        right, down = int(rng.integers(0, 200)), int(rng.integers(0, 200))
        found = align(seen(made, (150, 150), rng), seen(made, (150 + right, 150 + down), rng))
        if isinstance(found, Alignment):
            moved = found.matrix()[:2, 2] * SIZE[0] / 1000
            assert moved == pytest.approx([-right, -down], abs=3)


def test_what_tells_one_repeat_from_the_next_is_enough() -> None:
    """The same cloth bare and with something on it, each against itself as it lies, and a repeat aside."""
    there, aside = np.eye(3), np.array([[1.0, 0, 120], [0, 1, 0], [0, 0, 1]])
    bare, one = (
        cv2.cvtColor(cloth("coins", (120, 100), part)[150:850, 150:1050], cv2.COLOR_RGB2GRAY)
        for part in (0.0, 0.25)
    )
    assert align_repeat.repeats(bare, bare, there)
    assert align_repeat.repeats(bare, bare, aside)
    assert not align_repeat.repeats(one, one, there)
    assert align_repeat.repeats(one, one, aside)


@pytest.mark.parametrize("name", ["astronaut", "chelsea", "coins"])
def test_the_nearest_repeat_is_looked_at(name: str) -> None:
    """Where two pictures share little, the farthest repeats, as strong, leave nothing to compare."""
    bare = cv2.cvtColor(cloth(name, (150, 150))[150:850, 150:1050], cv2.COLOR_RGB2GRAY)
    assert align_repeat.repeats(bare, bare, np.array([[1.0, 0, -300], [0, 1, 300], [0, 0, 1]]))


@pytest.mark.parametrize("name", scenes.TEXTURED)
def test_no_usual_scene_repeats_itself(name: str) -> None:
    pair = scenes.pair(name, "chelsea" if name != "chelsea" else "coffee", seed=4)
    before, after = (cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY) for pixels in (pair.before, pair.after))
    assert not align_repeat.repeats(before, after, pair.truth)


def board(rng: np.random.Generator) -> np.ndarray:
    """Grey, of straight grain sixty times as long as wide, with a little of a surface that has no grain."""
    made = np.full((SIZE[1], SIZE[0]), 140, np.float32)
    for wide, deep in ((4, 14), (12, 16), (40, 18)):
        cells = rng.standard_normal((SIZE[1] // wide + 2, SIZE[0] // (60 * wide) + 2)).astype(np.float32)
        made += cv2.resize(cells, SIZE, interpolation=cv2.INTER_CUBIC) * deep
    return made + rng.normal(0, 3, made.shape)


@pytest.mark.parametrize("seed", range(6))
def test_a_board_goes_on_and_does_not_repeat(seed: int) -> None:
    """Along its grain it looks alike at every distance, not at one: no repeat, so that it is not refused."""
    rng = np.random.default_rng(seed)
    made = board(rng)
    before, after = (
        np.clip(made * light + rng.normal(0, 4, made.shape), 0, 255).astype(np.uint8) for light in (1, 0.8)
    )
    assert not align_repeat.repeats(before, after, np.eye(3))
