"""A contact sheet: small pictures in rows with words under each, as one JPEG to look at.

Not done here: choosing what stands beside what. Invariants: nothing of the originals but pixels; bounded
size.
"""

from __future__ import annotations

from collections.abc import Sequence

import font_source_sans_pro
import msgspec
import numpy as np
from PIL import Image, ImageDraw, ImageFont

from dossier.pictures.decode import Pixels, opencv, shrink
from dossier.pictures.derive import encode

CELL = 340  # pixels, the longer side of a small picture
_GAP = 14
_WORDS = 40  # pixels under each picture
_HEAD = 34
_TEXT = 15
_PAPER, _INK = (255, 255, 255), (40, 38, 36)
_TALLEST = 60_000  # pixels; a JPEG ends at 65,535
_QUALITY = 82


class Cell(msgspec.Struct, frozen=True, kw_only=True):
    small: bytes  # a JPEG from `small_picture`
    words: str


class Strip(msgspec.Struct, frozen=True, kw_only=True):
    """Pictures side by side under a line of words."""

    head: str
    cells: tuple[Cell, ...]


def small_picture(pixels: Pixels) -> bytes:
    """What is kept of a photograph until the sheet is drawn."""
    return encode(shrink(pixels, CELL), _QUALITY)


def draw(strips: Sequence[Strip], across: int = 4) -> bytes:
    """One JPEG; a strip of more than `across` pictures runs on below."""
    rows = [row for strip in strips for row in _rows(strip, across)]
    height = min(_TALLEST, _GAP + sum(_row_height(row) for row in rows))
    sheet = Image.new("RGB", (_GAP + across * (CELL + _GAP), max(height, _HEAD)), _PAPER)
    top = _GAP
    for row in rows:
        if top + _row_height(row) > _TALLEST:
            break
        _draw_row(sheet, row, top)
        top += _row_height(row)
    return encode(np.asarray(sheet), _QUALITY)


def _rows(strip: Strip, across: int) -> list[Strip]:
    cells = strip.cells
    parts = [cells[start : start + across] for start in range(0, max(len(cells), 1), across)]
    return [Strip(head="" if number else strip.head, cells=part) for number, part in enumerate(parts)]


def _row_height(row: Strip) -> int:
    return (_HEAD if row.head else 0) + (CELL * 3 // 4 + _WORDS + _GAP if row.cells else 0)


def _draw_row(sheet: Image.Image, row: Strip, top: int) -> None:
    pen = ImageDraw.Draw(sheet)
    if row.head:
        pen.text((_GAP, top), row.head, fill=_INK, font=_font(_TEXT + 4))
        top += _HEAD
    for number, cell in enumerate(row.cells):
        left = _GAP + number * (CELL + _GAP)
        sheet.paste(_opened(cell.small), (left, top))
        pen.text((left, top + CELL * 3 // 4 + 4), _fitted(cell.words), fill=_INK, font=_font(_TEXT))


def _opened(small: bytes) -> Image.Image:
    cv2 = opencv()
    pixels = cv2.cvtColor(cv2.imdecode(np.frombuffer(small, np.uint8), cv2.IMREAD_COLOR), cv2.COLOR_BGR2RGB)
    image = Image.fromarray(pixels)
    image.thumbnail((CELL, CELL * 3 // 4))
    return image


def _fitted(words: str) -> str:
    """Cut at the front, where camera names are alike."""
    font = _font(_TEXT)
    if font.getlength(words) <= CELL:
        return words
    while words and font.getlength("…" + words) > CELL:
        words = words[1:]
    return "…" + words


def _font(size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(font_source_sans_pro.SourceSansPro, size)
