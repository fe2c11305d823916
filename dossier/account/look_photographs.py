"""What the photographs do not show, or show in another order than they say.

Not here: pixels. A photograph's file name is for the workshop's eyes; the record names pairs and parts.
"""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches
from itertools import product

from dossier.account.days import earlier, taken_earlier
from dossier.account.found import Found
from dossier.account.likeness import normal
from dossier.account.stage import FINISHED
from dossier.account.view import View
from dossier.model.rows import PhotoRow
from dossier.model.words import Done, Side

_SIDES: tuple[Side, Side] = ("before", "after")
_NEAR = 0.75  # of 1, as for misspelt words
_COMPARED = 100  # pairs; each before is held against each after
_SHOW_BEFORE: frozenset[Done] = frozenset(
    {"replaced", "part renewed", "new surface", "altered", "taken away"}
)


def look(view: View) -> Iterator[Found]:
    rows = view.job.photo_rows
    if not any(row.cover for row in rows):
        yield Found("no-cover")
    yield from (_found("photograph-without-stage", row) for row in rows if not row.stage)
    if not view.finished:
        yield from (_found("photograph-ahead", row) for row in rows if row.stage in FINISHED)
    yield from _parts(view)
    for pair, some in view.pairs.items():
        yield from _pair(view, pair, some)
    yield from _nearly_one(view)
    yield from (_found("photograph-against-time", row) for row in rows if _is_against_time(view, row))
    yield from (
        _found("position-in-photograph", row)
        for row in rows
        if (facts := view.facts.get(row.file)) and facts.has_position
    )


def _found(code: str, row: PhotoRow) -> Found:
    return Found(code, f"photos/{row.file}", {"file": row.file, "stage": row.stage or ""}, row.parts)


def _is_against_time(view: View, row: PhotoRow) -> bool:
    """Whether the day of capture puts it on the other side of the work than its stage does."""
    facts, dates = view.facts.get(row.file), view.job.dates
    day = facts.taken[:10] if facts else ""
    if row.side == "after":
        return any(earlier(day, date) for date in (dates.received, dates.opened, dates.begun))
    ends = any(earlier(date, day) for date in (dates.done, dates.returned))
    return row.side == "before" and (ends or _is_past_all_work(view, row, day))


def _is_past_all_work(view: View, row: PhotoRow, day: str) -> bool:
    """Whether all work on the parts that it shows was done by then, of such as takes something away."""
    parts = filter(None, map(view.part, row.parts))
    work = [one.date for part in parts for one in view.rows(part) if one.done in _SHOW_BEFORE]
    return bool(work) and all(earlier(date, day) for date in work)


def _parts(view: View) -> Iterator[Found]:
    for part in view.register.counted():
        done = {row.done for row in view.rows(part)}
        if part.came_as == "missing" and not done & {"added", "replaced"}:
            continue
        found = Found("", f"parts/{part.number}", {}, (part.number,))
        if not view.pictures(part):
            yield found._replace(code="part-not-photographed")
        if part.came_as != "missing" and done & _SHOW_BEFORE and not view.pictured(part, "before"):
            yield found._replace(code="no-picture-before")


def _pair(view: View, pair: str, rows: list[PhotoRow]) -> Iterator[Found]:
    before, after = (_of_side(rows, side) for side in _SIDES)
    found = Found("pair-order", f"photos/{rows[0].file}", {"pair": pair}, rows[0].parts, pair)
    if view.finished and not (before and after):
        yield found._replace(code="pair-one-side")
    if any(_taken_earlier(view, late, early) for late, early in product(after, before)):
        yield found


def _nearly_one(view: View) -> Iterator[Found]:
    """Pairs of one side each, before and after, whose names are nearly alike."""
    sides = {
        side: [pair for pair, rows in view.pairs.items() if {row.side for row in rows} & {*_SIDES} == {side}]
        for side in _SIDES
    }
    after = {normal(pair): pair for pair in sides["after"][:_COMPARED]}
    for pair in sides["before"][:_COMPARED]:
        if near := get_close_matches(normal(pair), after, n=1, cutoff=_NEAR):
            row = view.pairs[pair][0]
            values = {"other": after[near[0]]}
            yield Found("pairs-nearly-alike", f"photos/{row.file}", values, row.parts, pair)


def _of_side(rows: list[PhotoRow], side: Side) -> list[PhotoRow]:
    return [row for row in rows if row.side == side]


def _taken_earlier(view: View, one: PhotoRow, other: PhotoRow) -> bool:
    first, second = view.facts.get(one.file), view.facts.get(other.file)
    return bool(first and second and taken_earlier(first.taken, second.taken))
