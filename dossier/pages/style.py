"""The look of the pages: paper, margins, one grid, the styles of text and tables.

The grid: a narrow column of labels and a wide column of reading text (about 70 letters a line); pictures
and tables take both. Serif for reading, sans for labels and tables; black on white, thin rules, no colour.
No words and no drawing here. Lengths are points.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import msgspec
from reportlab.lib.colors import Color, black
from reportlab.lib.enums import TA_LEFT
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm

from dossier.pages import fonts
from dossier.pages.fonts import SANS, SANS_BOLD, SERIF
from dossier.pages.options import Paper
from dossier.pages.tagging import TableLook

INK = black
SOFT = Color(0.32, 0.32, 0.32)  # 8:1 on white, for labels and small print
HAIR = Color(0.62, 0.62, 0.62)  # thin rules

PAPERS: dict[str, tuple[float, float]] = {"A4": A4, "Letter": LETTER}


def text_style(name: str, font: str, size: float, leading: float, **more: object) -> ParagraphStyle:
    """A paragraph style: left aligned, no widows or orphans, long words broken rather than overflowing."""
    settings: dict[str, object] = {
        "alignment": TA_LEFT,
        "allowWidows": 0,
        "allowOrphans": 0,
        "splitLongWords": 1,
        "textColor": INK,
        **more,
    }
    return ParagraphStyle(name, fontName=font, fontSize=size, leading=leading, **settings)


LABEL: float = 37 * mm


class Grid(msgspec.Struct, frozen=True):
    """Measures of a page, in points."""

    width: float
    height: float
    top: float = 25 * mm
    bottom: float = 23 * mm
    left: float = 22 * mm
    right: float = 20 * mm
    gap: float = 6 * mm

    @property
    def text(self) -> float:
        return self.width - self.left - self.right

    @property
    def label(self) -> float:
        return LABEL

    @property
    def indent(self) -> float:
        return self.label + self.gap

    @property
    def body(self) -> float:
        return self.text - self.indent

    @property
    def depth(self) -> float:
        return self.height - self.top - self.bottom

    def columns(self, count: int) -> float:
        """Width of one of `count` equal columns across the page."""
        return (self.text - self.gap * (count - 1)) / count


def grid(paper: Paper, **measures: float) -> Grid:
    width, height = PAPERS[paper]
    return Grid(width, height, **measures)


@dataclass(frozen=True)
class Styles:
    """Every style of text, for one grid. `in_*` styles are for use inside a column, without the indent."""

    indent: float
    scale: float = 1.0
    title: ParagraphStyle = field(init=False)
    long_title: ParagraphStyle = field(init=False)
    subtitle: ParagraphStyle = field(init=False)
    heading: ParagraphStyle = field(init=False)
    group: ParagraphStyle = field(init=False)
    hanging: ParagraphStyle = field(init=False)
    lead: ParagraphStyle = field(init=False)
    body: ParagraphStyle = field(init=False)
    in_body: ParagraphStyle = field(init=False)
    dense: ParagraphStyle = field(init=False)
    dense_hanging: ParagraphStyle = field(init=False)
    dense_label: ParagraphStyle = field(init=False)
    dense_value: ParagraphStyle = field(init=False)
    label: ParagraphStyle = field(init=False)
    value: ParagraphStyle = field(init=False)
    feature: ParagraphStyle = field(init=False)
    in_note: ParagraphStyle = field(init=False)
    stage: ParagraphStyle = field(init=False)
    caption: ParagraphStyle = field(init=False)
    cell: ParagraphStyle = field(init=False)
    figures: ParagraphStyle = field(init=False)
    head: ParagraphStyle = field(init=False)
    tiny: ParagraphStyle = field(init=False)
    key: ParagraphStyle = field(init=False)
    card_name: ParagraphStyle = field(init=False)
    card_bold: ParagraphStyle = field(init=False)
    notice: ParagraphStyle = field(init=False)

    def __post_init__(self) -> None:
        fonts.register()
        for name, style in _styles(self.indent).items():
            scale = self.scale if name != "key" else 1.0  # it names patterns, which stay as they are
            style.fontSize *= scale
            style.leading *= scale
            object.__setattr__(self, name, style)

    @property
    def table(self) -> TableLook:
        return TableLook(
            head=self.head,
            body=self.cell,
            row_head=self.cell,
            pad_x=3.2,
            flush=True,
            pad_y=2.2,
            rule=0.25,
            head_rule=0.7,
            rule_color=HAIR,
            space_before=4,
            space_after=4,
        )

    @property
    def table_close(self) -> TableLook:
        return msgspec.structs.replace(self.table, pad_y=1.2)

    @property
    def table_tiny(self) -> TableLook:
        return TableLook(
            head=self.tiny,
            body=self.tiny,
            row_head=self.tiny,
            pad_x=2.4,
            flush=True,
            pad_y=0.6,
            rule=0,
            head_rule=0.5,
            rule_color=HAIR,
        )


def _styles(indent: float) -> dict[str, ParagraphStyle]:
    return {style.name: style for style in (*_display(indent), *_reading(indent), *_small())}


def _display(indent: float) -> tuple[ParagraphStyle, ...]:
    return (
        text_style("title", SERIF, 27, 31, spaceAfter=3),
        text_style("long_title", SERIF, 18, 22, spaceAfter=3),
        text_style("subtitle", SERIF, 13, 17.5, textColor=SOFT, spaceAfter=2),
        text_style("heading", SERIF, 20, 24, spaceBefore=0, spaceAfter=9, keepWithNext=1),
        text_style("group", SANS_BOLD, 10, 13.5, spaceBefore=11, spaceAfter=4, keepWithNext=1),
        text_style("hanging", SANS_BOLD, 9.3, 14),
    )


def _reading(indent: float) -> tuple[ParagraphStyle, ...]:
    return (
        text_style("lead", SERIF, 11.5, 16.2, leftIndent=indent, spaceAfter=7),
        text_style("body", SERIF, 10, 14, leftIndent=indent, spaceAfter=4),
        text_style("in_body", SERIF, 10, 14, spaceAfter=3),
        text_style("dense", SERIF, 9.3, 12, spaceAfter=2),
        text_style("dense_hanging", SANS_BOLD, 8.6, 12),
        text_style("dense_label", SANS, 8.6, 12, textColor=SOFT),
        text_style("dense_value", SERIF, 9.3, 12),
        text_style("label", SANS, 9.3, 14, textColor=SOFT),
        text_style("value", SERIF, 10, 14),
        text_style("feature", SERIF, 10, 13.4, spaceBefore=3, spaceAfter=1),
        text_style("in_note", SANS, 8.4, 11.6, textColor=SOFT, spaceAfter=3),
    )


def _small() -> tuple[ParagraphStyle, ...]:
    return (
        text_style("stage", SANS, 9.3, 12.5, textColor=SOFT, spaceBefore=4, spaceAfter=3),
        text_style("caption", SANS, 8, 10.6, spaceBefore=3, spaceAfter=2),
        text_style("cell", SANS, 8.2, 10.8),
        text_style("figures", SANS, 8.2, 10.8),
        text_style("head", SANS_BOLD, 7.8, 10.2),
        text_style("tiny", SANS, 6.6, 8.4),
        text_style("key", SANS, 7.6, 10.2),
        text_style("card_name", SERIF, 11, 13, spaceBefore=2),
        text_style("card_bold", SANS_BOLD, 7.2, 9),
        text_style("notice", SANS_BOLD, 9.2, 12.8),
    )
