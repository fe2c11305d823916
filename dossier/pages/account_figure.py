"""The account of parts as bars by outside, inside and hidden, with the counts in a table below.

Black and white: the more ink, the more of it is original. Every field of a bar has a pattern and stands,
with its word, beside the counts. Counts come from the record's account; what it gives as a range is drawn
as a field of its own. Nothing is added up to a share.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Literal

import msgspec
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from dossier.model.counted import Account
from dossier.model.words import NOW, SEEN, Now, Seen
from dossier.pages import blocks
from dossier.pages.fonts import SANS, SANS_BOLD
from dossier.pages.measured_tables import measured_tables
from dossier.pages.plain import plain
from dossier.pages.setting import Setting, markup, printable
from dossier.pages.style import INK
from dossier.pages.tagging import Columns, DataTable, Figure, Keyed, Rule, Space, Stack, Text, Together

Family = Literal[
    "kept", "treated", "new_surface", "part_renewed", "new", "earlier", "gone", "not_known", "unsure"
]
FAMILIES: tuple[Family, ...] = (
    "kept",
    "treated",
    "new_surface",
    "part_renewed",
    "new",
    "earlier",
    "gone",
    "not_known",
    "unsure",
)
FAMILY_OF: dict[Now, Family] = {
    "original, left as found": "kept",
    "original, no work recorded": "kept",
    "original, treated": "treated",
    "original, new surface": "new_surface",
    "original, part renewed": "part_renewed",
    "earlier replacement": "earlier",
    "later addition": "earlier",
    "from another object": "earlier",
    "new, like for like": "new",
    "new, with a difference": "new",
    "new, likeness not known": "new",
    "missing": "gone",
    "taken away": "gone",
    "not known": "not_known",
}
BAR = 5.4 * mm
STEP = 7.2 * mm
SWATCH = (7.5 * mm, 3.1 * mm)
_ONE_ROW = 5
_LINE = 10.8  # height of the words beside a swatch


class Bar(msgspec.Struct, frozen=True):
    """One side of the object: how many parts, and how many surely in each family."""

    seen: Seen
    total: int
    fields: tuple[tuple[Family, int], ...]


def bars(rows: Sequence[Account]) -> tuple[Bar, ...]:
    """One bar for each side that has parts; the parts not surely in one family make the last field."""
    return tuple(_bar(seen, mine) for seen in SEEN if (mine := [row for row in rows if row.seen == seen]))


def _bar(seen: Seen, rows: Sequence[Account]) -> Bar:
    """Never more in its fields than in all, whatever a record claims: a field is as wide as its count."""
    named = len({part for row in rows for part in row.parts}) or sum(row.parts_high for row in rows)
    counts: dict[Family, int] = dict.fromkeys(FAMILIES, 0)
    for row in rows:
        counts[FAMILY_OF[row.now]] += max(row.parts_low, 0)
    sure = sum(counts.values())
    total = max(named, sure)
    counts["unsure"] = total - sure
    return Bar(seen, total, tuple((family, counts[family]) for family in FAMILIES if counts[family]))


def picture_of(s: Setting, rows: Sequence[Account]) -> Flowable:
    """The bars alone."""
    return _figure(s, bars(rows))


def keyed(s: Setting, rows: Sequence[Account]) -> Flowable:
    """The bars and below them the patterns with their words: one figure."""
    every = bars(rows)
    return Keyed(_figure(s, every), Space(1.5 * mm), _legend(s, every))


def _legend(s: Setting, every: Sequence[Bar]) -> Flowable:
    """Each pattern in use with its word, in one row, or two where more than five would make small print."""
    found = {family for bar in every for family, _ in bar.fields}
    used = [family for family in FAMILIES if family in found]
    count = len(used) if len(used) <= _ONE_ROW else (len(used) + 1) // 2
    width = s.grid.text / max(count, _ONE_ROW - 1) - 2 * mm
    lines = [used[start : start + count] for start in range(0, len(used), max(count, 1))]
    return Stack(
        [Columns([[_keyed(s, one, width)] for one in line], [width] * len(line), 2 * mm) for line in lines]
    )


def _keyed(s: Setting, family: Family, across: float) -> Flowable:
    width = SWATCH[0] * 0.7
    room = across - width - 1.4 * mm
    return Columns(
        [[Swatch(family, width)], [Text(markup(s.say(f"account_word.{family}")), s.styles.key, "")]],
        [width, room],
        1.4 * mm,
    )


class Swatch(Rule):
    """A pattern beside its word; an artifact, as the word says it all."""

    def __init__(self, family: Family, width: float) -> None:
        super().__init__(width, space_before=0, space_after=0)
        self.family = family

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        self.width, self.height = min(self.length or width, width), _LINE
        return self.width, self.height

    def draw(self) -> None:
        with self.canv.artifact():
            field(self.canv, self.family, 0.5, (_LINE - SWATCH[1]) / 2, self.width - 1, SWATCH[1])


def account(s: Setting) -> list[Flowable]:
    """Heading, bars and the table of counts on one page, then the tables by measure."""
    return [_counted(s, "note", picture_of, _table), *measured_tables(s)]


def account_bars(s: Setting) -> list[Flowable]:
    """Heading, bars and the patterns with their words."""
    return [_counted(s, "note_bars", keyed)]


def account_tables(s: Setting) -> list[Flowable]:
    """The tables alone, where the bars stand on a page before; they run over the page."""
    rows = s.payload.account
    if not rows:
        return [_counted(s, "note_table")]
    title = blocks.heading(s, s.say("account.title"))
    counted = [title, _table(s, rows), Space(1 * mm), blocks.note(s, s.say("account.note_table"))]
    return [*counted, *measured_tables(s)]


def _counted(s: Setting, note: str, *drawn: Callable[[Setting, Sequence[Account]], Flowable]) -> Flowable:
    rows = s.payload.account
    title = blocks.heading(s, s.say("account.title"))
    if not rows:
        return Together([title, blocks.say(s, "account.none")])
    body = [flow for draw in drawn for flow in (draw(s, rows), Space(1.5 * mm))]
    return Together(
        [title, Space(1 * mm), *body[:-1], Space(2 * mm), blocks.note(s, s.say(f"account.{note}"))]
    )


def _figure(s: Setting, every: Sequence[Bar]) -> Flowable:
    most = max(bar.total for bar in every) or 1
    names = {bar.seen: s.say(f"head.{bar.seen}") for bar in every}
    totals = {bar.seen: s.say("count.parts", n=bar.total) for bar in every}

    def draw(canvas: Canvas, width: float, height: float) -> None:
        left = 24 * mm
        scale = (width - left - 18 * mm) / most
        for line, bar in enumerate(every):
            y = height - line * STEP - BAR
            _words(canvas, names[bar.seen], 0, y + 1.7 * mm, SANS_BOLD)
            _draw_bar(canvas, bar, left, y, scale)
            _words(canvas, totals[bar.seen], left + bar.total * scale + 2 * mm, y + 1.7 * mm, SANS)

    return Figure(draw, s.grid.text, STEP * len(every) - (STEP - BAR), alt(s, every))


def alt(s: Setting, every: Sequence[Bar]) -> str:
    """The bars in words."""
    sides = [
        s.say(
            "account.alt_side",
            side=s.say(f"head.{bar.seen}"),
            total=s.say("count.parts", n=bar.total),
            counts=s.listed(
                s.say("account.alt_count", state=_family_name(s, family), count=count)
                for family, count in bar.fields
            ),
        )
        for bar in every
    ]
    return printable(s.say("account.alt", sides=s.in_sentences(sides)))


def _family_name(s: Setting, family: Family) -> str:
    """As the legend names it; of pieces that differ, what that means."""
    return s.say("account.unsure") if family == "unsure" else s.say(f"account_word.{family}")


def _words(canvas: Canvas, text: str, x: float, y: float, font: str) -> None:
    canvas.setFillColor(INK)
    canvas.setFont(font, 8.4)
    canvas.drawString(x, y, text)


def _draw_bar(canvas: Canvas, bar: Bar, x: float, y: float, scale: float) -> None:
    for family, count in bar.fields:
        width = count * scale
        field(canvas, family, x, y, width, BAR)
        _count(canvas, str(count), x + width / 2, y + BAR / 2)
        x += width


def _count(canvas: Canvas, text: str, x: float, y: float) -> None:
    """A count on a white ground, legible on every pattern."""
    width = canvas.stringWidth(text, SANS_BOLD, 7.6) + 3.2
    canvas.setFillGray(1)
    canvas.rect(x - width / 2, y - 4.4, width, 8.8, stroke=0, fill=1)
    _set_count(canvas, text, x, y)


def _set_count(canvas: Canvas, text: str, x: float, y: float) -> None:
    canvas.setFillColor(INK)
    canvas.setFont(SANS_BOLD, 7.6)
    canvas.drawCentredString(x, y - 2.7, text)


def field(canvas: Canvas, family: Family, x: float, y: float, width: float, height: float) -> None:
    """One field with its pattern: ground, lines, outline."""
    canvas.saveState()
    path = canvas.beginPath()
    path.rect(x, y, width, height)
    canvas.clipPath(path, stroke=0, fill=0)
    _GROUND[family](canvas, x, y, width, height)
    canvas.restoreState()
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(0.5)
    canvas.rect(x, y, width, height, stroke=1, fill=0)


Ground = Callable[[Any, float, float, float, float], None]


def _solid(gray: float) -> Ground:
    def draw(canvas: Canvas, x: float, y: float, width: float, height: float) -> None:
        canvas.setFillGray(gray)
        canvas.rect(x, y, width, height, stroke=0, fill=1)

    return draw


def _hatched(ground: float, lines: float, step: float, weight: float, *, crossed: bool = False) -> Ground:
    def draw(canvas: Canvas, x: float, y: float, width: float, height: float) -> None:
        _solid(ground)(canvas, x, y, width, height)
        canvas.setStrokeGray(lines)
        canvas.setLineWidth(weight)
        at = x - height - (x % step)
        while at < x + width:
            canvas.line(at, y, at + height, y + height)
            if crossed:
                canvas.line(at, y + height, at + height, y)
            at += step

    return draw


def _barred(canvas: Canvas, x: float, y: float, width: float, height: float) -> None:
    _solid(1)(canvas, x, y, width, height)
    canvas.setStrokeGray(0.25)
    canvas.setLineWidth(0.5)
    at = y + 1.4
    while at < y + height:
        canvas.line(x, at, x + width, at)
        at += 2.2


def _upright(canvas: Canvas, x: float, y: float, width: float, height: float) -> None:
    _solid(0.62)(canvas, x, y, width, height)
    canvas.setStrokeGray(1)
    canvas.setLineWidth(1.1)
    at = x + 1.6
    while at < x + width:
        canvas.line(at, y, at, y + height)
        at += 3.2


def _dotted(canvas: Canvas, x: float, y: float, width: float, height: float) -> None:
    _solid(1)(canvas, x, y, width, height)
    canvas.setFillGray(0.2)
    columns, rows = int(width / 3.6) + 1, int(height / 3.6) + 1
    for column in range(columns):
        for row in range(rows):
            canvas.circle(x + 1.8 + column * 3.6, y + 1.8 + row * 3.6, 0.6, stroke=0, fill=1)


_GROUND: dict[Family, Ground] = {
    "kept": _solid(0.3),
    "treated": _hatched(0.55, 0.95, 3.4, 0.9),
    "new_surface": _upright,
    "part_renewed": _hatched(1.0, 0.15, 3.0, 0.8, crossed=True),
    "new": _solid(1.0),
    "earlier": _barred,
    "gone": _hatched(1.0, 0.45, 7.0, 0.5),
    "not_known": _dotted,
    "unsure": _solid(0.86),
}


def _table(s: Setting, rows: Sequence[Account]) -> Flowable:
    """One row a state, one column a side: parts, and pieces where they are more."""
    sides = [seen for seen in SEEN if any(row.seen == seen for row in rows)]
    states = [now for now in NOW if any(row.now == now for row in rows)]
    found = {(row.seen, row.now): row for row in rows}
    label = 0.40
    share = (1 - label) / len(sides)
    heads = [s.say("head.state"), *[s.say(f"head.{seen}") for seen in sides]]
    return DataTable(
        [plain(head, s.styles.head) for head in heads],
        [[_state(s, now), *[_cell(s, found.get((seen, now))) for seen in sides]] for now in states],
        [s.grid.text * label, *[s.grid.text * share] * len(sides)],
        s.styles.table_close,
        row_header=True,
    )


def _state(s: Setting, now: Now) -> Flowable:
    width = SWATCH[0]
    words = Text(s.words.token(now), s.styles.cell)
    return Columns(
        [[Swatch(FAMILY_OF[now], width)], [words]], [width, s.grid.text * 0.40 - width - 5 * mm], 2 * mm
    )


def _cell(s: Setting, row: Account | None) -> Flowable:
    if row is None:
        return Text("\u2013", s.styles.cell)
    parts = _range(s, row.parts_low, row.parts_high, "parts")
    pieces = _range(s, row.pieces_low, row.pieces_high, "pieces")
    same = (row.parts_low, row.parts_high) == (row.pieces_low, row.pieces_high)
    return plain(parts if same else s.in_row((parts, pieces)), s.styles.cell)


def _range(s: Setting, low: int, high: int, what: str) -> str:
    if low == high:
        return s.say(f"count.{what}", n=low)
    return s.say(f"count.{what}_range", low=low, high=high, n=high)
