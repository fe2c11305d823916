"""The few arrangements that pages are built of: section, labelled group, facts, list, table, pictures.

Each takes the `Setting` and gives flowables of the tagging layer. What a section says is not decided here.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterable, Sequence
from itertools import dropwhile
from typing import Any

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.pages import hyphens
from dossier.pages.photographs import Shot
from dossier.pages.plain import plain
from dossier.pages.setting import Setting, beside_label, heard, markup, paragraphs, printable
from dossier.pages.tagging import (
    Columns,
    DataTable,
    Heading,
    NewPage,
    Numbered,
    Picture,
    Row,
    Rule,
    Space,
    Stack,
    Term,
    Terms,
    Text,
    Together,
)
from dossier.pages.tagging.boxes import fill
from dossier.pages.tagging.pictures import Giving

LEAST_DPI = 150  # of a picture as printed; one with fewer pixels is shown smaller
HARDLY = 0.35  # of a page: one that holds no more is nearly empty
_ROW_GIVES = 0.3  # of the depth of a row of pictures, rather than leave the foot of a page empty
PANORAMA = 2.4  # times as wide as high: too low when it has half of a page
_TWO_LINES = 160  # letters
LONG = 700  # letters; a longer value stands under its label, where it can run over the page


def section(s: Setting, title: str, body: Sequence[Flowable]) -> list[Flowable]:
    """A section under its heading, which never stands without text."""
    opening: list[Any] = [Rule(s.grid.text, 0.8), Space(3 * mm), Heading(markup(title), 1, s.styles.heading)]
    for flow in opening:
        flow.keepWithNext = 1
    return [Space(9 * mm), *opening, *body]


def fits(s: Setting, story: Sequence[Flowable]) -> bool:
    """Whether a section fits one page; the page break and the space before its heading fall away there."""
    body = list(dropwhile(lambda flow: isinstance(flow, NewPage | Space), story))
    return bool(Stack(body).wrap(s.grid.text, s.grid.depth)[1] <= s.grid.depth)


def pages_taken(
    s: Setting, story: Sequence[Flowable], begun: tuple[int, float] = (0, 0.0)
) -> tuple[int, float]:
    """How many pages a story takes, and how much of the last one in points; from `begun` on, the same."""
    count, used = begun
    rest = list(story)
    if count and rest:
        filled = fill([Space(used, keep=True), *rest], s.grid.text, s.grid.depth, force=True)
        rest, used = filled.rest, filled.height
    while rest:
        filled = fill(rest, s.grid.text, s.grid.depth, force=True)
        rest, count, used = filled.rest, count + 1, filled.height
    return count, used


def left_below(
    s: Setting, before: Sequence[Flowable], after: Sequence[Flowable], begun: tuple[int, float] = (0, 0.0)
) -> float:
    """How much of a page is left below a story, in points, where what comes `after` begins a new one."""
    used = pages_taken(s, before, begun)[1]
    filled = fill([Space(used, keep=True), *after], s.grid.text, s.grid.depth, force=True)
    follows = any(not isinstance(placed.flowable, Space) for placed in filled.placed)
    return 0.0 if follows else s.grid.depth - used


def page_of(s: Setting, story: Sequence[Flowable], item: Flowable) -> list[Flowable]:
    """What stands on the page that holds `item`, which is not parted."""
    rest = list(story)
    while rest:
        filled = fill(rest, s.grid.text, s.grid.depth, force=True)
        page, rest = [placed.flowable for placed in filled.placed], filled.rest
        if item in page:
            return page
    return []


def fresh_page(s: Setting, title: str, tries: Sequence[Callable[[], Sequence[Flowable]]]) -> list[Flowable]:
    """A section on a page of its own: the first of `tries` that fits one page, else the last."""
    story: list[Flowable] = []
    for body in tries:
        story = [NewPage(), *section(s, title, body())]
        if fits(s, story):
            break
    return story


_ADDRESS = re.compile(r"https?://[A-Za-z0-9._~:/?@!$'()*+,;=%-]{1,300}")


def group(
    s: Setting, title: str, sentences: Sequence[str], *, dense: bool = False, last: Sequence[Flowable] = ()
) -> list[Flowable]:
    """A group of sentences (plain text), one paragraph each, then `last`, which never stands alone; the title
    hangs in the label column.
    """
    style = s.styles.dense if dense else s.styles.in_body
    parts = [part for sentence in sentences for part in heard(sentence)]
    said: list[Any] = [*(plain(beside_label(s.in_sentence(part)), style) for part in parts), *last]
    if last or (parts and len(parts[-1]) <= _TWO_LINES):
        for before_last in said[0 if last else 1 : -1][-1:]:
            before_last.keepWithNext = 1  # a short last one of three or more never stands alone on a page
    return hung(s, title, said, dense=dense)


def hung(s: Setting, title: str, body: Sequence[Flowable], *, dense: bool = False) -> list[Flowable]:
    """Flowables of the reading column, with a title in the label column."""
    style = s.styles.dense_hanging if dense else s.styles.hanging
    title = hyphens.fitted(title, style, s.grid.label, s.words.language)
    cells: list[list[Flowable]] = [[Heading(markup(title), 2, style, bookmark=False)], list(body)]
    return [
        Space((1.3 if dense else 2.6) * mm),
        Columns(cells, [s.grid.label, s.grid.body], s.grid.gap),
    ]


def unparted(flows: list[Flowable]) -> list[Flowable]:
    """A group that stays on one page; the space before it falls away at the top of one."""
    return [*flows[:-1], Together(flows[-1:])]


def heading(s: Setting, title: str) -> Heading:
    """A heading across the page, inside a section."""
    return Heading(markup(title), 2, s.styles.group, bookmark=False)


def say(s: Setting, key: str, **values: object) -> Text:
    """A paragraph of this room's words."""
    return plain(s.say(key, **values), s.styles.body)


