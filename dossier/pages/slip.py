"""The job slip: photographed first at each sitting, so that the photographs after it can be sorted.

A code that names job and stage, the same in large words, a line for the day, grey steps, a scale of 100 mm.
A whole page a slip, or four slips on a page to cut apart. The grey steps and the scale are as good as the
printer and its paper: the words beside them say so. What the code says is given, not made here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable

from dossier.model.record import OpenRecord
from dossier.model.words import Stage
from dossier.pages.code import qr_figure
from dossier.pages.fonts import SANS, SANS_BOLD, SERIF
from dossier.pages.options import PageOptions
from dossier.pages.paper import Bare, Fixed, finished
from dossier.pages.plain import plain
from dossier.pages.setting import Setting, cut, markup, printable
from dossier.pages.style import HAIR, INK, PAPERS, SOFT, Grid, text_style
from dossier.pages.tagging import Columns, Figure, Heading, NewPage, Rule, Space, Text

SCALE_MM = 100
_ENDS = 4 * mm  # room beside the scale for its first and last figure
_STEPS = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)


@dataclass(frozen=True)
class OneSlip:
    """A stage, and the text of the code that names it."""

    stage: Stage
    code: str


@dataclass(frozen=True)
class Look:
    """Measures of one slip, in points but for the code: its room, sizes of type, the code in mm."""

    width: float
    height: float
    job: float
    stage: float
    thing: float
    small: float
    code_mm: float
    line: float


class QuarterPage(Bare):
    """Marks to cut along between the four slips."""

    def background(self, canvas: Any, page: int) -> None:
        grid = self.s.grid
        across, up = grid.width / 2, grid.height / 2
        canvas.setLineWidth(0.4)
        canvas.setStrokeColor(HAIR)
        for x, y, dx, dy in (
            (across, 0, 0, 6), (across, grid.height, 0, -6), (0, up, 6, 0), (grid.width, up, -6, 0),
            (across, up, 0, 3), (across, up, 0, -3), (across, up, 3, 0), (across, up, -3, 0),
        ):  # fmt: skip
            canvas.line(x, y, x + dx * mm, y + dy * mm)


def draw_slips(
    record: OpenRecord, slips: Sequence[OneSlip], options: PageOptions, *, quarter: bool = False
) -> bytes:
    """The slips as a finished PDF, in order: one a page, or four a page to cut apart."""
    s = Setting(record, {}, options, on=quarter_grid(options) if quarter else page_grid(options))
    title = s.words.say("papers.slip.title", job=s.payload.job)
    if quarter:
        return finished(s, _quarters(s, slips), title, QuarterPage(s))
    return finished(s, _pages(s, slips), title, Bare(s))


def page_grid(options: PageOptions) -> Grid:
    width, height = PAPERS[options.paper]
    return Grid(width, height, top=16 * mm, bottom=14 * mm, left=16 * mm, right=16 * mm)


def quarter_grid(options: PageOptions) -> Grid:
    """The paper on its side, no margins: each slip has its own."""
    height, width = PAPERS[options.paper]
    return Grid(width, height, top=0, bottom=0, left=0, right=0, gap=0)


def _pages(s: Setting, slips: Sequence[OneSlip]) -> list[Flowable]:
    look = Look(s.grid.text, s.grid.depth, job=60, stage=44, thing=20, small=11, code_mm=96, line=15 * mm)
    flows: list[Flowable] = []
    for slip in slips:
        flows += [NewPage(), *_large(s, slip, look)]
    return flows


def _quarters(s: Setting, slips: Sequence[OneSlip]) -> list[Flowable]:
    pad = 8 * mm
    width, height = s.grid.width / 2, s.grid.height / 2
    look = Look(
        width - 2 * pad, height - 2 * pad, job=27, stage=22, thing=12, small=8, code_mm=50, line=7.5 * mm
    )
    rows: list[Flowable] = []
    for start in range(0, len(slips), 2):
        pair = slips[start : start + 2]
        cells: list[list[Flowable]] = [
            [Fixed([Space(pad, keep=True), *_small(s, slip, look)], height)] for slip in pair
        ]
        edges = [[], *[cell for cell in cells for cell in (cell, [])]]
        widths = [pad, *[w for _ in pair for w in (look.width, 2 * pad)]]
        rows.append(Columns(edges, widths, 0))
    return rows


def _large(s: Setting, slip: OneSlip, look: Look) -> list[Flowable]:
    """The words across the page, below them code and lines, at the foot the scale."""
    code = look.code_mm * mm
    room = look.width - code - 8 * mm
    beside: list[Flowable] = [*_lines(s, look, room), Space(10 * mm), *_grey(s, look, room)]
    return [
        *_words(s, slip, look, look.width),
        Space(10 * mm),
        Columns([[_code(s, slip, look)], beside], [code, room], 8 * mm),
        Space(14 * mm),
        *_scale(s, look),
    ]


def _small(s: Setting, slip: OneSlip, look: Look) -> list[Flowable]:
    """Code on the left, words and lines on the right, at the foot the scale."""
    code = look.code_mm * mm
    room = look.width - code - 5 * mm
    beside = [*_words(s, slip, look, room), Space(1 * mm), *_lines(s, look, room)]
    top = Fixed([Columns([[_code(s, slip, look)], beside], [code, room], 5 * mm)], look.height - 16 * mm)
    return [top, *_scale(s, look)]


def _words(s: Setting, slip: OneSlip, look: Look, room: float) -> list[Flowable]:
    stage = s.say(f"stage.{slip.stage.replace(' ', '_')}")
    return [
        Text(_said(s, "kicker"), _style("slip_kicker", SANS, look.small, SOFT)),
        Space(look.small * 0.3, keep=True),
        Heading(markup(s.payload.job), 1, _fitting("slip_job", s.payload.job, look.job, room)),
        Text(markup(stage), _fitting("slip_stage", stage, look.stage, room)),
        Space(look.small * 0.4, keep=True),
        plain(cut(s.object_name, 90), _style("slip_thing", SERIF, look.thing)),
        plain(cut(s.payload.workshop.name, 70), _style("slip_shop", SANS, look.small, SOFT)),
    ]


def _said(s: Setting, key: str) -> str:
    return markup(s.words.say(f"papers.slip.{key}"))


def _style(name: str, font: str, size: float, color: Any = INK) -> ParagraphStyle:
    return text_style(name, font, size, size * 1.28, textColor=color)


def _fitting(name: str, text: str, size: float, room: float) -> ParagraphStyle:
    """The largest type in which `text` stands on one line, but never small print."""
    wide = stringWidth(printable(text), SANS_BOLD, size)
    size = max(size * min(1.0, 0.99 * room / wide), size / 3) if wide else size
    return _style(name, SANS_BOLD, size)


def _lines(s: Setting, look: Look, room: float) -> list[Flowable]:
    """Where the day, who, and what is about to be done are written by hand."""
    style = _style("slip_line", SANS, look.small, SOFT)
    flows: list[Flowable] = []
    for key in ("day", "who"):
        flows += [
            Space(look.line, keep=True),
            Rule(room, 0.5, space_before=0, space_after=1),
            Text(_said(s, key), style),
        ]
    return flows


def _code(s: Setting, slip: OneSlip, look: Look) -> Flowable:
    stage = s.say(f"stage.{slip.stage.replace(' ', '_')}")
    alt = printable(s.words.say("papers.slip.code_alt", job=s.payload.job, stage=stage))
    return qr_figure(slip.code, look.code_mm, s.words.language, alt=alt, level="Q")


def _grey(s: Setting, look: Look, room: float) -> list[Flowable]:
    figure = Figure(_draw_grey, min(room, 84 * mm), 13 * mm, printable(s.words.say("papers.slip.grey_alt")))
    return [
        figure,
        Space(1 * mm, keep=True),
        Text(_said(s, "grey"), _style("slip_note", SANS, look.small * 0.85, SOFT)),
    ]


def _draw_grey(canvas: Any, width: float, height: float) -> None:
    canvas.saveState()
    canvas.setLineWidth(0.4)
    canvas.setStrokeGray(0)
    each = width / len(_STEPS)
    for number, grey in enumerate(_STEPS):
        canvas.setFillGray(grey)
        canvas.rect(number * each, 0, each, height, stroke=1, fill=1)
    canvas.restoreState()


def _scale(s: Setting, look: Look) -> list[Flowable]:
    wide = SCALE_MM * mm + 2 * _ENDS
    scale = Figure(_draw_scale, wide, 10 * mm, printable(s.words.say("papers.slip.scale_alt")))
    note = Text(_said(s, "scale"), _style("slip_note", SANS, look.small * 0.85, SOFT))
    return [scale, Space(0.5 * mm, keep=True), note]


def _draw_scale(canvas: Any, _width: float, height: float) -> None:
    """Blocks of 10 mm, black and white, ticks of 1 mm, figures at 0, 50 and 100."""
    canvas.saveState()
    canvas.translate(_ENDS, height - 5 * mm)
    canvas.setFillGray(0)
    canvas.setStrokeGray(0)
    for ten in range(0, SCALE_MM, 20):
        canvas.rect(ten * mm, 2 * mm, 10 * mm, 3 * mm, stroke=0, fill=1)
    canvas.setLineWidth(0.4)
    canvas.rect(0, 2 * mm, SCALE_MM * mm, 3 * mm, stroke=1, fill=0)
    canvas.setLineWidth(0.3)
    for at in range(SCALE_MM + 1):
        canvas.line(at * mm, 2 * mm, at * mm, (0 if at % 10 == 0 else 0.6 if at % 5 == 0 else 1) * mm)
    canvas.setFont(SANS, 7.5)
    for at in (0, 50, 100):
        canvas.drawCentredString(at * mm, -3.2 * mm, f"{at} mm" if at == SCALE_MM else str(at))
    canvas.restoreState()
