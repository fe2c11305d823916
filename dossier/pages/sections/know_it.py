"""Page 3: how to know this object: what no other has, its marks, its measures, what it is (Object ID)."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.rows import Claim, Feature, Mark, Measurement
from dossier.pages import blocks
from dossier.pages.setting import Setting, markup
from dossier.pages.tagging import Columns, Space, Text, Together

_BOX = 40 * mm


def section(s: Setting) -> list[Flowable]:
    body = [blocks.say(s, "know_it.lead"), *_features(s), *_marks(s), *_facts(s), *_measures(s)]
    return blocks.section(s, s.say("know_it.title"), body, fresh=True)


def _features(s: Setting) -> list[Flowable]:
    rows = s.payload.know_it_by
    if not rows:
        return [blocks.say(s, "know_it.none")]
    pictured = {row.photograph for row in rows if s.shots.named([row.photograph])}
    return [flow for number, row in enumerate(rows, 1) for flow in _feature(s, number, row, pictured)]


def _feature(s: Setting, number: int, row: Feature, pictured: set[str]) -> list[Flowable]:
    words: list[Flowable] = [
        Text(f"<b>{number}</b>\u2002{markup(row.what)}", s.styles.value),
        *_where(s, row.where, row.photograph, row.photograph in pictured),
    ]
    if row.photograph not in pictured:
        return [Columns([[Space(1)], words], [s.grid.label, s.grid.body], s.grid.gap), Space(2 * mm)]
    shot = s.shots.by_name[row.photograph]
    image = blocks.picture(s, shot, s.grid.label, _BOX, captioned=False)
    return [Columns([[image], words], [s.grid.label, s.grid.body], s.grid.gap), Space(2.5 * mm)]


def _where(s: Setting, where: str, photograph: str, pictured: bool) -> list[Flowable]:
    said = [s.say("know_it.where", where=where)] if where else []
    if pictured:
        said.append(s.shot_title(s.shots.by_name[photograph]))
    elif photograph in s.shots.by_name:
        shot = s.shots.by_name[photograph]
        said.append(s.say("photograph.not_in_copy", number=shot.number))
    return [Text(markup("; ".join(said)), s.styles.in_note)] if said else []


def _marks(s: Setting) -> list[Flowable]:
    lines = [_mark(s, mark) for mark in (*s.payload.marks, *s.apart.private_marks)]
    if gone := s.missing("private_marks"):
        lines.append(s.say("know_it.marks_gone", n=gone))
    return blocks.group_of(s, s.say("label.marks"), lines or [s.say("know_it.no_marks")])


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
        return blocks.group_of(s, s.say("label.measurements"), [s.say("know_it.no_measurements")])
    heads = [s.say(f"head.{key}") for key in ("measure", "value", "how", "day")]
    rows = [_measure_row(s, row) for row in s.payload.measurements]
    return [Space(2 * mm), Together(_titled(s, heads, rows))] if len(rows) < 12 else _titled(s, heads, rows)


def _titled(s: Setting, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> list[Flowable]:
    return [blocks.heading(s, s.say("label.measurements")), blocks.table(s, heads, rows, (40, 26, 34, 22))]


def _measure_row(s: Setting, row: Measurement) -> list[str]:
    what = f"{row.what} ({s.part_name(row.part)})" if row.part else row.what
    spread = f" \u00b1 {row.plus_minus}" if row.plus_minus else ""
    return [what, f"{row.value}{spread} {row.unit}".strip(), row.how, s.date(row.date)]
