"""Page 6: before and after, side by side at one scale, and every photograph no other section shows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.record import Laid
from dossier.model.words import STAGES, Stage
from dossier.pages import blocks
from dossier.pages.photographs import Pair, Shot
from dossier.pages.setting import Setting, markup
from dossier.pages.tagging import Columns, Heading, Space, Text, Together
from dossier.pages.tagging.pictures import Giving

_UPRIGHT_SHARE = 0.321  # of a page: two upright pairs under a heading
_HEADING = 17 * mm  # of the section: three flat pairs stand below it
_FLAT_WORDS = 24.5 * mm  # of a third of a page: heads, captions of three lines, a note, the space below
_GRID_DEPTH = 44 * mm
_GIVES = 0.36  # of their depth, rather than leave the foot of a page empty; the first pair gives nothing
_MOST = 3  # side by side
_FEW = 12  # photographs that need no headings of their stages


def section(s: Setting) -> list[Flowable]:
    if empty(s):
        return []
    pairs = _pairs(s)
    body: list[Flowable] = [
        flow for pair in pairs for flow in _pair(s, pair, 0.0 if pair is pairs[0] else _GIVES)
    ]
    body = body or [blocks.say(s, "before_after.none")]
    if any(pair.frame(shot) for pair in pairs for shot in pair.shown):
        body.append(blocks.note(s, s.say("before_after.lead")))
    body += [*_refused(s, pairs), *_gone(s), *_others(s)]
    return blocks.section(s, s.say("before_after.title"), body)


def empty(s: Setting) -> list[str]:
    """What to say where there is nothing to show, and no photograph to name that is not shown."""
    unshown = len(s.shots.shown) < len(s.shots.all)
    return [] if unshown or s.shots.others or _pairs(s) else [s.say("before_after.none")]


def _pairs(s: Setting) -> list[Pair]:
    return [pair for pair in s.shots.pairs if len(pair.shown) > 1]


def _pair(s: Setting, pair: Pair, gives: float) -> list[Flowable]:
    if all(wide >= blocks.PANORAMA * high for wide, high in (_in_frame(pair, s).size for s in pair.shown)):
        return [*_below_each_other(s, pair), Space(6 * mm)]
    rows = [pair.shown[i : i + _MOST] for i in range(0, len(pair.shown), _MOST)]
    return [flow for row in rows for flow in (_side_by_side(s, pair, row, gives), Space(6 * mm))]


def _side_by_side(s: Setting, pair: Pair, shots: tuple[Shot, ...], gives: float) -> Flowable:
    """Each in an equal box: at equal scale where one has the frame of the other."""
    flat = all(wide > high for wide, high in (_in_frame(pair, shot).size for shot in shots))
    width = s.grid.columns(max(len(shots), 2))
    depth = (s.grid.depth - _HEADING) / 3 - _FLAT_WORDS if flat else s.grid.depth * _UPRIGHT_SHARE
    pictures = [blocks.picture(s, _in_frame(pair, shot), width, depth) for shot in shots]
    cells = [_headed(s, shot, picture) for shot, picture in zip(shots, pictures, strict=True)]
    both = Columns(cells, [width] * len(shots), s.grid.gap)
    return Giving([both, *_notes(s, pair, shots)], gives, *pictures)


def _below_each_other(s: Setting, pair: Pair) -> list[Flowable]:
    """Panoramas, each across the page; two of a pair stay on one page."""
    flows: list[Flowable] = []
    for shot in pair.shown:
        picture = blocks.picture(s, _in_frame(pair, shot), s.grid.text, s.grid.depth * _UPRIGHT_SHARE)
        flows += [*_headed(s, shot, picture), Space(3 * mm)]
    flows = [*flows[:-1], *_notes(s, pair, pair.shown)]
    return [Together(flows)] if len(pair.shown) <= _MOST else flows


def _headed(s: Setting, shot: Shot, picture: Flowable) -> list[Flowable]:
    side: Any = Text(_side(s, shot), s.styles.head)
    side.keepWithNext = 1
    return [side, Space(1 * mm), picture]


def _notes(s: Setting, pair: Pair, shots: Sequence[Shot]) -> list[Flowable]:
    notes = [note for shot in shots if (note := _laid(s, pair, shot))]
    return [Space(1 * mm), *[blocks.note(s, note) for note in notes]] if notes else []


def _in_frame(pair: Pair, shot: Shot) -> Shot:
    other = pair.frame(shot)
    return msgspec.structs.replace(shot, jpeg=shot.laid[other.name]) if other else shot


def _laid(s: Setting, pair: Pair, shot: Shot) -> str:
    """How the photograph lies over another of its pair; "" where it does not."""
    other = pair.frame(shot)
    if other is None:
        return ""
    places = next(laid.inliers for laid in shot.details.laid if laid.over == other.name)
    return s.say("before_after.laid", after=shot.number, before=other.number, n=places)


def _refused(s: Setting, pairs: Sequence[Pair]) -> list[Flowable]:
    """The pairs that could not be laid over each other, by the reason."""
    found: dict[str, list[str]] = {}
    for pair in pairs:
        for shot in pair.shown:
            for laid in shot.details.laid:
                other = next((other for other in pair.shown if other.name == laid.over), None)
                if other and laid.refused:
                    two = s.say("before_after.two", before=other.number, after=shot.number)
                    found.setdefault(_why(s, laid), []).append(two)
    lines = [s.say("before_after.refused", pairs=s.and_also(some), why=why) for why, some in found.items()]
    return [blocks.note(s, line) for line in lines]


def _why(s: Setting, laid: Laid) -> str:
    """Signed by a later version, a reason can be one that this one has no words for."""
    key = f"evidence.align.{laid.refused}"
    return s.words.say(key, **laid.figures) if s.words.has(key) else laid.refused


def _side(s: Setting, shot: Shot) -> str:
    return s.set(f"side.{shot.side}") if shot.side else markup(s.shot_title(shot))


def _gone(s: Setting) -> list[Flowable]:
    """Photographs that have a place here and are not in this copy, by number."""
    gone = s.shots.not_in_copy
    broken = [shot for shot in s.shots.all if shot.in_copy and not shot.shown]
    flows: list[Flowable] = []
    if gone:
        flows.append(_note(s, "gone", gone))
    if broken:
        flows.append(_note(s, "broken", broken))
    return flows


def _note(s: Setting, key: str, shots: Sequence[Shot]) -> Flowable:
    return blocks.note(s, s.say(f"before_after.{key}", n=len(shots), numbers=blocks.numbers_of(s, shots)))


def _others(s: Setting) -> list[Flowable]:
    """In the order of the work; by stage where there are many, else each caption alone says its stage."""
    others = s.shots.others
    if not others:
        return []
    by_stage = [[shot for shot in others if shot.photograph.stage == stage] for stage in (*STAGES, None)]
    flows: list[Flowable] = [blocks.heading(s, s.say("before_after.others"))]
    if len(others) <= _FEW:
        ordered = [shot for shots in by_stage for shot in shots]
        return [*flows, *blocks.picture_rows(s, ordered, 3, _GRID_DEPTH)]
    for shots in filter(None, by_stage):
        flows += [_stage(s, shots[0].photograph.stage), *blocks.picture_rows(s, shots, 3, _GRID_DEPTH)]
    return flows


def _stage(s: Setting, stage: Stage | None) -> Flowable:
    title = s.set(f"stage.{stage.replace(' ', '_')}") if stage else s.set("stage.none")
    return Heading(title, 3, s.styles.stage, bookmark=False)
