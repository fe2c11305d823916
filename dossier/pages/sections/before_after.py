"""Page 6: before and after, side by side at one scale, and every photograph no other section shows."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.words import STAGES, Stage
from dossier.pages import blocks
from dossier.pages.photographs import Pair, Shot
from dossier.pages.setting import Setting, markup
from dossier.pages.tagging import Columns, Space, Text, Together

_PAIR_DEPTH = 88 * mm
_GRID_DEPTH = 44 * mm
_MOST = 3  # side by side


def section(s: Setting) -> list[Flowable]:
    pairs = [pair for pair in s.shots.pairs if len(pair.shown) > 1]
    body: list[Flowable] = [flow for pair in pairs for flow in _pair(s, pair)]
    body = body or [blocks.say(s, "before_after.none")]
    body += [*_gone(s), *_others(s)]
    return blocks.section(s, s.say("before_after.title"), body)


def _pair(s: Setting, pair: Pair) -> list[Flowable]:
    rows = [pair.shown[i : i + _MOST] for i in range(0, len(pair.shown), _MOST)]
    return [flow for row in rows for flow in (_side_by_side(s, row), Space(6 * mm))]


def _side_by_side(s: Setting, shots: tuple[Shot, ...]) -> Flowable:
    """Each in an equal box, so that the scale is equal where the framing is."""
    width = s.grid.columns(max(len(shots), 2))
    cells: list[list[Flowable]] = [
        [Text(_side(s, shot), s.styles.head), Space(1 * mm), blocks.picture(s, shot, width, _PAIR_DEPTH)]
        for shot in shots
    ]
    return Together([Columns(cells, [width] * len(shots), s.grid.gap)])


def _side(s: Setting, shot: Shot) -> str:
    return s.set(f"side.{shot.side}") if shot.side else markup(s.shot_title(shot))


def _gone(s: Setting) -> list[Flowable]:
    """Photographs that have a place here and are not in this copy, by number."""
    gone = s.shots.not_in_copy
    broken = [shot for shot in s.shots.all if shot.in_copy and not shot.shown]
    flows: list[Flowable] = []
    if gone:
        flows.append(blocks.say(s, "before_after.gone", n=len(gone), numbers=blocks.numbers_of(s, gone)))
    if broken:
        flows.append(
            blocks.say(s, "before_after.broken", n=len(broken), numbers=blocks.numbers_of(s, broken))
        )
    return flows


def _others(s: Setting) -> list[Flowable]:
    """By stage, so that the grid can be read as the course of the work."""
    if not s.shots.others:
        return []
    flows: list[Flowable] = [blocks.heading(s, s.say("before_after.others"))]
    for stage in (*STAGES, None):
        shots = [shot for shot in s.shots.others if shot.photograph.stage == stage]
        if shots:
            flows += [_stage(s, stage), *blocks.picture_rows(s, shots, 3, _GRID_DEPTH)]
    return flows


def _stage(s: Setting, stage: Stage | None) -> Flowable:
    title = s.set(f"stage.{stage.replace(' ', '_')}") if stage else s.set("stage.none")
    name = Text(title, s.styles.stage)
    name.keepWithNext = 1
    return name
