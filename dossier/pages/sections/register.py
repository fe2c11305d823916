"""Page 8: every part: what it came as, what is there now, material and condition."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.rows import Part
from dossier.pages import blocks
from dossier.pages.sections.map import now_words
from dossier.pages.setting import Setting, in_one
from dossier.pages.tagging import Space

HEADS = ("part_number", "part", "seen", "came_as", "now", "material", "condition")
SHARES = (11, 32, 15, 27, 31, 28, 30)
_SHARES_OF_LONG = (11, 50, 14, 22, 25, 25, 27)


def section(s: Setting) -> list[Flowable]:
    if not s.payload.parts:
        return blocks.section(s, s.say("register.title"), [blocks.say(s, "register.none")])
    rows = [_row(s, part) for part in s.payload.parts]
    body = [
        *blocks.lead(s, s.say("register.lead")),
        blocks.table(
            s, [s.say(f"head.{key}") for key in HEADS], rows, blocks.shares(rows, SHARES, _SHARES_OF_LONG)
        ),
        *_pictures_gone(s),
    ]
    return blocks.section(s, s.say("register.title"), body)


def _row(s: Setting, part: Part) -> list[str]:
    return [
        part.number,
        _name(s, part),
        s.token(part.seen),
        s.beside(s.token(part.came_as), "" if part.known_from == part.came_as else s.token(part.known_from)),
        now_words(s, part.number) or s.say("not_known"),
        material(s, part),
        part.condition,
    ]


def _name(s: Setting, part: Part) -> str:
    tail = [s.pieces(part.pieces, part.pieces)] if part.pieces != 1 else []
    if part.part_of:
        tail.append(in_one(s.say("register.part_of", number=part.part_of)))
    tail += [in_one(part.measure)] if part.measure else []
    return s.beside(s.in_sentence(part.part), s.and_also(tail)) if tail else part.part


def material(s: Setting, part: Part) -> str:
    """The material, and the new one where there is one."""
    if part.new_material:
        old = part.material or s.say("not_known")
        return s.say("register.materials", old=old, new=part.new_material)
    return part.material


def _pictures_gone(s: Setting) -> list[Flowable]:
    """Per part: how many of its pictures are not in this copy."""
    lines = []
    for part in s.payload.parts:
        shots = s.shots.by_part.get(part.number, ())
        gone = sum(1 for shot in shots if not shot.in_copy)
        if gone:
            name = s.part_name(part.number)
            lines.append(s.say("register.pictures_gone", part=name, gone=gone, all=len(shots)))
    return [Space(2 * mm), *[blocks.note(s, line) for line in lines]]
