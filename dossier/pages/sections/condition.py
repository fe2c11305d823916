"""Page 4: the condition on a day, how the object was looked at, what could not be seen, what was inside.

The heading carries the date on which it was true; nothing here speaks of the condition today (EN 16095).
Pages of pictures follow, so the last page often has a foot that nothing fits: it shows the object as it came.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.pages import blocks
from dossier.pages.photographs import Shot
from dossier.pages.setting import Setting
from dossier.pages.tagging import Columns, Space, Stack

_IN_A_ROW = (2, 3)  # the larger pictures where they fit
_DEPTH = 0.75  # of the width of a column: an upright one is as high as those beside it


def section(s: Setting) -> list[Flowable]:
    payload = s.payload
    day = payload.dates.looked_at or payload.dates.received
    title = s.say("condition.title", date=s.date(day)) if day else s.say("condition.no_date")
    text = blocks.prose(s, payload.condition) or [blocks.say(s, "condition.none")]
    return blocks.section(s, title, [*text, *_looked(s), *_lists(s)])


def _looked(s: Setting) -> list[Flowable]:
    looked = s.payload.looked_at
    rows = (
        ("looked_by", s.persons(looked.by)),
        ("looked_how", s.listed(looked.how) or s.say("not_said")),
        ("light", looked.light),
        ("reason", looked.reason),
    )
    return blocks.facts(s, rows)


def _lists(s: Setting) -> list[Flowable]:
    looked = s.payload.looked_at
    return [
        *_listed(s, "could_not_see", looked.could_not_see),
        *_listed(s, "found_inside", looked.found_inside),
    ]


def _listed(s: Setting, key: str, items: tuple[str, ...]) -> list[Flowable]:
    return blocks.group(s, s.say(f"label.{key}"), list(items) or [s.say(f"condition.no_{key}")])


def as_it_came(s: Setting, before: Sequence[Flowable], after: Sequence[Flowable]) -> list[Flowable]:
    """A row of photographs before the work, where the page that this section ends has room for nothing else.

    All of them stand large elsewhere, those of the map mostly on the next page: they come last.
    """
    room = blocks.left_below(s, before, after)
    shots = sorted((shot for shot in s.shots.shown if shot.side == "before"), key=_on_map)
    for count in _IN_A_ROW:
        row = _row(s, shots[:count], s.grid.columns(count))
        if shots and Stack(row).wrap(s.grid.text, room)[1] <= room:
            return row
    return []


def _on_map(shot: Shot) -> bool:
    return bool(shot.places)


def _row(s: Setting, shots: Sequence[Shot], width: float) -> list[Flowable]:
    pictures = [blocks.small_picture(s, shot, width, width * _DEPTH) for shot in shots]
    return [Space(6 * mm, keep=True), Columns([[one] for one in pictures], [width] * len(shots), s.grid.gap)]
