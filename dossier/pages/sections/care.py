"""Page 12: advised and left undone, care, guarantee, when to look again."""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier.model.rows import Advice
from dossier.pages import blocks
from dossier.pages.sections.disclosure import none
from dossier.pages.setting import Setting


def section(s: Setting) -> list[Flowable]:
    handover = s.payload.handover
    undone = [advice_words(s, row) for row in s.payload.advised]
    rows = (
        ("undone", undone or [none(s, "undone")]),
        ("care", list(handover.care) or [s.say("care.none")]),
        ("guarantee", [handover.guarantee or s.say("care.no_guarantee")]),
        ("next_look", [s.dated(handover.next_look) or s.say("care.no_next_look")]),
        ("gaps", [gap.text for gap in s.payload.gaps] or [s.say("care.no_gaps")]),
    )
    body = [flow for key, lines in rows for flow in blocks.group(s, s.say(f"label.{key}"), lines)]
    return blocks.section(s, s.say("care.title"), body)


def advice_words(s: Setting, row: Advice) -> str:
    what = row.what.strip().rstrip(".。")
    what = s.beside(what, s.part_names(row.parts))
    return s.say("care.undone", what=what, why=row.why_not or s.say("not_said"))
