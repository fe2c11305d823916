"""What the papers besides the dossier share: heads and feet, places to write on, how one becomes a PDF.

A paper is drawn from a job that is not sealed: it has no record number, no digest and no signature. A private
one says on every page that it is. Rules and boxes to write on are artifacts; the words beside them are text.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable

from dossier.model.record import OpenRecord
from dossier.pages import blocks
from dossier.pages.options import PageOptions
from dossier.pages.plain import plain
from dossier.pages.running import Running, built, meta
from dossier.pages.setting import Setting, cut, printable
from dossier.pages.style import Grid, grid
from dossier.pages.tagging import (
    Columns,
    Rule,
    Space,
    Stack,
    Term,
    Terms,
    Text,
    Together,
)

_CLOSER = (0.97, 0.94, 0.91, 0.88)  # of the usual size of letters, 10 pt for reading
_MUCH = 0.6  # of a page
_LEAST_LINE = 38 * mm  # to write on, beside words
LINE = 7.5 * mm  # between lines to write on
BOX = 3.6 * mm


class PaperRunning(Running):
    """Foot of a paper: workshop, job, private or not, page n of m."""

    def __init__(self, s: Setting, *, private: bool) -> None:
        super().__init__(s)
        self.private = private

    def _left(self) -> str:
        names = [cut(self.s.payload.workshop.name, 64), self._job()]
        if self.private:
            names.append(self.s.words.say("papers.private_foot"))
        return printable("  \u00b7  ".join(name for name in names if name))


class Bare(Running):
    """Nothing on the edges."""

    def header(self, canvas: Any, page: int) -> None:
        """A slip is all foreground."""

    def footer(self, canvas: Any, page: int) -> None:
        """A slip is all foreground."""

    def background(self, canvas: Any, page: int) -> None:
        """A slip is all foreground."""


class Fixed(Stack):
    """A stack that takes a fixed height."""

    def __init__(self, items: Sequence[Flowable], height: float) -> None:
        super().__init__(items)
        self.fixed = height

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        super().wrap(width, height)
        self.width, self.height = width, self.fixed
        return self.width, self.height


class Box(Rule):
    """A box to tick."""

    def __init__(self) -> None:
        super().__init__(BOX, 0.6, space_before=0, space_after=0)
        self.height = BOX

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        self.width = self.height = BOX
        return self.width, self.height

    def draw(self) -> None:
        with self.canv.artifact():
            self.canv.setLineWidth(self.thickness)
            self.canv.setStrokeColor(self.color)
            self.canv.rect(0, 0, BOX, BOX, stroke=1, fill=0)


def settled(
    record: OpenRecord, options: PageOptions, story: Callable[[Setting], list[Flowable]]
) -> tuple[Setting, list[Flowable]]:
    """A paper as it is usually set, or a little closer where that saves a last page that is not full."""
    usual = Setting(record, {}, options, on=paper_grid(options))
    pages, used = blocks.pages_taken(usual, story(usual))
    if pages == 1 or used > _MUCH * usual.grid.depth:
        return usual, story(usual)
    for scale in _CLOSER:
        closer = Setting(record, {}, options, on=paper_grid(options), scale=scale)
        if blocks.pages_taken(closer, story(closer))[0] < pages:
            return closer, story(closer)
    return usual, story(usual)


def paper_grid(options: PageOptions) -> Grid:
    """A paper is handed over, not bound: its margins are narrower than those of the dossier."""
    return grid(options.paper, top=19 * mm, bottom=20 * mm)


def finished(s: Setting, story: Sequence[Flowable], title: str, running: Running) -> bytes:
    """A story as a finished PDF that is no copy of a record; nothing in it is to be signed."""
    subject = printable(s.words.say("papers.subject", job=s.payload.job))
    about = replace(meta(s, title), subject=subject, keywords="")
    return built(s, story, about, running, fields={})


def private_notice(s: Setting) -> list[Flowable]:
    return [Text(printable(s.words.say("papers.private")), s.styles.notice), Space(3 * mm)]


def facts(s: Setting, rows: Sequence[tuple[str, str]]) -> list[Flowable]:
    """Keys of [label] of the papers, and values; what has no value is a line to write on."""
    widths, of = (s.grid.label, s.grid.body), Terms()
    labelled = [(s.words.say(f"papers.label.{key}"), value) for key, value in rows]
    return [
        blocks.term(s, label, value, widths, s.grid.gap, of) if value else _blank(s, label, widths, of)
        for label, value in labelled
    ]


def _blank(s: Setting, label: str, widths: Sequence[float], of: Terms) -> Flowable:
    body: list[Flowable] = [Space(12, keep=True), Rule(s.grid.body, 0.4, space_before=0, space_after=3)]
    return Term([[plain(label, s.styles.label, "")], body], widths, s.grid.gap, of)


def ruled(s: Setting, count: int) -> list[Flowable]:
    """Lines to write on."""
    flows: list[Flowable] = []
    for _ in range(count):
        flows += [Space(LINE, keep=True), Rule(s.grid.body, 0.4, space_before=0, space_after=0)]
    return flows


def line_beside(s: Setting, words: str) -> list[Flowable]:
    """Words with a line to write on behind them, or below them where they leave too little of it."""
    style = s.styles.in_body
    used = stringWidth(printable(words), style.fontName, style.fontSize) + 2 * mm
    if s.grid.body - used < _LEAST_LINE:
        return [plain(words, style), *ruled(s, 1), Space(1.5 * mm, keep=True)]
    rest = s.grid.body - used
    room = Space(LINE - style.leading, keep=True)
    line: list[Flowable] = [Space(LINE - 3, keep=True), Rule(rest, 0.4, space_before=0, space_after=0)]
    return [Columns([[room, plain(words, style)], line], [used, rest], 0)]


def ticks(s: Setting, choices: Sequence[str], width: float) -> list[Flowable]:
    """One box to tick a line, its words beside it."""
    flows: list[Flowable] = []
    for words in choices:
        cells: list[list[Flowable]] = [[Space(2.6, keep=True), Box()], [plain(words, s.styles.in_body)]]
        flows.append(Columns(cells, [BOX, width - BOX - 2.5 * mm], 2.5 * mm))
    return flows


def signatures(s: Setting, first: str, second: str) -> Flowable:
    """Two places to sign, each with its words below; never parted by a page break."""
    width = s.grid.columns(2)
    cells: list[list[Flowable]] = [
        [Rule(width, 0.5), Space(1 * mm), plain(words, s.styles.in_note)] for words in (first, second)
    ]
    return Together([Space(14 * mm, keep=True), Columns(cells, [width, width], s.grid.gap)])
