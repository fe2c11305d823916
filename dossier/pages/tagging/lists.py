"""Lists: L, LI, Lbl and LBody (ISO 32000-1, 14.8.4.3.3), with a hanging label, nested as deep as wanted."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeAlias

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable

from dossier.pages.tagging.boxes import Row, Stack
from dossier.pages.tagging.structure import Element
from dossier.pages.tagging.text import Text

# Markup, a flowable, or several flowables.
Item: TypeAlias = str | Any | Sequence[Any]


class _ListItem(Row):
    """A label and a body."""

    def structure(self, parent: Element) -> None:
        item = parent.child("LI")
        label, body = self.cells
        label.structure(item.child("Lbl"))
        body.structure(item.child("LBody"))

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        (left, label), (start, _) = self.edges
        self.edges = [(left, label), (start, max(width - start, 1.0))]
        return super().wrap(width, height)


class _List(Stack):
    def __init__(
        self, items: Sequence[Item], labels: Sequence[str], style: ParagraphStyle, kind: str
    ) -> None:
        hang = max((stringWidth(label, style.fontName, style.fontSize) for label in labels), default=0.0)
        edges = [(0.0, hang + 1.0), (hang + 0.5 * style.fontSize, 0.0)]
        rows = [
            _ListItem([Stack([Text(label, style, "")]), item_stack(item, style)], edges)
            for label, item in zip(labels, items, strict=True)
        ]
        super().__init__(rows)
        self.kind = kind
        self.spaceBefore, self.spaceAfter = style.spaceBefore, style.spaceAfter

    def structure(self, parent: Element) -> None:
        super().structure(parent.child("L").set("List", ListNumbering=self.kind))

    def getSpaceBefore(self) -> float:  # noqa: N802 - reportlab's name
        return float(self.spaceBefore)

    def getSpaceAfter(self) -> float:  # noqa: N802 - reportlab's name
        return float(self.spaceAfter)


class Bullets(_List):
    """A list without numbers; an item is markup, a flowable, or several flowables."""

    def __init__(self, items: Sequence[Item], style: ParagraphStyle, marker: str = "•") -> None:
        kinds = {"•": "Disc", "■": "Square"}
        super().__init__(items, [marker] * len(items), style, kinds.get(marker, "None"))


class Numbered(_List):
    """A list numbered from `start`."""

    def __init__(self, items: Sequence[Item], style: ParagraphStyle, start: int = 1) -> None:
        super().__init__(items, [f"{n}." for n in range(start, start + len(items))], style, "Decimal")


def item_stack(item: Item, style: ParagraphStyle) -> Stack:
    """A cell or list body: markup alone gives its words to the element around it."""
    if isinstance(item, str):
        return Stack([Text(item, style, "")] if item else [])
    return Stack([item] if isinstance(item, Flowable) else list(item))
