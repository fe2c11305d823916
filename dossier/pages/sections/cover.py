"""Page 1: photograph, object, workshop, dates, for whom in kind, which copy, the code."""

from __future__ import annotations

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Paragraph

from dossier.pages import blocks
from dossier.pages.setting import Setting, beside_label, capital, markup
from dossier.pages.tagging import Columns, Heading, Rule, Space, Stack, Terms, Text

CODE_MM = 44.0
LEAST_DEPTH = 45 * mm
_LONG_TITLE = 70  # letters


def section(s: Setting) -> list[Flowable]:
    """The picture takes what the words leave of the page, so that the cover is one page."""
    above = [*_kicker(s), *_notices(s)]
    below = [Space(5 * mm, keep=True), *_title(s), Space(4 * mm), *_foot(s)]
    words = Stack([*above, *below]).wrap(s.grid.text, s.grid.depth)[1]
    depth = max(s.grid.depth - words - 11 * mm, LEAST_DEPTH)
    return [*above, *_picture(s, depth), *below]


def _kicker(s: Setting) -> list[Flowable]:
    return [Text(s.set("cover.kicker"), s.styles.hanging), Space(3 * mm)]


def _notices(s: Setting) -> list[Flowable]:
    notices = [Text(s.set(f"cover.{key}"), s.styles.notice) for key in s.options.notices]
    return [flow for notice in notices for flow in (notice, Space(2 * mm))]


def _picture(s: Setting, depth: float) -> list[Flowable]:
    shot = s.shots.cover
    if shot is None:
        return [blocks.note(s, s.say("cover.no_photograph"))]
    return [blocks.picture(s, shot, s.grid.text, depth)]


def _title(s: Setting) -> list[Flowable]:
    style = s.styles.title if len(s.object_name) <= _LONG_TITLE else s.styles.long_title
    flows: list[Flowable] = [
        Heading(markup(beside_label(s.object_name)), 1, balanced(s.object_name, style, s.grid.text))
    ]
    if text := beneath(s):
        flows += [Space(1 * mm), Text(markup(beside_label(text)), s.styles.subtitle)]
    return flows


def beneath(s: Setting) -> str:
    """What stands below the object's name: its kind, where it has a title, its maker, when it was made."""
    thing = s.payload.object
    below = [thing.type if thing.title else "", _maker(s), thing.made.what]
    return capital(s.in_row(part for part in below if part))


def balanced(text: str, style: ParagraphStyle, width: float) -> ParagraphStyle:
    """`style` with a right indent that makes the lines of a title about equally long."""
    lines = len(Paragraph(markup(text), style).breakLines([width]).lines)
    for share in (0.5, 0.6, 0.7, 0.8, 0.9):
        if len(Paragraph(markup(text), style).breakLines([width * share]).lines) == lines > 1:
            return ParagraphStyle(style.name, style, rightIndent=width * (1 - share))
    return style


def _maker(s: Setting) -> str:
    maker = s.payload.object.maker
    return s.say("cover.maker", what=maker.what, known=s.known(maker.known_from)) if maker.what else ""


def _foot(s: Setting) -> list[Flowable]:
    """Facts on the left, the code on the right."""
    if not s.options.code_text:
        return [*facts_of(s, s.grid.text), Space(2 * mm), Text(s.set("cover.independent"), s.styles.in_note)]
    code_width = CODE_MM * mm
    left = s.grid.text - code_width - s.grid.gap
    facts = [*facts_of(s, left), Space(2 * mm), Text(s.set("cover.independent"), s.styles.in_note)]
    code: list[Flowable] = [
        blocks.code(s, CODE_MM),
        Text(markup(s.of_code("pages.cover.code")), s.styles.caption),
    ]
    return [Rule(s.grid.text, 0.4), Space(2 * mm), Columns([facts, code], [left, code_width], s.grid.gap)]


def facts_of(s: Setting, width: float, *, left_out: bool = True) -> list[Flowable]:
    """Workshop, dates, for whom, which copy (and what is not in it), in `width` points."""
    label = 30 * mm
    widths, of = (label, width - label - 3 * mm), Terms()
    return [
        blocks.term(s, s.say(f"label.{key}"), value, widths, 3 * mm, of)
        for key, value in fact_rows(s)
        if value and (left_out or key != "not_in_copy")
    ]


def fact_rows(s: Setting) -> tuple[tuple[str, str], ...]:
    """Keys of [label] and values."""
    dates = s.payload.dates
    return (
        ("workshop", s.payload.workshop.name),
        ("received", s.date(dates.received) or s.say("not_said")),
        ("returned", s.date(dates.returned) or s.say("cover.not_returned")),
        ("for_whom", capital(s.say(f"for_whom.{s.payload.for_whom.replace(' ', '_')}"))),
        ("job", s.payload.job),
        ("copy", s.say(f"copy.{s.record.copy}")),
        ("not_in_copy", capital(s.listed(s.not_in_copy))),
    )