def prose(s: Setting, text: str) -> list[Flowable]:
    """The record's own text, in paragraphs."""
    return [Text(block, s.styles.body) for block in paragraphs(text)]


def note(s: Setting, text: str) -> Text:
    """Small print under a table or picture."""
    return plain(text, s.styles.in_note)


def lead(s: Setting, text: str) -> list[Flowable]:
    """The line that opens a section, across the page; it stays with what it opens."""
    flows: list[Any] = [plain(text, s.styles.in_body), Space(1.5 * mm)]
    for flow in flows:
        flow.keepWithNext = 1
    return flows


def facts(
    s: Setting, rows: Iterable[tuple[str, str]], *, dense: bool = False, across: float = 0.0
) -> list[Flowable]:
    """Labels (keys of [label]) and values, across the page or `across` points; what has none is left out.

    A long value stands in paragraphs of its own, and what follows is another list.
    """
    widths = (s.grid.label, (across or s.grid.text) - s.grid.indent)
    flows: list[Flowable] = []
    of = Terms()
    for key, value in rows:
        label = s.say(f"label.{key}")
        if len(value) > LONG:
            flows += [plain(label, s.styles.label), *prose(s, value)]
            of = Terms()
        elif value:
            flows.append(term(s, label, value, widths, s.grid.gap, of, dense=dense))
    return flows


def term(
    s: Setting,
    label: str,
    value: str,
    widths: Sequence[float],
    gap: float,
    of: Terms,
    *,
    dense: bool = False,
) -> Flowable:
    """One label and its value (plain text), of a list of such."""
    styles = (s.styles.dense_label, s.styles.dense_value) if dense else (s.styles.label, s.styles.value)
    said = [[plain(label, styles[0], "")], [plain(beside_label(value), styles[1], "")]]
    return Term(said, widths, gap, of)


def steps(s: Setting, items: Iterable[str], address: str = "") -> Flowable:
    """Numbered steps; where one names the web address, it leads there."""
    return indented(s, [Numbered([linked(item, address) for item in items], s.styles.in_body)])


def linked(text: str, address: str) -> str:
    """Markup of a plain text in which a web address, in plain letters, is a link."""
    words, shown = markup(text), markup(address)
    if not _ADDRESS.fullmatch(address):
        return words
    return words.replace(shown, f'<a href="{html.escape(address, quote=False)}">{shown}</a>')


def indented(s: Setting, body: Sequence[Flowable]) -> Flowable:
    """Flowables that know no indent of their own, in the reading column."""
    return Row([Stack(body)], [(s.grid.indent, s.grid.body)])


def cell(s: Setting, text: str) -> Text:
    return plain(text, s.styles.cell)


