"""A contact sheet shows all that it is given, on as many sheets as that takes."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from dossier.pages.fonts import pieces
from dossier.pictures import contact
from dossier.pictures.contact import Cell, Strip, draw, small_picture

RED = small_picture(np.full((30, 40, 3), (200, 0, 0), np.uint8))  # drawn 40 x 30, as nothing is enlarged


@pytest.mark.parametrize(
    ("strips", "sheets"),
    [([2] * 13, 4), ([1, 3, 3, 9, 2, 1], 4), ([9], 2), ([], 1)],
    ids=["pairs", "uneven", "the rest", "none"],
)
def test_every_picture_is_on_a_sheet(monkeypatch: pytest.MonkeyPatch, strips: list[int], sheets: int) -> None:
    """Of one sheet as tall as a JPEG can be, the last of 190 pairs were not drawn."""
    monkeypatch.setattr(contact, "_TALLEST", 700)
    cells = [tuple(Cell(small=RED, words="a") for _ in range(count)) for count in strips]
    drawn = [
        Image.open(BytesIO(one)) for one in draw([Strip(head="Pair", cells=some) for some in cells], pieces)
    ]
    red = 0
    for one in drawn:
        assert one.width < 1500
        assert one.height <= 750
        colours = np.asarray(one).astype(int)
        red += int(((colours[..., 0] > 150) & (colours[..., 1] < 100)).sum())
    assert red == pytest.approx(sum(strips) * 40 * 30, rel=0.05, abs=1)
    assert len(drawn) == sheets


def test_a_long_head_leaves_its_neighbours_alone() -> None:
    """Names of pairs are typed; since short strips stand side by side one ran on over the next."""
    strips = [Strip(head=head, cells=(Cell(small=RED, words="a"),)) for head in ("Pair " + "wide " * 50, "")]
    (sheet,) = draw(strips, pieces)
    beside = np.asarray(Image.open(BytesIO(sheet)))[:48, 14 + 2 * (contact.CELL + 14) :]
    assert beside.min() > 200


def words_under(name: str) -> np.ndarray:
    (sheet,) = draw([Strip(head="", cells=(Cell(small=RED, words=name),))], pieces)
    top = contact._GAP + contact._HEAD + contact.CELL * 3 // 4
    return np.asarray(Image.open(BytesIO(sheet)).convert("L"))[top : top + contact._WORDS].astype(int)


@pytest.mark.parametrize(
    ("one", "other"),
    [("時計.jpg", "革包.jpg"), ("вид", "бок"), ("שעון", "תיקן"), ("نظر", "بيت"), ("नाम", "घड़ी")],
)
def test_names_of_any_script_are_drawn(one: str, other: str) -> None:
    """Boxes had stood for what one font lacks, and boxes are all alike."""
    seen = words_under(one), words_under(other)
    assert (np.abs(seen[0] - seen[1]) > 100).sum() > 20


def test_letters_run_the_way_they_are_read() -> None:
    """Of Hebrew the first letter stands at the right, of Latin after it again at the left."""
    assert [text for text, _, _ in pieces("abc שעון xyz")] == ["abc ", "שעון", " ", "xyz"]
    alone, both = words_under("ש"), words_under("שו")
    wide = np.flatnonzero((alone < 128).any(axis=0))
    right = np.flatnonzero((both < 128).any(axis=0)).max() + 1
    letter = alone[:, wide.min() : wide.max() + 1]
    assert np.abs(both[:, right - letter.shape[1] : right] - letter).mean() < 12


def test_a_long_name_keeps_its_end() -> None:
    """Cut to what there is room for, no more than a letter shorter."""
    drawn = np.flatnonzero((words_under("時" * 60 + ".jpg") < 128).any(axis=0))
    full = contact._GAP + contact.CELL
    assert full - contact._TEXT < drawn.max() <= full
