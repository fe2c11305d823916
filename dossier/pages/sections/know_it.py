"""Page 3: how to know this object: what no other has, its marks, its measures, what it is (Object ID)."""

from __future__ import annotations

import re
from collections.abc import Sequence

import msgspec
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.rows import Claim, Feature, Mark, Measurement
from dossier.pages import blocks, close_up
from dossier.pages.close_up import Window
from dossier.pages.photographs import Shot
from dossier.pages.setting import Setting, beside_label, markup
from dossier.pages.tagging import Columns, NewPage, Space, Stack, Text, Together

# A figure and nothing else, in any of the ways that they are written.
_SIGNS = "\u00b1+\\-\u2212"
_DIGITS = "\\d\u00bc-\u00be\u2150-\u215f"
_RAISED = "[\u207a\u207b\u2070-\u2079\u00b2\u00b3\u00b9]+"
_POWER = rf"(?<=\d)[eE][-+\u2212]?\d+|\s?[x\u00d7\u00b7]?\s?10(?:\^?[-\u2212]?\d+|{_RAISED})"
_FIGURE = re.compile(
    rf"(?=.*[{_DIGITS}])(?:[{_DIGITS}\s.,/{_SIGNS}\u2013\u2026\u2044]|'(?=\d{{3}}))*(?:{_POWER})?"
)
_SIGNED = re.compile(rf"[{_SIGNS}][/{_SIGNS}\s]*[{_DIGITS}.,]")
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=\S{1,4}$)")
_DEPTHS = (64, 60, 56, 52, 48)  # mm of the pictures, from open to close
_MANY = 21  # rows of a table that may stand on two pages
_LONG = 60  # characters of how something was measured, from which its column is the widest


class Layout(msgspec.Struct, frozen=True):
    """Columns of features, depth of their pictures, whether all is set close."""

    columns: int
    box: float
    dense: bool = False


class Pictured(msgspec.Struct, frozen=True):
    """One photograph, or a window of it, with every feature that it shows, each with its number."""

    shot: Shot
    seen: Window | None
    rows: tuple[tuple[int, Feature], ...]

    @property
    def is_panorama(self) -> bool:
        wide, high = self.shot.size
        return self.seen is None and wide >= blocks.PANORAMA * high


def section(s: Setting) -> list[Flowable]:
    """On one page where it can be; else with all but the description there, or with the pictures and marks,
    these as large as they can be then; else it runs over as it is.

    What stands below the pictures is in stacks, so that it is measured once for all layouts.
    """
    pictures = _pictures(s)
    layouts = _layouts(len(pictures), all(one.is_panorama for one in pictures))
    below = (_marks, _measures, _facts)
    stacks = {dense: [Stack(make(s, dense=dense)) for make in below] for dense in (False, True)}
    for on_page in (3, 2, 1):
        after = [flow for make in below[on_page:] for flow in make(s, dense=False)]
        for layout in layouts if on_page != 2 else layouts[len(_DEPTHS) - 1 :]:
            story = _page(s, layout, stacks[layout.dense][:on_page])
            if blocks.fits(s, story):
                return [*story, *after]
    return _page(s, layouts[len(_DEPTHS) - 1], [flow for make in below for flow in make(s, dense=False)])


def _page(s: Setting, layout: Layout, rest: list[Flowable]) -> list[Flowable]:
    body = [*blocks.lead(s, s.say("know_it.lead")), *_features(s, layout), *rest]
    return [NewPage(), *blocks.section(s, s.say("know_it.title"), body)]


def _layouts(count: int, panoramas: bool) -> tuple[Layout, ...]:
    """From open to close, for a number of pictures."""
    wide = 1 if panoramas and count < 3 else 2 if count in (1, 2, 4) else 3
    open_ = [Layout(wide, depth * mm) for depth in _DEPTHS]
    return (*open_, Layout(3, 40 * mm), Layout(3, 40 * mm, dense=True))


def _pictures(s: Setting) -> list[Pictured]:
    """The photographs of features, or windows on their places, each once, in the order of the features."""
    found: dict[tuple[str, Window | None], list[tuple[int, Feature]]] = {}
    for number, row in enumerate(s.payload.know_it_by, 1):
        for shot in s.shots.named([row.photograph]):
            seen = close_up.on_places(shot, row.places)
            found.setdefault((shot.name, seen), []).append((number, row))
    return [Pictured(s.shots.by_name[name], seen, tuple(rows)) for (name, seen), rows in found.items()]


def _features(s: Setting, layout: Layout) -> list[Flowable]:
    """Those with a photograph as pictures in rows, the others as text; numbered as the record has them."""
    rows = list(enumerate(s.payload.know_it_by, 1))
    if not rows:
        return [blocks.say(s, "know_it.none")]
    others = [row for row in rows if not s.shots.named([row[1].photograph])]
    return [*_pictured(s, _pictures(s), layout), *[flow for row in others for flow in _in_words(s, *row)]]


def _pictured(s: Setting, pictures: Sequence[Pictured], layout: Layout) -> list[Flowable]:
    count = layout.columns
    width = s.grid.columns(count)
    flows: list[Flowable] = []
    for start in range(0, len(pictures), count):
        line = pictures[start : start + count]
        cells = [_cell(s, one, layout) for one in line]
        flows += [Together([Columns(cells, [width] * len(line), s.grid.gap)]), Space(3 * mm)]
    return flows


