"""Page 4: the condition on a day, how the object was looked at, what could not be seen, what was inside.

The heading carries the date on which it was true; nothing here speaks of the condition today (EN 16095).
"""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier.pages import blocks
from dossier.pages.setting import Setting


def section(s: Setting) -> list[Flowable]:
    payload = s.payload
    day = payload.dates.looked_at or payload.dates.received
    title = s.say("condition.title", date=s.date(day)) if day else s.say("condition.no_date")
    text = blocks.prose(s, payload.condition) or [blocks.say(s, "condition.none")]
    return blocks.section(s, title, [*text, *_looked(s), *_lists(s)])


def _looked(s: Setting) -> list[Flowable]:
    looked = s.payload.looked_at
    rows = (
        ("looked_by", s.person(looked.by)),
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
