"""Page 9: each new or removed part: old and new, why, how told, how undone, where the old piece is."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.rows import Part
from dossier.pages import blocks
from dossier.pages.sections.map import now_words
from dossier.pages.setting import Setting
from dossier.pages.tagging import Space

_NEW = ("new, like for like", "new, with a difference", "new, likeness not known", "original, part renewed")
_GONE = ("taken away",)
_WORK = ("replaced", "added", "part renewed", "taken away")


def section(s: Setting) -> list[Flowable]:
    parts = [part for part in s.payload.parts if _concerned(s, part)]
    body: list[Flowable] = [flow for part in parts for flow in _part(s, part)]
    body = body or [blocks.say(s, "new_removed.none")]
    return blocks.section(s, s.say("new_removed.title"), [*body, *_kept(s)])


def _concerned(s: Setting, part: Part) -> bool:
    now = {row.now for row in s.now.get(part.number, ())}
    done = {work.done for work in s.work_on.get(part.number, ())}
    return bool(now & {*_NEW, *_GONE}) or bool(done & set(_WORK)) or bool(part.new_material)


def _part(s: Setting, part: Part) -> list[Flowable]:
    title = s.part_name(part.number)
    rows = [(s.say(f"label.{key}"), value) for key, value in _rows(s, part)]
    flows = [flow for label, value in rows for flow in blocks.fact(s, label, value)]
    return [blocks.heading(s, title), *flows, Space(1 * mm)]


def _rows(s: Setting, part: Part) -> list[tuple[str, str]]:
    """What is not said is said not to be."""
    unsaid = s.say("not_said")
    is_new = any(row.now in _NEW for row in s.now.get(part.number, ()))
    rows = [("now", now_words(s, part.number)), ("old", part.material or unsaid)]
    if is_new or part.new_material:
        rows += [
            ("new", part.new_material or unsaid),
            ("made_by", s.person(part.made_by) or unsaid),
            ("difference", part.difference or unsaid),
            ("told_by", part.told_by or unsaid),
            ("undone_by", part.undone_by or unsaid),
        ]
    rows += [("why", part.why or unsaid), ("old_piece", part.old_piece or unsaid), ("pictures", _pictures(s, part))]
    return [(key, value) for key, value in rows if value]


def _pictures(s: Setting, part: Part) -> str:
    shots = s.shots.by_part.get(part.number, ())
    shown = blocks.numbers_of(s, (shot for shot in shots if shot.shown))
    gone = sum(1 for shot in shots if not shot.in_copy)
    if gone:
        return s.say("new_removed.some_gone", numbers=shown or s.say("none_shown"), gone=gone, all=len(shots))
    return shown or s.say("not_photographed")


def _kept(s: Setting) -> list[Flowable]:
    """Worn parts kept on purpose, each with the reason."""
    kept = [f"{s.part_name(part.number)}: {part.kept_why}" for part in s.payload.parts if part.kept_why]
    return [blocks.heading(s, s.say("new_removed.kept")), *blocks.bullets(s, kept)] if kept else []
