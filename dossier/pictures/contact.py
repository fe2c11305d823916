"""A contact sheet: small pictures in rows with words under each, as JPEGs to look at.

Not done here: choosing what stands beside what, which font has a letter. Invariants: nothing of the
originals but pixels; all that is given is drawn, on as many sheets of bounded size as that takes.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

import msgspec
import numpy as np
from PIL import Image, ImageDraw, ImageFont, features

from dossier.pictures.decode import Pixels, opencv, shrink
from dossier.pictures.derive import encode

# A line of text as stretches from left to right: its letters as read, a font that has them, right to left?
Pieces = Callable[[str], Sequence[tuple[str, Path, bool]]]

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
    if (longest := max(pixels.shape)) >= 2 * CELL:  # OpenCV halves in a fraction of the time of other steps
        pixels = shrink(pixels, longest // 2)
    return encode(shrink(pixels, CELL), _QUALITY)


def draw(strips: Sequence[Strip], pieces: Pieces) -> Iterator[bytes]:
    """A JPEG for each sheet. Short strips stand side by side; one of many pictures runs on below."""
    sheet: list[list[Strip]] = []
    for row in _rows(strips):
        if sheet and (len(sheet) + 1) * _ROW > _TALLEST:
            yield _drawn(sheet, pieces)
            sheet = []
        sheet.append(row)
    yield _drawn(sheet, pieces)


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


def _drawn(rows: list[list[Strip]], pieces: Pieces) -> bytes:
    size = _GAP + _ACROSS * (CELL + _GAP), _GAP + len(rows) * _ROW
    pixels = np.full((size[1], size[0], 3), _PAPER, np.uint8)
    for top, row in zip(range(_GAP, size[1], _ROW), rows, strict=True):
        band = Image.new("RGB", (size[0], _ROW), _PAPER)
        left = _GAP
        for strip in row:
            _draw_strip(band, strip, left, pieces)
            left += _places(strip) * (CELL + _GAP)
        pixels[top : top + _ROW] = np.asarray(band)
    return encode(pixels, _QUALITY)


def _draw_strip(band: Image.Image, strip: Strip, left: int, pieces: Pieces) -> None:
    room = _places(strip) * (CELL + _GAP) - _GAP
    head = _Line(band, pieces, _TEXT + 4)
    head.write((left, 0), head.fitted(strip.head[:_LONGEST], room, end=True))
    under = _Line(band, pieces, _TEXT)
    for number, cell in enumerate(strip.cells):
        x = left + number * (CELL + _GAP)
        band.paste(_opened(cell.small), (x, _HEAD))
        under.write((x, _HEAD + CELL * 3 // 4 + 4), under.fitted(cell.words, CELL))


def _opened(small: bytes) -> Image.Image:
    cv2 = opencv()
    pixels = cv2.cvtColor(cv2.imdecode(np.frombuffer(small, np.uint8), cv2.IMREAD_COLOR), cv2.COLOR_BGR2RGB)
    image = Image.fromarray(pixels)
    image.thumbnail((CELL, CELL * 3 // 4))
    return image


class _Line:
    """Words of one size on `band`."""

    def __init__(self, band: Image.Image, pieces: Pieces, size: int) -> None:
        self._pen, self._pieces, self._size = ImageDraw.Draw(band), pieces, size

    def fitted(self, words: str, room: int, *, end: bool = False) -> str:
        """Cut at the front, since camera names end differently, or at the end."""
        if self._width(words) <= room:
            return words

        def cut(kept: int) -> str:
            return f"{words[:kept]}…" if end else f"…{words[len(words) - kept :]}"

        kept = bisect_left(range(1, len(words)), True, key=lambda kept: self._width(cut(kept)) > room)
        return cut(kept)

    def write(self, at: tuple[int, int], words: str) -> None:
        x, base = float(at[0]), at[1] + self._size
        for text, font, way in self._set(words):
            self._pen.text((x, base), text, fill=_INK, font=font, anchor="ls", **way)
            x += font.getlength(text, **way)

    def _width(self, words: str) -> float:
        return sum(font.getlength(text, **way) for text, font, way in self._set(words))

    def _set(self, words: str) -> Iterator[tuple[str, ImageFont.FreeTypeFont, dict[str, Any]]]:
        shaped = features.check_feature("raqm")
        for text, file, right_to_left in self._pieces(words):
            turned = right_to_left and not shaped
            way = {"direction": "rtl" if right_to_left else "ltr"} if shaped else {}
            yield text[::-1] if turned else text, _font(file, self._size), way


@lru_cache(maxsize=64)
def _font(file: Path, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(file, size)
