"""The job slip: photographed first at each sitting, so that the photographs after it can be sorted.

A code that names job and stage, the same in large words, a line for the day, grey steps, a scale of 100 mm.
The grey steps and the scale are as good as the printer and its paper: the words beside them say so. What the
code says is given, not made here.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable

from dossier.model.record import OpenRecord
from dossier.model.words import Stage
from dossier.pages.code import qr_figure
from dossier.pages.fonts import SANS, SANS_BOLD, SERIF
from dossier.pages.options import PageOptions
from dossier.pages.paper import Bare, finished
from dossier.pages.plain import plain
from dossier.pages.setting import Setting, cut, markup, printable
from dossier.pages.style import INK, PAPERS, SOFT, Grid, text_style
from dossier.pages.tagging import Columns, Figure, Heading, NewPage, Rule, Space, Text

SCALE_MM = 100
_ENDS = 4 * mm  # room beside the scale for its first and last figure
_STEPS = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
_CODE_MM = 96
_BESIDE = 8 * mm  # between the code and what stands beside it
# Sizes of type, in points.
_JOB, _STAGE, _THING, _SMALL = 60, 44, 20, 11
_NOTE = _SMALL * 0.85


class OneSlip(msgspec.Struct, frozen=True):
    """A stage, and the text of the code that names it."""

    stage: Stage
    code: str


def draw_slips(record: OpenRecord, slips: Sequence[OneSlip], options: PageOptions) -> bytes:
    """The slips as a finished PDF, in order, one a page."""
    s = Setting(record, {}, options, on=page_grid(options))
    story = [flow for slip in slips for flow in (NewPage(), *_slip(s, slip))]
    return finished(s, story, s.words.say("papers.slip.title", job=s.payload.job), Bare(s))


def page_grid(options: PageOptions) -> Grid:
    width, height = PAPERS[options.paper]
    return Grid(width, height, top=16 * mm, bottom=14 * mm, left=16 * mm, right=16 * mm)


def _slip(s: Setting, slip: OneSlip) -> list[Flowable]:
    """The words across the page, below them code and lines, at the foot the scale."""
    code = _CODE_MM * mm
    room = s.grid.text - code - _BESIDE
    beside: list[Flowable] = [*_lines(s, room), Space(10 * mm), *_grey(s, room)]
    return [
        *_words(s, slip),
        Space(10 * mm),
        Columns([[_code(s, slip)], beside], [code, room], _BESIDE),
        Space(14 * mm),
        *_scale(s),
    ]


def _words(s: Setting, slip: OneSlip) -> list[Flowable]:
    stage = s.say(f"stage.{slip.stage.replace(' ', '_')}")
    return [
        Text(_said(s, "kicker"), _style("slip_kicker", SANS, _SMALL, SOFT)),
        Space(_SMALL * 0.3, keep=True),
        Heading(markup(s.payload.job), 1, _fitting("slip_job", s.payload.job, _JOB, s.grid.text)),
        Text(markup(stage), _fitting("slip_stage", stage, _STAGE, s.grid.text)),
        Space(_SMALL * 0.4, keep=True),
        plain(cut(s.object_name, 90), _style("slip_thing", SERIF, _THING)),
        plain(cut(s.payload.workshop.name, 70), _style("slip_shop", SANS, _SMALL, SOFT)),
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


def _lines(s: Setting, room: float) -> list[Flowable]:
    """Where the day, who, and what is about to be done are written by hand."""
    style = _style("slip_line", SANS, _SMALL, SOFT)
    flows: list[Flowable] = []
    for key in ("day", "who"):
        flows += [
            Space(15 * mm, keep=True),
            Rule(room, 0.5, space_before=0, space_after=1),
            Text(_said(s, key), style),
        ]
    return flows


def _code(s: Setting, slip: OneSlip) -> Flowable:
    stage = s.say(f"stage.{slip.stage.replace(' ', '_')}")
    alt = printable(s.words.say("papers.slip.code_alt", job=s.payload.job, stage=stage))
    return qr_figure(slip.code, _CODE_MM, s.words.language, alt=alt, level="Q")


def _grey(s: Setting, room: float) -> list[Flowable]:
    figure = Figure(_draw_grey, min(room, 84 * mm), 13 * mm, printable(s.words.say("papers.slip.grey_alt")))
    return [
        figure,
        Space(1 * mm, keep=True),
        Text(_said(s, "grey"), _style("slip_note", SANS, _NOTE, SOFT)),
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


def _scale(s: Setting) -> list[Flowable]:
    wide = SCALE_MM * mm + 2 * _ENDS
    scale = Figure(_draw_scale, wide, 10 * mm, printable(s.words.say("papers.slip.scale_alt")))
    note = Text(_said(s, "scale"), _style("slip_note", SANS, _NOTE, SOFT))
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
