"""Draws composed lines: glyph by glyph where a font is drawn so, letter by letter where it is not.

Each glyph means its own letters; where that is not enough (a ligature that means two things, a cluster whose
glyphs have no letters of their own) the text stands beside it as ActualText (ISO 32000-1, 14.9.4).

Invariants: what is drawn of a line stands in one text object for each item; the graphics state is left as it
was found.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from dossier.pages.tagging.composed import Item, Line
from dossier.pages.tagging.fontfile import EmbeddedFont, embedded
from dossier.pages.tagging.glyphs import GlyphFont, GlyphUse, Shaped

_FUZZ = 0.05  # 1/1000 of the size
_BOLD = 0.022  # of the size: what a stroke adds where a font has no bold


def draw_line(canvas: Any, line: Line, x: float, y: float) -> None:
    """The items of a line from `x` on, in points."""
    for item in line.items:
        draw_item(canvas, item, x, y)
        x += item.width


def draw_end(canvas: Any, line: Line, x: float, y: float) -> None:
    """The space at which a line was broken, so that its last word does not run into the next (14.8.2.5)."""
    draw_item(canvas, Item(" ", line.items[-1].look, None), x, y)


def draw_item(canvas: Any, item: Item, x: float, y: float) -> None:
    if not item.text:
        return
    if item.look.color is not None:
        canvas.setFillColor(item.look.color)
    if item.glyphs is None:
        canvas._code.append(_letters(canvas, item, x, y))
        return
    bolder = item.glyphs.source.bolder
    if bolder:
        canvas.saveState()
        canvas.setStrokeColor(canvas._fillColorObj)
        canvas.setLineWidth(_BOLD * item.look.size)
    canvas._code.append(_glyphs(canvas, item, x, y, 2 if bolder else 0))
    if bolder:
        canvas.restoreState()


def _letters(canvas: Any, item: Item, x: float, y: float) -> str:
    font: EmbeddedFont = embedded(item.look.font)
    size = _n(item.look.size)
    shown = [
        f"{font.getSubsetInternalName(subset, canvas._doc)} {size} Tf <{codes.hex().upper()}> Tj"
        for subset, codes in font.splitString(item.text, canvas._doc)
    ]
    return "\n".join([_begin(x, y), *shown, "ET"])


def _begin(x: float, y: float) -> str:
    return f"BT 1 0 0 1 {_n(x)} {_n(y)} Tm"


def _glyphs(canvas: Any, item: Item, x: float, y: float, mode: int) -> str:
    assert item.glyphs is not None
    every = [one for one in item.glyphs.shape(item.text, item.right_to_left) if one.glyphs]
    if not every:  # characters that show nothing: a font that draws no glyph must not be named
        return ""
    use = glyph_use(canvas, item.glyphs)
    show = _Show(use, item.look.size)
    for shaped in every:
        show.cluster(shaped)
    show.flush()
    head = f"{_begin(x, y)} /{use.resource} {_n(item.look.size)} Tf" + (f" {mode} Tr" if mode else "")
    return "\n".join([head, *show.code, "ET" if not mode else "0 Tr ET"])


def glyph_use(canvas: Any, font: GlyphFont) -> GlyphUse:
    """What this document draws with `font`, from its first use on."""
    used: dict[str, GlyphUse] = canvas.glyph_uses
    return used.setdefault(font.source.name, GlyphUse(font))


class _Show:
    """Builds the operators that show glyphs, corrected where the widths alone would misplace them."""

    def __init__(self, use: GlyphUse, size: float) -> None:
        self.use, self.size = use, size
        self.code: list[str] = []
        self._array: list[str] = []
        self._string = ""
        self._rise = 0.0
        self._pen = 0.0  # where the next glyph belongs, in 1/1000 of the size
        self._at = 0.0  # where it would be drawn

    def cluster(self, shaped: Shaped) -> None:
        codes = [self.use.code(g.number, t) for g, t in zip(shaped.glyphs, shaped.texts, strict=True)]
        exact = shaped.exact and all(meant for _, meant in codes)
        if not exact:
            self.flush()
            self.code.append(
                f"/Span <</ActualText <FEFF{shaped.text.encode('utf-16-be').hex().upper()}>>> BDC"
            )
        for glyph, (code, _) in zip(shaped.glyphs, codes, strict=True):
            self._move(self._pen + glyph.dx, glyph.dy)
            self._string += f"{code:04X}"
            self._at += self.use.font.advance(glyph.number)
            self._pen += glyph.advance
        if not exact:
            self.flush()
            self.code.append("EMC")

    def _move(self, place: float, rise: float) -> None:
        if abs(rise - self._rise) > _FUZZ:
            self.flush()
            self._rise = rise
            self.code.append(f"{_n(rise * self.size / 1000)} Ts")
        if abs(place - self._at) > _FUZZ:
            self._close_string()
            self._array.append(_n(self._at - place))
            self._at = place

    def _close_string(self) -> None:
        if self._string:
            self._array.append(f"<{self._string}>")
            self._string = ""

    def flush(self) -> None:
        self._close_string()
        if self._array:
            self.code.append(f"[{' '.join(self._array)}] TJ")
            self._array = []
        if self._rise and not self.code[-1].endswith("Ts"):
            self._rise = 0.0
            self.code.append("0 Ts")


def _n(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".") if value else "0"


def width_of(items: Iterable[Item] | Sequence[Item]) -> float:
    return sum(item.width for item in items)
