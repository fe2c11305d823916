"""Lists: L, LI, Lbl and LBody (ISO 32000-1, 14.8.4.3.3), with a hanging label, nested as deep as wanted.

A list of terms has its rows as flowables of their own, so that a page may end between any two.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeAlias

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable

from dossier.pages.tagging.boxes import Columns, Row, Stack
from dossier.pages.tagging.structure import Element
from dossier.pages.tagging.text import Text

# Markup, a flowable, or several flowables.
Item: TypeAlias = str | Any | Sequence[Any]


class _ListItem(Row):
    """A label and a body; `mirrored`: the label stands to the right of a body that runs right to left."""

    mirrored = False

    def __init__(self, label: Stack, body: Stack, hang: tuple[float, float]) -> None:
        super().__init__([label, body], [])
        self.hang = hang  # width of the label, and where the body starts

    def structure(self, parent: Element) -> None:
        item = parent.child("LI")
        label, body = self.cells
        label.structure(item.child("Lbl"))
        body.structure(item.child("LBody"))

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        label, start = self.hang
        body = max(width - start, 1.0)
        self.edges = [(width - label, label), (0.0, body)] if self.mirrored else [(0.0, label), (start, body)]
        return super().wrap(width, height)


class _List(Stack):
    def __init__(
        self, items: Sequence[Item], labels: Sequence[str], style: ParagraphStyle, kind: str
    ) -> None:
        hang = max((stringWidth(label, style.fontName, style.fontSize) for label in labels), default=0.0)
        edges = (hang + 1.0, hang + 0.5 * style.fontSize)
        rows = [
            _ListItem(Stack([Text(label, style, "")]), item_stack(item, style), edges)
            for label, item in zip(labels, items, strict=True)
        ]
        mirrored = all(map(_starts_left, rows))
        for row in rows:
            row.mirrored = mirrored
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


class Terms:
    """What the rows of a list of terms share: the list, which is made where the first row stands."""

    def __init__(self) -> None:
        self.element: Element | None = None

    def item(self, parent: Element) -> Element:
        if self.element is None:
            self.element = parent.child("L").set("List", ListNumbering="None")
        return self.element.child("LI")


class Term(Columns):
    """A term and what is said of it: an item of a list, its term the label (table 336)."""

    def __init__(self, cells: Sequence[Sequence[Flowable]], widths: Sequence[float], gap: float, of: Terms):
        super().__init__(cells, widths, gap)
        self.of = of

    def structure(self, parent: Element) -> None:
        item = self.of.item(parent)
        term, said = self.cells
        term.structure(item.child("Lbl"))
        said.structure(item.child("LBody"))


def _starts_left(row: _ListItem) -> bool:
    """Whether the words of a list item run right to left."""
    first = next(iter(row.cells[1].items), None)
    return isinstance(first, Text) and first.body is not None and first.body.starts_left


def item_stack(item: Item, style: ParagraphStyle) -> Stack:
    """A cell or list body: markup alone gives its words to the element around it."""
    if isinstance(item, str):
        return Stack([Text(item, style, "")] if item else [])
    return Stack([item] if isinstance(item, Flowable) else list(item))
