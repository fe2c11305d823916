"""A contact sheet: small pictures in rows with words under each, as JPEGs to look at.

Not done here: choosing what stands beside what. Invariants: nothing of the originals but pixels; all that is
given is drawn, on as many sheets of bounded size as that takes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

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
_ROW = _HEAD + CELL * 3 // 4 + _WORDS + _GAP
_TEXT = 15
_PAPER, _INK = (255, 255, 255), (40, 38, 36)
_ACROSS = 4
_HEADED = 2  # places that a head takes, if it has fewer pictures
_TALLEST = 8_000  # pixels of one sheet: some 45 pairs; programs open no much taller ones
_LONGEST = 200  # letters of a head; more never fit
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


def draw(strips: Sequence[Strip]) -> Iterator[bytes]:
    """A JPEG for each sheet. Short strips stand side by side; one of many pictures runs on below."""
    sheet: list[list[Strip]] = []
    for row in _rows(strips):
        if sheet and (len(sheet) + 1) * _ROW > _TALLEST:
            yield _drawn(sheet)
            sheet = []
        sheet.append(row)
    yield _drawn(sheet)


def _rows(strips: Sequence[Strip]) -> list[list[Strip]]:
    rows: list[list[Strip]] = []
    for part in (part for strip in strips for part in _parts(strip)):
        if rows and sum(map(_places, [*rows[-1], part])) <= _ACROSS:
            rows[-1].append(part)
        else:
            rows.append([part])
    return rows


def _parts(strip: Strip) -> Iterator[Strip]:
    for start in range(0, max(len(strip.cells), 1), _ACROSS):
        yield Strip(head="" if start else strip.head, cells=strip.cells[start : start + _ACROSS])


def _places(strip: Strip) -> int:
    return max(_HEADED, len(strip.cells))


def _drawn(rows: list[list[Strip]]) -> bytes:
    size = _GAP + _ACROSS * (CELL + _GAP), _GAP + len(rows) * _ROW
    pixels = np.full((size[1], size[0], 3), _PAPER, np.uint8)
    for top, row in zip(range(_GAP, size[1], _ROW), rows, strict=True):
        band = Image.new("RGB", (size[0], _ROW), _PAPER)
        left = _GAP
        for strip in row:
            _draw_strip(band, strip, left)
            left += _places(strip) * (CELL + _GAP)
        pixels[top : top + _ROW] = np.asarray(band)
    return encode(pixels, _QUALITY)


def _draw_strip(band: Image.Image, strip: Strip, left: int) -> None:
    pen = ImageDraw.Draw(band)
    room = _places(strip) * (CELL + _GAP) - _GAP
    pen.text(
        (left, 0), _fitted(strip.head[:_LONGEST], _TEXT + 4, room, end=True), fill=_INK, font=_font(_TEXT + 4)
    )
    for number, cell in enumerate(strip.cells):
        x = left + number * (CELL + _GAP)
        band.paste(_opened(cell.small), (x, _HEAD))
        pen.text(
            (x, _HEAD + CELL * 3 // 4 + 4), _fitted(cell.words, _TEXT, CELL), fill=_INK, font=_font(_TEXT)
        )


def _opened(small: bytes) -> Image.Image:
    cv2 = opencv()
    pixels = cv2.cvtColor(cv2.imdecode(np.frombuffer(small, np.uint8), cv2.IMREAD_COLOR), cv2.COLOR_BGR2RGB)
    image = Image.fromarray(pixels)
    image.thumbnail((CELL, CELL * 3 // 4))
    return image


def _fitted(words: str, size: int, room: int, *, end: bool = False) -> str:
    """Cut at the front, since camera names end differently, or at the end."""
    font = _font(size)
    if font.getlength(words) <= room:
        return words
    while words and font.getlength("…" + words) > room:
        words = words[:-1] if end else words[1:]
    return f"{words}…" if end else f"…{words}"


def _font(size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(font_source_sans_pro.SourceSansPro, size)
