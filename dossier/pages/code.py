"""The code on the page: a QR code drawn as black rectangles (ISO/IEC 18004).

Error correction level M (15 % of the code words can be restored; Q, 25 %, for a slip that lies among tools),
byte mode, the smallest version that holds the text, a quiet zone of four modules included in the size. Not
done here: what the code says.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import groupby
from typing import Any, Literal

from reportlab.lib.units import mm

from dossier.errors import OutputError
from dossier.pages.tagging import Figure
from dossier.words import Catalogue

QUIET = 4  # modules, ISO/IEC 18004 section 6.3.8
# Trying all eight masks takes four times as long; what is encoded looks random, so that any mask does.
MASK = 4
Matrix = Sequence[Sequence[bool]]
Level = Literal["M", "Q"]  # ISO/IEC 18004 section 6.5


def qr_figure(
    text: str, size_mm: float, language: str = "en", *, alt: str = "", level: Level = "M"
) -> Figure:
    """The code of `text` as a figure `size_mm` wide and high, quiet zone included.

    `alt`: its words for those who cannot see it, where it is no signed summary.
    """

    def draw(canvas: Any, width: float, height: float) -> None:
        count, path = _drawing(text, level)
        canvas.saveState()
        canvas.setFillGray(1)
        canvas.rect(0, 0, width, height, stroke=0, fill=1)
        canvas.setFillGray(0)
        canvas.scale(width / count, height / count)
        shape = canvas.beginPath()
        shape._code.append(path)  # thousands of whole numbers, made into text once
        canvas.drawPath(shape, stroke=0, fill=1)
        canvas.restoreState()

    page = text.partition("#")[0]
    alt = alt or Catalogue(language).say("code.alt" if page else "code.alt_alone", page=page)
    return Figure(draw, size_mm * mm, size_mm * mm, alt)


@lru_cache(maxsize=2)
def _drawing(text: str, level: Level) -> tuple[int, str]:
    """Modules across with the quiet zone, and the path as PDF operators, one unit a module."""
    modules = matrix(text, level)
    count = len(modules) + 2 * QUIET
    rectangles = (
        f"{start + QUIET} {count - QUIET - 1 - row} {length} 1 re" for row, start, length in runs(modules)
    )
    return count, " ".join(rectangles)


def matrix(text: str, level: Level = "M") -> Matrix:
    """The modules of the code, dark ones true, without a quiet zone. Raises OutputError."""
    from qrcode.constants import ERROR_CORRECT_M, ERROR_CORRECT_Q  # noqa: PLC0415 - start-up: only where a code is drawn
    from qrcode.exceptions import DataOverflowError  # noqa: PLC0415
    from qrcode.main import QRCode  # noqa: PLC0415

    correction = ERROR_CORRECT_Q if level == "Q" else ERROR_CORRECT_M
    code = QRCode(error_correction=correction, mask_pattern=MASK, border=0)
    code.add_data(text, optimize=0)
    try:
        code.make(fit=True)
    except (DataOverflowError, ValueError):
        raise OutputError(Catalogue().say("code.too_long", length=len(text))) from None
    modules: Matrix = code.get_matrix()
    return modules


def runs(modules: Matrix) -> Iterator[tuple[int, int, int]]:
    """Row, start and length of each run of dark modules: far fewer rectangles, and no hairlines between."""
    for number, row in enumerate(modules):
        at = 0
        for dark, group in groupby(row):
            length = sum(1 for _ in group)
            if dark:
                yield number, at, length
            at += length
