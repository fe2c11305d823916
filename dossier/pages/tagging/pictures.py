"""Figures: photographs placed as they are, drawings, and the rules between things.

A Figure has alternate text and a bounding box (ISO 14289-1, 7.3); its caption follows it in the same Div, so
that a reader who is told the alternate text is told the caption as well.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from reportlab.lib.colors import Color, black
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable

from dossier.pages.tagging.boxes import Stack, Together, structure_of
from dossier.pages.tagging.canvas import WHOLE, Shares
from dossier.pages.tagging.structure import Element, used_once
from dossier.pages.tagging.text import Text

_FUZZ = 1e-3  # points
_TRIES = 4  # a caption under a smaller picture may need a line more
_MORE = 0.5  # points: a lower picture with a longer caption gives less than the highest one
LEAST_CAPTION = 200.0  # points: about 55 letters of small print

Draw = Callable[[Any, float, float], None]  # canvas, width, height in points; origin bottom left


class Figure(Flowable):  # type: ignore[misc]  # reportlab is untyped
    """A drawing that is one figure, whatever it is made of."""

    def __init__(self, draw: Draw, width: float, height: float, alt: str) -> None:
        super().__init__()
        self.width, self.height = float(width), float(height)
        if not alt.strip():
            raise ValueError("a figure needs words for those who cannot see it")
        self.drawing, self.alt = draw, alt
        self.element: Element | None = None

    def structure(self, parent: Element) -> None:
        used_once(self.element)
        self.element = parent.child("Figure", self.alt)

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        if self.width > width + 1e-6:
            self.shrink(self.height * width / self.width)
        return self.width, self.height

    def shrink(self, height: float) -> None:
        """Makes the figure at most this high, keeping its shape."""
        scale = min(1.0, height / self.height)
        self.width, self.height = self.width * scale, self.height * scale

    def bounded(self, canvas: Any, x: float, y: float, width: float, height: float) -> None:
        """Says where the figure stands: a box from a point of the canvas on."""
        if self.element is not None and not canvas.in_outer_artifact:
            x, y = canvas.absolutePosition(x, y)
            box = tuple(round(v, 3) for v in (x, y, x + width, y + height))
            self.element.set("Layout", BBox=box, Placement="Block")

    def draw(self) -> None:
        canvas = self.canv
        self.bounded(canvas, 0, 0, self.width, self.height)
        with canvas.mark(self.element):
            self.drawing(canvas, self.width, self.height)


class Keyed(Stack):
    """A figure and the key to it below: of one figure, as its alternate text says what the key says.

    What stands in the key gives its words to the element around it (`Text` without a role).
    """

    def __init__(self, figure: Figure, *key: Flowable) -> None:
        super().__init__([figure, *key], together=True)
        self.figure = figure

    def structure(self, parent: Element) -> None:
        self.figure.structure(parent)
        assert self.figure.element is not None
        structure_of(self.items[1:], self.figure.element)

    def cut(self, width: float, height: float, force: bool) -> tuple[Stack | None, Stack | None]:
        """Never parted: a figure stands on one page."""
        return None, self

    def drawOn(self, canvas: Any, x: float, y: float, _sW: float = 0) -> None:  # noqa: N802, N803 - reportlab's name
        super().drawOn(canvas, x, y, _sW)
        self.figure.bounded(canvas, x, y, self.width, self.height)


class Picture(Stack):
    """A JPEG and its caption, kept together; `overlay` draws over it within the same figure.

    Through a `window` a part of the picture is seen, as wide and high as is said; the rest is clipped away.
    """

    def __init__(
        self,
        jpeg: bytes,
        width: float,
        height: float,
        alt: str,
        caption: str | None = None,
        caption_style: ParagraphStyle | None = None,
        overlay: Draw | None = None,
        window: Shares = WHOLE,
    ) -> None:
        def draw(canvas: Any, w: float, h: float) -> None:
            canvas.place_jpeg(jpeg, 0, 0, w, h, window)
            if overlay:
                overlay(canvas, w, h)

        self.figure = Figure(draw, width, height, alt)
        items: list[Flowable] = [self.figure]
        if caption and caption_style:
            items.append(Text(caption, caption_style, "Caption"))
        super().__init__(items, together=True)

    def structure(self, parent: Element) -> None:
        super().structure(parent.child("Div") if len(self.items) > 1 else parent)

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """The caption is as wide as the picture, but for one too narrow to read under."""
        return super().wrap(min(width, max(self.figure.width, LEAST_CAPTION)), height)

    def cut(self, width: float, height: float, force: bool) -> tuple[Stack | None, Stack | None]:
        """Never parted: on a page that is too low the picture is made smaller."""
        return None, self

    def shrink(self, height: float) -> None:
        self.wrap(self.width, height)
        self.figure.shrink(max(height - (self.height - self.figure.height), 1.0))
        self._wrapped_for = -1.0


class Giving(Together):
    """What belongs to one picture or to several, kept together: up to a share of their height is given.

    All give the same share, so that what stands at one scale stays so. Where that is too little, `lower`
    takes its place: the same, arranged to need less of a page.
    """

    def __init__(
        self, items: Sequence[Flowable], share: float, *pictures: Picture, lower: Giving | None = None
    ) -> None:
        super().__init__(items)
        self.lower = lower
        self.figures = [picture.figure for picture in pictures]
        self.least = max(figure.height for figure in self.figures) * (1 - share)

    def structure(self, parent: Element) -> None:
        """Of the two arrangements the one that is not drawn is pruned."""
        super().structure(parent)
        if self.lower:
            self.lower.structure(parent)

    def cut(self, width: float, height: float, force: bool) -> tuple[Stack | None, Stack | None]:
        sizes = [(figure.width, figure.height) for figure in self.figures]
        for _ in range(_TRIES):
            over = self._over(width, height)
            if over <= _FUZZ:
                return self, None
            highest = max(figure.height for figure in self.figures)
            if highest - over - _MORE < self.least:
                break
            for figure in self.figures:
                figure.shrink(figure.height * (highest - over - _MORE) / highest)
        for figure, (wide, high) in zip(self.figures, sizes, strict=True):
            figure.width, figure.height = wide, high
        self.forget()
        if self.lower and self.lower.cut(width, height, force=False)[0]:
            return self.lower, None
        return super().cut(width, height, force)

    def _over(self, width: float, height: float) -> float:
        self.forget()
        return self.wrap(width, height)[1] - height


class Rule(Flowable):  # type: ignore[misc]  # reportlab is untyped
    """A horizontal line across the column (or `width` points of it); an artifact."""

    def __init__(
        self,
        width: float | None = None,
        thickness: float = 0.5,
        color: Color = black,
        space_before: float = 4.0,
        space_after: float = 4.0,
    ) -> None:
        super().__init__()
        self.width, self.height = 0.0, thickness
        self.length, self.thickness, self.color = width, thickness, color
        self.spaceBefore, self.spaceAfter = space_before, space_after

    def structure(self, parent: Element) -> None:
        """A rule is no content."""

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        self.width, self.height = min(self.length or width, width), self.thickness
        return self.width, self.height

    def draw(self) -> None:
        with self.canv.artifact():
            self.canv.setLineWidth(self.thickness)
            self.canv.setStrokeColor(self.color)
            self.canv.line(0, self.thickness / 2, self.width, self.thickness / 2)
