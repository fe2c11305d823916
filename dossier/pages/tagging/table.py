"""Tables: Table, THead, TBody, TR, TH with its Scope, TD (ISO 32000-1, 14.8.4.3.4), on any number of pages.

The head row is repeated on every page, tagged once and an artifact afterwards. A row is broken only where it
is higher than a page, and no row of several stands alone on a page if another can go with it. Not done here:
cells that span rows or columns.

Invariant: every row has as many cells as the head, so the grid is regular (ISO 14289-1, 7.5).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec
from reportlab.lib.colors import Color, black
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable

from dossier.pages.tagging.boxes import Row, Stack, columns
from dossier.pages.tagging.lists import Item, item_stack
from dossier.pages.tagging.structure import Element

_FUZZ = 1e-6


class TableLook(msgspec.Struct, frozen=True):
    """How a table looks; lengths in points, a rule of 0 is not drawn.

    `flush`: the first column starts, and the last ends, where the table does; between two is twice `pad_x`.
    """

    head: ParagraphStyle
    body: ParagraphStyle
    row_head: ParagraphStyle | None = None  # of the first column where it heads its row
    pad_x: float = 3.0
    flush: bool = False
    pad_y: float = 2.5
    rule: float = 0.3  # between rows
    head_rule: float = 0.8  # under the head and after the last row
    rule_color: Color = black
    head_fill: Color | None = None
    stripe: Color | None = None  # ground of every second row
    space_before: float = 6.0
    space_after: float = 6.0


class DataTable(Flowable):  # type: ignore[misc]  # reportlab is untyped
    """A head row and body rows of markup or flowables; `widths` in points, narrowed to fit the page."""

    def __init__(
        self,
        header: Sequence[Item],
        rows: Sequence[Sequence[Item]],
        widths: Sequence[float],
        style: TableLook,
        row_header: bool = False,
        alt: str = "",
    ) -> None:
        super().__init__()
        self.width = self.height = 0.0
        for number, row in enumerate([header, *rows]):
            if len(row) != len(widths):
                raise ValueError(f"row {number} of a table has {len(row)} cells for {len(widths)} columns")
        self.look, self.widths, self.row_header, self.alt = style, list(widths), row_header, alt
        self.head = self._row(header, [style.head] * len(widths))
        styles = [style.body] * len(widths)
        if row_header:
            styles[0] = style.row_head or style.body
        self.rows = [self._row(row, styles) for row in rows]
        self.first_number = 0
        self.repeated = False
        self._wrapped_for = -1.0

    def _row(self, cells: Sequence[Item], styles: Sequence[ParagraphStyle]) -> Row:
        stacks = [item_stack(cell, style) for cell, style in zip(cells, styles, strict=True)]
        return Row(stacks, [], self.look.pad_y)

    def _empty_row(self) -> Row:
        return Row([Stack([]) for _ in self.widths], [])

    # Structure

    def structure(self, parent: Element) -> None:
        table = parent.child("Table")
        if self.alt:
            table.set("Table", Summary=self.alt)
        head = table.child("THead").child("TR")
        for cell in self.head.cells:
            cell.structure(head.child("TH").set("Table", Scope="Column"))
        body = table.child("TBody")
        for row in self.rows:
            self._row_structure(row, body.child("TR"))

    def _row_structure(self, row: Row, parent: Element) -> None:
        for column, cell in enumerate(row.cells):
            if self.row_header and column == 0:
                cell.structure(parent.child("TH").set("Table", Scope="Row"))
            else:
                cell.structure(parent.child("TD"))

    # Layout

    def getSpaceBefore(self) -> float:  # noqa: N802 - reportlab's name
        return self.look.space_before

    def getSpaceAfter(self) -> float:  # noqa: N802 - reportlab's name
        return self.look.space_after

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        if self._wrapped_for != width:
            self._wrapped_for = width
            self._wrap(width)
        return self.width, self.height

    def _wrap(self, width: float) -> None:
        scale = min(1.0, width / sum(self.widths))
        edges = self._edges([w * scale for w in self.widths])
        for row in (self.head, *self.rows):
            row.edges = edges
            row.wrap(width, 0)
        self.width = sum(self.widths) * scale
        self.height = self.head.height + sum(row.height for row in self.rows)

    def _edges(self, widths: Sequence[float]) -> list[tuple[float, float]]:
        """Left edge and width of each column's text."""
        pad, last = self.look.pad_x, len(widths) - 1
        if not self.look.flush:
            return [(x + pad, max(w - 2 * pad, 1.0)) for x, w in columns(widths)]
        return [(x, max(w - (2 * pad if n < last else 0), 1.0)) for n, (x, w) in enumerate(columns(widths))]

    def cut(self, width: float, height: float, force: bool) -> tuple[DataTable | None, DataTable | None]:
        self.wrap(width, height)
        count, used = 0, self.head.height
        while count < len(self.rows) and used + self.rows[count].height <= height + _FUZZ:
            used += self.rows[count].height
            count += 1
        count = self._without_orphans(count, force)
        if count:
            rest = self._part(self._next_head(height), self.rows[count:], repeated=True)
            rest.first_number += count
            return self._part(self.head, self.rows[:count], self.repeated), rest
        if not force or not self.rows:
            return None, self
        if not self.repeated and self.head.height > height / 2:
            return self._cut_head(width, height)
        return self._cut_row(width, height)

    def _without_orphans(self, count: int, force: bool) -> int:
        """So many rows of those that fit that neither the first nor the last row of several stands alone."""
        left = len(self.rows) - count
        if left == 1 and count > 2:
            return count - 1
        could_move = not self.repeated and not force
        return 0 if could_move and (count == 1 or len(self.rows) < 4) else count

    def _next_head(self, height: float) -> Row:
        """The head as it is repeated, or an empty one if it would take half of every page."""
        return self.head if self.head.height <= height / 2 else self._empty_row()

    def _cut_head(self, width: float, height: float) -> tuple[DataTable | None, DataTable | None]:
        """Most of a page is head: it is broken like any row, and what is left of it heads the next page."""
        first, rest = self.head.cut(width, height, True)
        if first is None or rest is None:
            return None, self
        return self._part(first, [], False), self._part(rest, self.rows, False)

    def _cut_row(self, width: float, height: float) -> tuple[DataTable | None, DataTable | None]:
        first, rest = self.rows[0].cut(width, height - self.head.height, True)
        if first is None or rest is None:
            return None, self
        remaining = self._part(self._next_head(height), [rest, *self.rows[1:]], repeated=True)
        return self._part(self.head, [first], self.repeated), remaining

    def _part(self, head: Row, rows: list[Row], repeated: bool) -> DataTable:
        part = DataTable([""] * len(self.widths), [], self.widths, self.look, self.row_header)
        part.head, part.rows, part.repeated = head, rows, repeated
        part.first_number = self.first_number
        return part

    # Drawing

    def drawOn(self, canvas: Any, x: float, y: float, _sW: float = 0) -> None:  # noqa: N802, N803 - reportlab's name
        top = y + self.height
        with canvas.artifact():
            self._draw_grounds(canvas, x, top)
        self._draw_head(canvas, x, top - self.head.height)
        top -= self.head.height
        for row in self.rows:
            row.drawOn(canvas, x, top - row.height)
            top -= row.height

    def _draw_head(self, canvas: Any, x: float, y: float) -> None:
        if not self.repeated:
            self.head.drawOn(canvas, x, y)
            return
        with canvas.artifact("pagination"):
            self.head.drawOn(canvas, x, y)

    def _draw_grounds(self, canvas: Any, x: float, top: float) -> None:
        """Grounds and rules, under the words."""
        canvas.saveState()
        canvas.setStrokeColor(self.look.rule_color)
        y = top - self.head.height
        self._ground(canvas, self.look.head_fill, x, y, self.head.height)
        for number, row in enumerate(self.rows, self.first_number):
            if number % 2:
                self._ground(canvas, self.look.stripe, x, y - row.height, row.height)
            self._rule(canvas, self.look.rule if row is not self.rows[0] else self.look.head_rule, x, y)
            y -= row.height
        self._rule(canvas, self.look.head_rule, x, y)
        canvas.restoreState()

    def _ground(self, canvas: Any, color: Color | None, x: float, y: float, height: float) -> None:
        if color is not None:
            canvas.setFillColor(color)
            canvas.rect(x, y, self.width, height, stroke=0, fill=1)

    def _rule(self, canvas: Any, thickness: float, x: float, y: float) -> None:
        if thickness:
            canvas.setLineWidth(thickness)
            canvas.line(x, y, x + self.width, y)
