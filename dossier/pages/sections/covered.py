"""Page 7: what is now covered: work that nobody can see any more, with the photographs taken before."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.rows import Work
from dossier.model.words import NO_WORK
from dossier.pages import blocks, some_pieces
from dossier.pages.setting import Setting
from dossier.pages.tagging import Space, Together

_DEPTH = 62 * mm
_FEW = 8  # rows of a table that stays on one page with the note below it


def section(s: Setting) -> list[Flowable]:
    rows = _covered(s)
    if not rows:
        return []
    heads = [s.say(f"head.{key}") for key in ("line", "day", "part", "done", "pictures")]
    listed = [
        blocks.table(s, heads, [_row(s, work) for work in rows], (10, 22, 52, 58, 26)),
        *[blocks.note(s, line) for line in _not_said(s)],
    ]
    body = [
        *blocks.lead(s, s.say("covered.lead")),
        *(listed if len(rows) > _FEW else [Together(listed)]),
        Space(2 * mm),
        *blocks.picture_rows(s, s.shots.covered, 2, _DEPTH),
    ]
    return blocks.section(s, s.say("covered.title"), body)


def empty(s: Setting) -> list[str]:
    return [] if _covered(s) else [s.say("covered.none"), *_not_said(s)]


def _covered(s: Setting) -> list[Work]:
    return [work for work in s.payload.work if work.covered == "yes"]


def _not_said(s: Setting) -> list[str]:
    left_open = NO_WORK | {"taken away"}  # nothing is there that could be covered
    count = sum(1 for work in s.payload.work if work.covered == "not said" and work.done not in left_open)
    return [s.say("covered.not_said", n=count)] if count else []


def _row(s: Setting, work: Work) -> list[str]:
    done = s.labelled(s.token(work.done), work.how) if work.how else s.token(work.done)
    pictures = blocks.numbers_of(s, s.shots.of_covered(work)) or s.say("covered.no_picture")
    return [str(work.number), s.day(work.date), some_pieces.of_line(s, work, 12), done, pictures]
