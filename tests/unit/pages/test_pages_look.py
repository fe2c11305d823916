"""A few pages look as they did when somebody last went through them by eye.

References stand in `tests/data/looks/`: grey, drawn by PDFium at 150 dpi and reduced to 50. After a change
that is meant, look at the pages at full size, then write them anew and look at what changed:

    DOSSIER_LOOKS=write pytest tests/unit/pages/test_pages_look.py

Compared is lightness as the eye has it (L* of CIE 1976, by scikit-image): both pages are blurred, cut into
tiles of 6 mm, and no tile's mean may differ by more than `MOST`. A difference of 2.3 is about the smallest
that is seen side by side (Mahy, Van Eycken and Oosterlinck 1994, from memory). Letters drawn by another
program's antialiasing stay below; a block that moved, a picture or a line that is missing do not.
"""

from __future__ import annotations

import os
import subprocess
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest
from PIL import Image, ImageFilter
from skimage.color import rgb2lab

from dossier.model.record import OpenRecord
from dossier.pages import card, document, sheet

LOOKS = Path(__file__).resolve().parents[2] / "data" / "looks"
DPI, FINER = 50, 3  # drawn finer, then reduced: what is left of antialiasing is small
TILE = 12  # pixels: 6 mm
MOST = 4.0  # of L*, 0 to 100
CODE = "https://check.example/r#" + "A1B2C3D4" * 48

# Name -> words that only this page of the dossier has; sheet and card have one page.
PAGES = {
    "cover": "Record of a restoration",
    "original": "What is original and what was done",
    "know_it": "How to know this object",
    "map": "Where it is on the object",
    "before_after": "Before and after",
}
NAMES = (*PAGES, "sheet", "card")


@pytest.fixture(scope="module")
def drawn(rich_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Any) -> dict[str, bytes]:
    """The three PDFs."""
    options = page_options(code_text=CODE)
    kinds: dict[str, Callable[..., bytes]] = {
        "dossier": document.draw,
        "sheet": sheet.draw_sheet,
        "card": card.draw_card,
    }
    return {kind: draw(rich_record, rich_pictures, options) for kind, draw in kinds.items()}


@pytest.fixture(scope="module")
def shown(drawn: dict[str, bytes]) -> dict[str, Image.Image]:
    """Each page by name, as it is looked at here."""
    with pypdfium2.PdfDocument(drawn["dossier"]) as opened:
        found = {name: _page(opened[_number(opened, words)]) for name, words in PAGES.items()}
    for kind in ("sheet", "card"):
        with pypdfium2.PdfDocument(drawn[kind]) as opened:
            found[kind] = _page(opened[0])
    if os.environ.get("DOSSIER_LOOKS") == "write":
        for name, image in found.items():
            image.save(LOOKS / f"{name}.png", optimize=True)
    return found


def _number(opened: pypdfium2.PdfDocument, words: str) -> int:
    """The first page with these words at the head of a section, not in a sentence that names it."""
    return next(
        n for n, page in enumerate(opened) if words in page.get_textpage().get_text_range().splitlines()
    )


def _page(page: pypdfium2.PdfPage) -> Image.Image:
    image: Image.Image = page.render(scale=DPI * FINER / 72, grayscale=True).to_pil()
    return image.convert("L").reduce(FINER)


def lightness(image: Image.Image) -> Any:
    """L* by tiles, of the blurred page: rows x columns."""
    soft = image.convert("L").filter(ImageFilter.GaussianBlur(1.5))
    grey = np.asarray(soft, dtype=float)[..., None].repeat(3, axis=2) / 255
    light = rgb2lab(grey)[..., 0]
    high, wide = (side // TILE * TILE for side in light.shape)
    return light[:high, :wide].reshape(high // TILE, TILE, wide // TILE, TILE).mean(axis=(1, 3))


def difference(one: Image.Image, other: Image.Image) -> float:
    """The largest difference of any tile; a page of another size is wholly different."""
    if one.size != other.size:
        return 100.0
    return float(np.abs(lightness(one) - lightness(other)).max())


def reference(name: str) -> Image.Image:
    return Image.open(LOOKS / f"{name}.png").convert("L")


@pytest.mark.parametrize("name", NAMES)
def test_a_page_looks_as_it_did(name: str, shown: dict[str, Image.Image]) -> None:
    assert difference(shown[name], reference(name)) < MOST


@pytest.mark.parametrize(
    ("kind", "number", "name"), [("sheet", 1, "sheet"), ("dossier", 1, "cover"), ("card", 1, "card")]
)
def test_another_program_draws_the_same(
    kind: str, number: int, name: str, drawn: dict[str, bytes], tmp_path: Path
) -> None:
    """Poppler has letters, hatches and pictures of its own antialiasing; the page is the same page."""
    file = tmp_path / "drawn.pdf"
    file.write_bytes(drawn[kind])
    asked = [
        "pdftoppm",
        "-r",
        str(DPI * FINER),
        "-gray",
        "-f",
        str(number),
        "-l",
        str(number),
        "-singlefile",
        "-png",
    ]
    subprocess.run([*asked, str(file), str(tmp_path / "page")], check=True)
    with Image.open(tmp_path / "page.png") as page:
        by_poppler = page.convert("L").reduce(FINER)
    assert difference(by_poppler, reference(name)) < MOST


@pytest.mark.parametrize("name", NAMES)
def test_a_block_that_moved_is_seen(name: str, shown: dict[str, Image.Image]) -> None:
    """The lower half of each page 3 mm lower."""
    page = shown[name].copy()
    wide, high = page.size
    page.paste(shown[name].crop((0, high // 2, wide, high - 6)), (0, high // 2 + 6))
    assert difference(page, reference(name)) > MOST


@pytest.mark.parametrize("name", ["cover", "know_it", "map", "before_after", "sheet"])
def test_a_picture_that_is_missing_is_seen(name: str, shown: dict[str, Image.Image]) -> None:
    """The darkest spot of 20 x 20 mm in the upper half left white: on these pages a photograph."""
    page = shown[name].copy()
    light = lightness(page)[: page.size[1] // TILE // 2]
    row, column = np.unravel_index(light.argmin(), light.shape)
    left, top = max(int(column) * TILE - 14, 0), max(int(row) * TILE - 14, 0)
    page.paste(255, (left, top, left + 40, top + 40))
    assert difference(page, reference(name)) > 3 * MOST


def test_a_line_of_words_that_is_missing_is_seen(shown: dict[str, Image.Image]) -> None:
    """One line of the reading column of page 2 (4 mm of the page's height) left white."""
    page = shown["original"].copy()
    wide, high = page.size
    ink = np.asarray(page)[int(high * 0.2) : int(high * 0.8), wide // 3 :].min(axis=1)
    line = int(ink.argmin()) + int(high * 0.2)
    page.paste(255, (wide // 3, line - 4, wide, line + 4))
    assert difference(page, reference("original")) > MOST


def test_a_photograph_that_is_not_handed_in_is_seen(
    shown: dict[str, Image.Image], rich_record: OpenRecord, rich_pictures: dict[str, bytes], page_options: Any
) -> None:
    """The same record without any picture: its cover and its close-ups are other pages."""
    with pypdfium2.PdfDocument(document.draw(rich_record, {}, page_options(code_text=CODE))) as opened:
        for name in ("cover", "know_it"):
            page = _page(opened[_number(opened, PAGES[name])])
            assert difference(page, reference(name)) > 3 * MOST
