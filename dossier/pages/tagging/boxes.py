"""Boxes that hold flowables: a stack (one below the other) and a row (side by side), both able to be cut.

Everything compound (lists, tables, columns, pages) is made of these two. `cut` is the one protocol for
page breaks: it gives what fits and what is left; with `force` (a whole fresh page is offered) it must make
headway.

Invariant: cutting loses nothing and changes no order.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import msgspec
from reportlab.platypus import Flowable

from dossier.pages.tagging.structure import Element

_FUZZ = 1e-6
_FEW = 2
_ENDLESS = 1e6  # points; no page is this high


class Placed(msgspec.Struct, frozen=True):
    flowable: Flowable
    top: float  # below the top of the box
    height: float


class Filled(msgspec.Struct, frozen=True):
    placed: list[Placed]
    rest: list[Flowable]
    height: float


class NewPage(Flowable):  # type: ignore[misc]  # reportlab is untyped
    """What follows starts on a new page, unless nothing stands on this one."""

    def __init__(self) -> None:
        super().__init__()
        self.width = self.height = 0.0

    def draw(self) -> None:
        pass


class Space(Flowable):  # type: ignore[misc]  # reportlab is untyped
    """Empty height in points; dropped at the top of a page, and less after another one, unless `keep`."""

    def __init__(self, height: float, keep: bool = False) -> None:
        super().__init__()
        self.width, self.height = 0, height
        self.keep = keep

    def draw(self) -> None:
        pass


def structure_of(items: Sequence[Flowable], parent: Element) -> None:
    """Makes the elements of flowables in their order; those without any (spaces, rules) are artifacts."""
    for item in items:
        if hasattr(item, "structure"):
            item.structure(parent)
        elif not isinstance(item, (NewPage, Space)):
            raise TypeError(f"{type(item).__name__} cannot say what it is; wrap its drawing in a Figure")


def cut(item: Flowable, width: float, height: float, force: bool) -> tuple[Flowable | None, Flowable | None]:
    """What of `item` fits in `height`, and what is left."""
    if hasattr(item, "cut"):
        first, rest = item.cut(width, height, force)
        return first, rest
    parts = item.split(width, height)
    return (parts[0], parts[1]) if len(parts) == 2 else (None, item)


def fill(items: Sequence[Flowable], width: float, height: float, force: bool = False) -> Filled:
    """Places as many of `items` as fit, top to bottom; of spaces that meet the larger one stands."""
    filler = _Filler(width, height, force)
    for number, item in enumerate(items):
        if isinstance(item, NewPage):
            if filler.placed:
                return filler.done(items[number + 1 :])
            continue
        rest = filler.add(item)
        if rest is not None:
            return filler.result([rest, *items[number + 1 :]])
    return filler.done([])


class _Filler:
    def __init__(self, width: float, height: float, force: bool) -> None:
        self.width, self.height, self.force = width, height, force
        self.placed: list[Placed] = []
        self.used = self.after = 0.0

    def add(self, item: Flowable) -> Flowable | None:
        """Places `item`; gives back what did not fit."""
        if not self.placed and isinstance(item, Space) and not item.keep and self.force:
            return None
        gap = max(self.after, item.getSpaceBefore()) if self.placed else 0.0
        if isinstance(item, Space) and not item.keep:
            gap -= min(self._open, item.height)
        room = self.height - self.used - gap
        _, height = item.wrap(self.width, max(room, _FUZZ))
        if height <= room + _FUZZ:
            self._place(item, gap, height)
            return None
        return self._add_cut(item, gap, room)

    def _add_cut(self, item: Flowable, gap: float, room: float) -> Flowable | None:
        force = self.force and room > 0 and self._only_kept()
        first, rest = cut(item, self.width, room, force) if room > 0 else (None, item)
        if first is None and force and (not self.placed or hasattr(item, "shrink")):
            first, rest = _shrunk(item, room), None
        if first is not None:
            _, height = first.wrap(self.width, room)
            self._place(first, gap, height)
        return rest

    def _only_kept(self) -> bool:
        """Whether the page holds only what must stay with the next thing: no other page is better."""
        return all(placed.flowable.getKeepWithNext() for placed in self.placed)

    def _stays_with_next(self) -> bool:
        """Whether what was placed last must stay with what comes; a space does as what stands before it."""
        before = (placed.flowable for placed in reversed(self.placed))
        last = next((item for item in before if not isinstance(item, Space)), None)
        return last is not None and bool(last.getKeepWithNext())

    @property
    def _open(self) -> float:
        """How much of an empty space stands at the end already."""
        last = self.placed[-1].flowable if self.placed else None
        return last.height if isinstance(last, Space) and not last.keep else 0.0

    def _place(self, item: Flowable, gap: float, height: float) -> None:
        self.placed.append(Placed(item, self.used + gap, height))
        self.used += gap + height
        self.after = item.getSpaceAfter()

    def result(self, rest: Sequence[Flowable]) -> Filled:
        """Ends at a break: what must stay with the next thing goes along, unless nothing would be left."""
        along: list[Flowable] = []
        while rest and self._stays_with_next():
            along.insert(0, self.placed.pop().flowable)
        if along and not self.placed and self.force:
            return self.done(rest, kept=along)
        return self.done([*along, *rest])

    def done(self, rest: Sequence[Flowable], kept: Sequence[Flowable] = ()) -> Filled:
        for item in kept:
            _, height = item.wrap(self.width, self.height)
            self._place(item, 0.0, height)
        bottom = max((p.top + p.height for p in self.placed), default=0.0)
        return Filled(self.placed, list(rest), bottom)


def _shrunk(item: Flowable, room: float) -> Flowable:
    """A picture too high for a page, made smaller; anything else has to fit."""
    if not hasattr(item, "shrink"):
        raise ValueError(f"{type(item).__name__} is higher than a page")
    item.shrink(room)
    return item


class Stack(Flowable):  # type: ignore[misc]  # reportlab is untyped
    """Flowables one below the other. `together`: not broken as long as a page can hold them all."""

    def __init__(self, items: Sequence[Flowable], together: bool = False) -> None:
        super().__init__()
        self.width = self.height = 0.0
        self.items = [item for item in items if not isinstance(item, NewPage)]
        self.together = together
        self.filled = Filled([], [], 0.0)
        self._wrapped_for = -1.0

    def structure(self, parent: Element) -> None:
        structure_of(self.items, parent)

    def getSpaceBefore(self) -> float:  # noqa: N802 - reportlab's name
        return float(self.items[0].getSpaceBefore()) if self.items else 0.0

    def getSpaceAfter(self) -> float:  # noqa: N802 - reportlab's name
        return float(self.items[-1].getSpaceAfter()) if self.items else 0.0

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        if self._wrapped_for != width:
            self.filled = fill(self.items, width, _ENDLESS)
            self._wrapped_for = width
        self.width, self.height = width, self.filled.height
        return self.width, self.height

    def forget(self) -> None:
        """Lays out anew: something inside has another size now."""
        self._wrapped_for = -1.0
        for item in self.items:
            if hasattr(item, "forget"):
                item.forget()

    def cut(self, width: float, height: float, force: bool) -> tuple[Stack | None, Stack | None]:
        if self.together and not force:
            return None, self
        self._wrapped_for = -1.0
        filled = fill(self.items, width, height, force)
        if not filled.placed:
            return None, self
        first = Stack([placed.flowable for placed in filled.placed])
        return first, (Stack(filled.rest) if filled.rest else None)

    def drawOn(self, canvas: Any, x: float, y: float, _sW: float = 0) -> None:  # noqa: N802, N803 - reportlab's name
        for placed in self.filled.placed:
            placed.flowable.drawOn(canvas, x, y + self.height - placed.top - placed.height)


class Together(Stack):
    """Flowables that stay on one page if a page can hold them."""

    def __init__(self, items: Sequence[Flowable]) -> None:
        super().__init__(items, together=True)


class Loose(Stack):
    """Flowables that stay on one page, unless that leaves more than `most` points of the page before empty.

    Where it is parted, neither piece is lower than `least`, and `again` stands over the second: an artifact,
    since what it says was said before.
    """

    def __init__(
        self, items: Sequence[Flowable], most: float, least: float, again: Callable[[], Flowable]
    ) -> None:
        super().__init__(items)
        self.most, self.least, self.again = most, least, again

    def cut(self, width: float, height: float, force: bool) -> tuple[Stack | None, Stack | None]:
        if not force and height <= self.most:
            return None, self
        for room in (height, height - self.least):
            first, rest = super().cut(width, room, force)
            if force or first is None or rest is None:
                return first, rest
            low = min(piece.wrap(width, height)[1] for piece in (first, rest))
            if low >= self.least and not _only_beside(rest):
                return first, Stack([self.again(), *rest.items])
        return None, self


def _only_beside(piece: Stack) -> bool:
    """Whether hardly more is left than what stood beside something."""
    first, *more = piece.items
    beside = not more and isinstance(first, Row) and len(first.cells) > 1
    return beside and len(first.cells[0].items) < _FEW


class Row(Flowable):  # type: ignore[misc]  # reportlab is untyped
    """Stacks side by side, tops level; `edges` holds each one's left edge and width in points."""

    def __init__(
        self, cells: Sequence[Stack], edges: Sequence[tuple[float, float]], padding: float = 0
    ) -> None:
        super().__init__()
        self.width = self.height = 0.0
        self.cells, self.edges, self.padding = list(cells), list(edges), padding
        self._wrapped_for: object = None

    def structure(self, parent: Element) -> None:
        for cell in self.cells:
            cell.structure(parent)

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        if self._wrapped_for != self.edges:  # a table asks each of its rows again on every page
            self._wrapped_for = self.edges
            heights = [cell.wrap(w, height)[1] for cell, (_, w) in zip(self.cells, self.edges, strict=True)]
            self.height = max(heights, default=0.0) + 2 * self.padding
        self.width = width
        return self.width, self.height

    def forget(self) -> None:
        self._wrapped_for = None
        for cell in self.cells:
            cell.forget()

    def cut(self, width: float, height: float, force: bool) -> tuple[Row | None, Row | None]:
        """Cuts every cell at the same height; without `force`, only if each cell has something to show."""
        room = height - 2 * self.padding
        if room <= 0:
            return None, self
        self._wrapped_for = None
        pairs = [self._cut_cell(c, w, room, force) for c, (_, w) in zip(self.cells, self.edges, strict=True)]
        shown = [bool(first.items) for first, _ in pairs]
        needed = [bool(cell.items) for cell in self.cells]
        if not any(shown) or (not force and shown != needed):
            return None, self
        return self._with([first for first, _ in pairs]), self._with([rest for _, rest in pairs])

    def _cut_cell(self, cell: Stack, width: float, room: float, force: bool) -> tuple[Stack, Stack]:
        if cell.wrap(width, room)[1] <= room + _FUZZ:
            return cell, Stack([])
        first, rest = cell.cut(width, room, force)
        return first or Stack([]), rest or Stack([])

    def _with(self, cells: Sequence[Stack]) -> Row:
        return Row(cells, self.edges, self.padding)

    def drawOn(self, canvas: Any, x: float, y: float, _sW: float = 0) -> None:  # noqa: N802, N803 - reportlab's name
        top = y + self.height - self.padding
        for cell, (left, _) in zip(self.cells, self.edges, strict=True):
            cell.drawOn(canvas, x + left, top - cell.height)


class Columns(Row):
    """Cells side by side, read left to right; no table. `widths` and `gap` in points."""

    def __init__(self, cells: Sequence[Sequence[Flowable]], widths: Sequence[float], gap: float) -> None:
        super().__init__([Stack(cell) for cell in cells], columns(widths, gap))


def columns(widths: Sequence[float], gap: float = 0.0) -> list[tuple[float, float]]:
    """Left edge and width of each column."""
    edges, left = [], 0.0
    for width in widths:
        edges.append((left, width))
        left += width + gap
    return edges
