"""Labels for bags of parts: 62 x 40 mm, eighteen on a page of A4 or Letter, with marks to cut along.

Each says job, part by number and name, pieces, why it lies apart, where it came from and where it goes, with
smaller type or an ellipsis where a label has no room. Not decided here: which parts get one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property, partial
from typing import Any, Literal

import msgspec
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.record import OpenRecord
from dossier.pages.fonts import SANS, SANS_BOLD, SERIF
from dossier.pages.options import PageOptions
from dossier.pages.paper import Fixed, PaperRunning, finished
from dossier.pages.plain import plain
from dossier.pages.running import Edge
from dossier.pages.setting import Setting, cut, markup, printable
from dossier.pages.style import HAIR, PAPERS, SOFT, Grid, text_style
from dossier.pages.tagging import Columns, Heading, Rule, Space, Stack, Text

WIDTH, HEIGHT = 62 * mm, 40 * mm
ACROSS, DOWN = 3, 6
_PAD = 3.5 * mm
_MARK = 3 * mm
_FOOT, _FOOT_UP = 7, 9 * mm
_SCALES = (1.0, 0.9, 0.8, 0.7)
_LENGTHS = (200, 90, 60, 40, 24)  # letters of a line, tried from the longest


class OneLabel(msgspec.Struct, frozen=True):
    """A part by number; `pieces` 0 is not said; `day` ISO 8601, "" not said."""

    part: str
    pieces: int
    loose_as: Literal["off", "away", "old", ""] = ""
    day: str = ""


class LabelPage(PaperRunning):
    """Marks to cut along, and how to print."""

    def __init__(self, s: Setting) -> None:
        super().__init__(s, private=False)

    def header(self, canvas: Any, page: int) -> None:
        """The labels are all there is."""

    def footer(self, canvas: Any, page: int) -> None:
        if page > 1:
            canvas.setFillColor(SOFT)
            canvas.setFont(SANS, _FOOT)
            canvas.drawCentredString(self.s.grid.width / 2, _FOOT_UP, printable(self._foot()))

    def edges(self) -> list[Flowable]:
        return [Edge(self.s, self._foot(), _FOOT_UP, SANS, _FOOT, SOFT)]

    def _foot(self) -> str:
        return self.s.words.say("papers.labels.foot")

    def background(self, canvas: Any, page: int) -> None:
        grid = self.s.grid
        canvas.setLineWidth(0.3)
        canvas.setStrokeColor(HAIR)
        for column in range(ACROSS + 1):
            for row in range(DOWN + 1):
                x, y = grid.left + column * WIDTH, grid.bottom + row * HEIGHT
                canvas.line(x - _MARK / 2, y, x + _MARK / 2, y)
                canvas.line(x, y - _MARK / 2, x, y + _MARK / 2)


class Looks:
    """The styles of a label at one scale."""

    def __init__(self, scale: float) -> None:
        self.scale = scale

    def _style(self, name: str, font: str, size: float, **more: Any) -> ParagraphStyle:
        return text_style(name, font, size * self.scale, size * self.scale * 1.2, **more)

    @cached_property
    def number(self) -> ParagraphStyle:
        """The name follows the number, and its second line stands as close as its own letters ask."""
        style = self._style("label_number", SANS_BOLD, 17, spaceAfter=5 * self.scale)
        style.leading = self.part.leading * 1.05
        return style

    @cached_property
    def part(self) -> ParagraphStyle:
        return self._style("label_part", SERIF, 11.5)

    @cached_property
    def line(self) -> ParagraphStyle:
        return self._style("label_line", SANS, 8)

    @cached_property
    def bold(self) -> ParagraphStyle:
        return self._style("label_bold", SANS_BOLD, 8)

    @cached_property
    def small(self) -> ParagraphStyle:
        return self._style("label_small", SANS, 6.8, textColor=SOFT)


def draw_labels(record: OpenRecord, labels: Sequence[OneLabel], options: PageOptions) -> bytes:
    """The labels, in order, as a finished PDF; what is left of the last sheet is to be written on."""
    s = Setting(record, {}, options, on=sheet_grid(options))
    title = s.words.say("papers.labels.title", job=s.payload.job)
    looks = [Looks(scale) for scale in _SCALES]
    words = [partial(_words, s, label) for label in labels]
    words += [partial(_to_write_on, s)] * (-len(labels) % (ACROSS * DOWN))
    bodies = [_fitting(one, looks) for one in words]
    rows: list[Flowable] = []
    for start in range(0, len(bodies), ACROSS):
        cells: list[list[Flowable]] = [[Fixed(body, HEIGHT)] for body in bodies[start : start + ACROSS]]
        rows.append(Columns(cells, [WIDTH] * ACROSS, 0))
    return finished(s, rows, title, LabelPage(s))


def sheet_grid(options: PageOptions) -> Grid:
    """The labels in the middle of the paper."""
    width, height = PAPERS[options.paper]
    across, down = (width - ACROSS * WIDTH) / 2, (height - DOWN * HEIGHT) / 2
    return Grid(width, height, top=down, bottom=down, left=across, right=across, gap=0)


def _fitting(words: Callable[[Looks, int], list[Flowable]], looks: Sequence[Looks]) -> list[Flowable]:
    """The largest type in which all words fit, else the smallest with as many letters as fit."""
    tries = [(look, _LENGTHS[0]) for look in looks] + [(looks[-1], most) for most in _LENGTHS[1:]]
    for look, most in tries:
        if Stack(words(look, most)).wrap(WIDTH - 2 * _PAD, HEIGHT)[1] <= HEIGHT - 2 * _PAD:
            break
    return [Space(_PAD, keep=True), Columns([[], words(look, most)], [_PAD, WIDTH - 2 * _PAD], 0)]


def _to_write_on(s: Setting, look: Looks, most: int) -> list[Flowable]:
    """The job, and lines for a part that has no label yet."""
    lines = [flow for _ in range(2) for flow in (Space(7 * mm), Rule(WIDTH - 2 * _PAD, 0.3, HAIR))]
    return [_job(s, look, most), Space(2 * mm), plain(s.say("head.part_number"), look.bold), *lines]


def _words(s: Setting, label: OneLabel, look: Looks, most: int) -> list[Flowable]:
    part = s.parts.get(label.part)
    name = _cut(part.part if part else "", most)
    number, size = markup(_cut(label.part, most)), f"{look.part.fontSize:.2f}"
    head = f'{number} <font name="{SERIF}" size="{size}">{markup(name)}</font>'
    return [
        _job(s, look, most),
        Heading(head, 1, look.number, bookmark=False),
        *_lines(s, label, look, most),
    ]


def _job(s: Setting, look: Looks, most: int) -> Flowable:
    names = (_cut(text, most) for text in (s.payload.job, s.object_name) if text)
    return plain(" \u00b7 ".join(names), look.small)


def _cut(text: str, most: int) -> str:
    return cut(" ".join(printable(text).split()), most)


def _lines(s: Setting, label: OneLabel, look: Looks, most: int) -> list[Flowable]:
    kind = s.words.say(f"papers.labels.{label.loose_as}") if label.loose_as else ""
    what = s.in_row(text for text in (kind, s.date(label.day)) if text)
    lines = [
        ("", _pieces(s, label)),
        (s.words.say("papers.labels.from"), _where_from(s, label)),
        (s.words.say("papers.labels.goes"), _where_to(s, label)),
    ]
    flows: list[Flowable] = [Text(markup(what), look.bold)] if what else []
    for head, text in lines:
        if text:
            flows.append(plain(f"{head} {_cut(text, most)}".strip(), look.line))
    return flows


def _pieces(s: Setting, label: OneLabel) -> str:
    part = s.parts.get(label.part)
    whole = part.pieces if part else 0
    if not label.pieces:
        return s.words.say("papers.labels.no_count")
    if label.pieces < whole:
        return s.words.say("papers.labels.some", n=label.pieces, whole=whole)
    return s.say("count.pieces", n=label.pieces)


def _where_from(s: Setting, label: OneLabel) -> str:
    part = s.parts.get(label.part)
    if part is None:
        return ""
    side = s.say(f"head.{part.seen}").lower()
    return s.beside(s.part_name(part.part_of), side) if part.part_of else side


def _where_to(s: Setting, label: OneLabel) -> str:
    part = s.parts.get(label.part)
    if label.loose_as == "off":
        return s.words.say("papers.labels.back")
    if not label.loose_as:
        return ""
    return part.old_piece if part and part.old_piece else s.words.say("papers.labels.not_said")