def table(
    s: Setting,
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    shares: Sequence[float],
    *,
    tiny: bool = False,
    close: bool = False,
    across: float = 0.0,
) -> Flowable:
    """A table across the page (or `across` points): heads, rows of plain text, shares of the width."""
    looks = (s.styles.cell, s.styles.table_close if close else s.styles.table)
    style, look = (s.styles.tiny, s.styles.table_tiny) if tiny else looks
    one = (across or s.grid.text) / sum(shares)
    rooms = [one * share - 2 * look.pad_x for share in shares]

    def set_in(row: Sequence[str], style: ParagraphStyle) -> list[list[Text]]:
        fitted = (
            hyphens.fitted(text, style, room, s.words.language) for text, room in zip(row, rooms, strict=True)
        )
        # A line of a cell is a paragraph: read aloud, it is parted from the next.
        lines = [[part for line in beside_label(text).split("\n") for part in heard(line)] for text in fitted]
        return [[plain(line, style) for line in cell] for cell in lines]

    return DataTable(
        set_in(heads, s.styles.head),
        [set_in(row, style) for row in rows],
        [one * share for share in shares],
        look,
        row_header=True,
    )


def shares(rows: Sequence[Sequence[str]], *choices: Sequence[float]) -> Sequence[float]:
    """Of several widths for columns those in which the rows take the fewest lines, by their letters."""

    def lines(widths: Sequence[float]) -> float:
        return sum(max(len(cell) / width for cell, width in zip(row, widths, strict=True)) for row in rows)

    return min(choices, key=lines)


def fitted(shot: Shot, width: float, height: float) -> tuple[float, float]:
    """The largest size of a picture inside a box, in its own proportions and with pixels enough for print."""
    return fitted_to(shot.size, width, height)


def fitted_to(size: tuple[float, float], width: float, height: float) -> tuple[float, float]:
    """The same for so many pixels."""
    pixels_wide, pixels_high = size
    scale = min(width / pixels_wide, height / pixels_high, 72 / LEAST_DPI)
    return (pixels_wide * scale, pixels_high * scale)


def caption(s: Setting, shot: Shot) -> str:
    """Markup: number, words, when."""
    number = f'<font name="{s.styles.head.fontName}">{markup(s.shot_title(shot))}</font>'
    tail = s.in_sentences(text for text in (s.shot_words(shot), s.shot_when(shot)) if text)
    return f"{number}\u2002{markup(tail)}"


def picture(s: Setting, shot: Shot, width: float, height: float, *, captioned: bool = True) -> Picture:
    """One photograph inside a box, with its caption."""
    wide, high = fitted(shot, width, height)
    text = caption(s, shot) if captioned else None
    alt = s.shot_shows(shot) if captioned else s.shot_alt(shot)
    return Picture(shot.jpeg, wide, high, printable(alt), text, s.styles.caption)


def small_picture(s: Setting, shot: Shot, width: float, height: float) -> Picture:
    """A photograph that stands large elsewhere, with its side and number below it."""
    wide, high = fitted(shot, width, height)
    words = beside_side(s, shot, s.shot_title(shot))
    return Picture(shot.jpeg, wide, high, printable(s.shot_alt(shot)), markup(words), s.styles.caption)


def beside_side(s: Setting, shot: Shot, title: str) -> str:
    """Before, during or after the work, where that is known, and a title."""
    return s.labelled(s.say(f"side.{shot.side}"), title) if shot.side else title


def picture_rows(s: Setting, shots: Sequence[Shot], count: int, height: float) -> list[Flowable]:
    """Photographs in rows of `count`, each row kept whole and lower where that fills the foot of a page."""
    width = s.grid.columns(count)
    rows = [shots[i : i + count] for i in range(0, len(shots), count)]
    flows: list[Flowable] = []
    for row in rows:
        pictures = [picture(s, shot, width, height) for shot in row]
        both = Columns([[one] for one in pictures], [width] * len(row), s.grid.gap)
        flows += [Giving([both], _ROW_GIVES, *pictures), Space(4 * mm)]
    return flows


def code(s: Setting, size_mm: float) -> Flowable:
    """The printed code, quiet zone included."""
    from dossier.pages.code import qr_figure  # noqa: PLC0415 - start-up: only where a code is drawn

    figure: Flowable = qr_figure(s.options.code_text, size_mm, s.words.language)
    return figure


def numbers_of(s: Setting, shots: Iterable[Shot]) -> str:
    """Photographs by number: "4, 7 and 12"."""
    return s.listed(str(shot.number) for shot in shots)