def _cell(s: Setting, one: Pictured, layout: Layout) -> list[Flowable]:
    """The picture and, under it, the words of all that it shows."""
    width = s.grid.columns(layout.columns)
    if one.seen:
        image = close_up.picture(s, one.shot, one.seen, width, layout.box)
    else:
        image = blocks.picture(s, one.shot, width, layout.box, captioned=False)
    return [image, *[flow for row in one.rows for flow in _words(s, *row, dense=layout.dense)]]


def _where(s: Setting, row: Feature) -> list[str]:
    said = [s.say("know_it.where", where=row.where)] if row.where else []
    if shot := s.shots.by_name.get(row.photograph):
        said.append(s.shot_title(shot) if shot.shown else s.say("photograph.not_in_copy", number=shot.number))
    return said


def feature_words(s: Setting, number: int, row: Feature) -> str:
    """A feature in one line, for a page without its picture."""
    where = s.say("know_it.where", where=row.where) if row.where else ""
    return f"{number}  {s.beside(row.what, where)}"


def _words(s: Setting, number: int, row: Feature, *, dense: bool = False) -> list[Flowable]:
    said = _where(s, row)
    style = s.styles.dense if dense else s.styles.feature
    what = Text(f"<b>{number}</b>\u2002{markup(beside_label(row.what))}", style)
    return [what, *([blocks.note(s, s.and_also(said))] if said else [])]


def _in_words(s: Setting, number: int, row: Feature) -> list[Flowable]:
    cells: list[list[Flowable]] = [[], _words(s, number, row)]
    return [Columns(cells, [s.grid.label, s.grid.body], s.grid.gap), Space(2 * mm)]


def _marks(s: Setting, *, dense: bool) -> list[Flowable]:
    lines = [_mark(s, mark) for mark in (*s.payload.marks, *s.apart.private_marks)]
    if gone := s.missing("private_marks"):
        lines.append(s.say("know_it.marks_gone", n=gone))
    return blocks.group(s, s.say("label.marks"), lines or [s.say("know_it.no_marks")], dense=dense)


def _mark(s: Setting, mark: Mark) -> str:
    tail = [mark.kind, mark.where, s.known(mark.known_from)]
    if shots := s.shots.named([mark.photograph]):
        tail.append(s.shot_title(shots[0]))
    if mark.private:
        tail.append(s.say("know_it.private"))
    return s.say("know_it.mark", text=mark.text, tail=s.and_also(part for part in tail if part))


def _facts(s: Setting, *, dense: bool) -> list[Flowable]:
    thing = s.payload.object
    rows = (
        ("type", thing.type),
        ("title", thing.title),
        ("object_maker", claim(s, thing.maker)),
        ("made", claim(s, thing.made)),
        ("place", claim(s, thing.place)),
        ("materials", s.listed(thing.materials)),
        ("subject", thing.subject),
        ("description", thing.description),
        ("inventory_number", thing.inventory_number),
        ("related_papers", s.and_also(thing.related_papers)),
        ("related_objects", s.and_also(thing.related_objects)),
    )
    return [Space(2 * mm), *blocks.facts(s, rows, dense=dense)]


def claim(s: Setting, row: Claim) -> str:
    """A claim with its basis; nothing where nothing was said."""
    if not row.what:
        return s.say("not_known") if row.known_from == "not known" else ""
    return s.say("claim", what=row.what, known=s.known(row.known_from))


def _measures(s: Setting, *, dense: bool) -> list[Flowable]:
    """A table; set close, with its rows closer."""
    rows = s.payload.measurements
    title = s.say("label.measurements")
    if not rows:
        return blocks.group(s, title, [s.say("know_it.no_measurements")], dense=dense)
    heads = [s.say(f"head.{key}") for key in ("measure", "value", "how", "day")]
    cells = [[_what(s, row), _value(s, row), row.how, s.day(row.date)] for row in rows]
    widths = (30, 24, 50, 18) if any(len(row.how) > _LONG for row in rows) else (40, 26, 34, 22)
    flows = [blocks.heading(s, title), blocks.table(s, heads, cells, widths, close=dense)]
    return [Space(2 * mm), Together(flows)] if len(rows) < _MANY else flows


def _what(s: Setting, row: Measurement) -> str:
    return s.beside(row.what, s.part_name(row.part) if row.part else "")


def _value(s: Setting, row: Measurement) -> str:
    """As written, with the decimal mark of the language; the spread may have its own unit.

    A figure and its unit stay on one line.
    """
    value, spread = (_figures(s, text) for text in (row.value, row.plus_minus))
    unit = f"\u00a0{row.unit}" if row.unit else ""
    if not spread:
        return f"{value}{unit}".strip()
    about = spread if _SIGNED.match(spread) else f"\u00b1\u00a0{spread}"
    return f"{value} {about}{unit}" if _FIGURE.fullmatch(spread) else f"{value}{unit} {about}"


def _figures(s: Setting, text: str) -> str:
    return _BEFORE_UNIT.sub("\u00a0", s.typed(text.strip()))
