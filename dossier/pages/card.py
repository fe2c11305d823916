"""Cards of 85 x 55 mm (the size of a bank card, nearly), eight on a page, with marks to cut along.

All eight are the same card, so that a reader by ear hears it once.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.record import OpenRecord
from dossier.pages import blocks
from dossier.pages.fonts import SANS
from dossier.pages.options import PageOptions, Paper
from dossier.pages.plain import plain
from dossier.pages.running import Edge, OnePage, finished
from dossier.pages.setting import Setting, cut, markup
from dossier.pages.style import PAPERS, SOFT, Grid
from dossier.pages.tagging import Columns, Space, Stack, Text
from dossier.pages.tagging.structure import Element

WIDTH, HEIGHT = 85 * mm, 55 * mm
ACROSS, DOWN = 2, 4
CODE_MM = 43.0
_PAD, _ABOVE = 4 * mm, 3 * mm  # beside the words; above and below them at least
_MARK = 4 * mm
_MOST_NAME = 90  # letters
_SCALES = (1.0, 0.92, 0.84, 0.76, 0.68, 0.6)
_OF_NAME = (1.0, 0.75)  # the name gives way before the small print, which is 6 points at the second scale


class Card(Stack):
    """A stack of one fixed size; only the first of equal cards is content."""

    def __init__(self, items: list[Flowable], *, first: bool) -> None:
        super().__init__(items)
        self.first = first

    def structure(self, parent: Element) -> None:
        if self.first:
            super().structure(parent)

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        super().wrap(width, height)
        self.width, self.height = WIDTH, HEIGHT
        return self.width, self.height


class CardPage(OnePage):
    """Marks to cut along, and what must stand on the page."""

    def footer(self, canvas: Any, page: int) -> None:
        """What stands there is read."""

    def edges(self) -> list[Flowable]:
        return [*super().edges(), Edge(self.s, self.s.say("card.lead"), 10 * mm, SANS, 8, SOFT)]

    def background(self, canvas: Any, page: int) -> None:
        super().background(canvas, page)
        grid = self.s.grid
        bottom, top = grid.bottom, grid.height - grid.top
        canvas.setLineWidth(0.4)
        for column in range(ACROSS + 1):
            x = grid.left + column * WIDTH
            for y in (bottom - 1 * mm - _MARK, top + 1 * mm):
                canvas.line(x, y, x, y + _MARK)
        for row in range(DOWN + 1):
            y = bottom + row * HEIGHT
            for x in (grid.left - 1 * mm - _MARK, grid.left + ACROSS * WIDTH + 1 * mm):
                canvas.line(x, y, x + _MARK, y)


def draw_card(record: OpenRecord, pictures: Mapping[str, bytes], options: PageOptions) -> bytes:
    """The cards as a finished PDF of one page."""
    s = _fitting(record, pictures, options)
    title = s.say("card.title", object=s.object_name)
    return finished(s, _cards(s), title, signed=False, running=CardPage(s))


def sheet_grid(paper: Paper) -> Grid:
    """The cards in the middle of the paper."""
    width, height = PAPERS[paper]
    across, down = (width - ACROSS * WIDTH) / 2, (height - DOWN * HEIGHT) / 2
    return Grid(width, height, top=down, bottom=down, left=across, right=across, gap=0)


def _fitting(record: OpenRecord, pictures: Mapping[str, bytes], options: PageOptions) -> Setting:
    """The largest type in which all words fit the card."""
    on = sheet_grid(options.paper)
    for scale, of_name in product(_SCALES, _OF_NAME):
        s = Setting(record, pictures, options, on=on, scale=scale)
        s.styles.card_name.fontSize *= of_name
        s.styles.card_name.leading *= of_name
        if Stack(_words(s)).wrap(_room(s), HEIGHT)[1] <= HEIGHT - 2 * _ABOVE:
            break
    return s


def _room(s: Setting) -> float:
    """Width for words, in points."""
    code = CODE_MM * mm + 2 * mm - _PAD / 2 if s.options.code_text else 0.0
    return float(WIDTH - 2 * _PAD - code)


def _cards(s: Setting) -> list[Flowable]:
    rows: list[Flowable] = []
    for row in range(DOWN):
        cells: list[list[Flowable]] = [
            [Card(_face(s), first=row == 0 and column == 0)] for column in range(ACROSS)
        ]
        rows.append(Columns(cells, [WIDTH] * ACROSS, 0))
    return rows


def _face(s: Setting) -> list[Flowable]:
    words = [Space(_ABOVE, keep=True), *_words(s)]
    if not s.options.code_text:
        return [Columns([[], words], [_PAD, _room(s)], 0)]
    code: list[Flowable] = [Space((HEIGHT - CODE_MM * mm) / 2, keep=True), blocks.code(s, CODE_MM)]
    return [Columns([[], code, words], [_PAD / 2, CODE_MM * mm, _room(s)], 2 * mm / 2)]


def _in_two(record: str) -> str:
    """The number of a record on two lines, as markup, cut after its third group."""
    groups = record.removeprefix("urn:uuid:").split("-")
    return (
        f"{markup('-'.join(groups[:3]))}-<br/>{markup('-'.join(groups[3:]))}"
        if len(groups) > 3
        else markup(record)
    )


def _words(s: Setting) -> list[Flowable]:
    shop = s.payload.workshop
    return [
        Text(s.set("card.kicker"), s.styles.tiny),
        plain(cut(s.object_name, _MOST_NAME), s.styles.card_name),
        Space(1.2 * mm),
        Text(s.set("card.job", workshop=shop.name, job=s.payload.job), s.styles.tiny),
        Text(f"{s.set('card.record')}<br/>{_in_two(s.payload.record)}", s.styles.tiny),
        Space(1.2 * mm),
        Text(s.set("card.not_ownership"), s.styles.card_bold),
        Text(markup(s.of_code("pages.card.check")), s.styles.tiny),
    ]
