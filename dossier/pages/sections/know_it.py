"""Page 3: how to know this object: what no other has, its marks, its measures, what it is (Object ID)."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.rows import Claim, Feature, Mark, Measurement
from dossier.pages import blocks
from dossier.pages.setting import Setting, markup
from dossier.pages.tagging import Columns, Space, Text, Together

_BOXES = (62 * mm, 50 * mm, 40 * mm, 30 * mm)  # depth of a feature's picture, largest first


def section(s: Setting) -> list[Flowable]:
    return blocks.fresh_page(s, s.say("know_it.title"), (_body(s, box) for box in _BOXES))


def _body(s: Setting, box: float) -> list[Flowable]:
    return [blocks.say(s, "know_it.lead"), *_features(s, box), *_marks(s), *_facts(s), *_measures(s)]


def _features(s: Setting, box: float) -> list[Flowable]:
    """Those with a photograph as pictures in rows, the others as text; numbered as the record has them."""
    rows = list(enumerate(s.payload.know_it_by, 1))
    if not rows:
        return [blocks.say(s, "know_it.none")]
    pictured = [row for row in rows if s.shots.named([row[1].photograph])]
    others = [row for row in rows if row not in pictured]
    return [*_pictured(s, pictured, box), *[flow for row in others for flow in _in_words(s, *row)]]


def _pictured(s: Setting, rows: Sequence[tuple[int, Feature]], box: float) -> list[Flowable]:
    count = 2 if len(rows) in (1, 2, 4) else 3
    width = s.grid.columns(count)
    flows: list[Flowable] = []
    for start in range(0, len(rows), count):
        line = rows[start : start + count]
        cells = [[_image(s, row, width, box), *_words(s, number, row)] for number, row in line]
        flows += [Together([Columns(cells, [width] * len(line), s.grid.gap)]), Space(3 * mm)]
    return flows


def _image(s: Setting, row: Feature, width: float, box: float) -> Flowable:
    return blocks.picture(s, s.shots.by_name[row.photograph], width, box, captioned=False)


def _where(s: Setting, row: Feature) -> list[str]:
    said = [s.say("know_it.where", where=row.where)] if row.where else []
    if shot := s.shots.by_name.get(row.photograph):
        said.append(s.shot_title(shot) if shot.shown else s.say("photograph.not_in_copy", number=shot.number))
    return said


def feature_words(s: Setting, number: int, row: Feature) -> str:
    """A feature in one line, for a page without its picture."""
    where = f" ({s.say('know_it.where', where=row.where)})" if row.where else ""
    return f"{number}  {row.what}{where}"


def _words(s: Setting, number: int, row: Feature) -> list[Flowable]:
    said = _where(s, row)
    what = Text(f"<b>{number}</b>\u2002{markup(row.what)}", s.styles.feature)
    return [what, *([blocks.note(s, "; ".join(said))] if said else [])]


def _in_words(s: Setting, number: int, row: Feature) -> list[Flowable]:
    cells: list[list[Flowable]] = [[], _words(s, number, row)]
    return [Columns(cells, [s.grid.label, s.grid.body], s.grid.gap), Space(2 * mm)]


def _marks(s: Setting) -> list[Flowable]:
    lines = [_mark(s, mark) for mark in (*s.payload.marks, *s.apart.private_marks)]
    if gone := s.missing("private_marks"):
        lines.append(s.say("know_it.marks_gone", n=gone))
    return blocks.group(s, s.say("label.marks"), lines or [s.say("know_it.no_marks")])


def _mark(s: Setting, mark: Mark) -> str:
    tail = [mark.kind, mark.where, s.known(mark.known_from)]
    if shots := s.shots.named([mark.photograph]):
        tail.append(s.shot_title(shots[0]))
    if mark.private:
        tail.append(s.say("know_it.private"))
    return s.say("know_it.mark", text=mark.text, tail=", ".join(part for part in tail if part))


def _facts(s: Setting) -> list[Flowable]:
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
        ("related_papers", "; ".join(thing.related_papers)),
        ("related_objects", "; ".join(thing.related_objects)),
    )
    return [Space(2 * mm), *blocks.facts(s, rows)]


def claim(s: Setting, row: Claim) -> str:
    """A claim with its basis; nothing where nothing was said."""
    if not row.what:
        return s.say("not_known") if row.known_from == "not known" else ""
    return s.say("claim", what=row.what, known=s.known(row.known_from))


def _measures(s: Setting) -> list[Flowable]:
    if not s.payload.measurements:
        return blocks.group(s, s.say("label.measurements"), [s.say("know_it.no_measurements")])
    heads = [s.say(f"head.{key}") for key in ("measure", "value", "how", "day")]
    rows = [_measure_row(s, row) for row in s.payload.measurements]
    return [Space(2 * mm), Together(_titled(s, heads, rows))] if len(rows) < 12 else _titled(s, heads, rows)


def _titled(s: Setting, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> list[Flowable]:
    return [blocks.heading(s, s.say("label.measurements")), blocks.table(s, heads, rows, (40, 26, 34, 22))]


def _measure_row(s: Setting, row: Measurement) -> list[str]:
    what = f"{row.what} ({s.part_name(row.part)})" if row.part else row.what
    spread = f" \u00b1 {row.plus_minus}" if row.plus_minus else ""
    return [what, f"{row.value}{spread} {row.unit}".strip(), row.how, s.date(row.date)]
