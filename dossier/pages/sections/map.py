"""Page 4: photographs with numbered places, and what each number points at."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.rows import PhotoPlace
from dossier.pages import blocks
from dossier.pages.map_figure import mapped
from dossier.pages.photographs import Shot
from dossier.pages.setting import Setting
from dossier.pages.tagging import Space, Together

_DEPTH = 118 * mm
_DEPTH_OF_FEW = 80 * mm


def section(s: Setting) -> list[Flowable]:
    shots = s.shots.mapped
    if not shots:
        return blocks.section(s, s.say("map.title"), [blocks.say(s, "map.none")])
    body = [*blocks.lead(s, s.say("map.lead")), *[flow for shot in shots for flow in _one(s, shot)]]
    return blocks.section(s, s.say("map.title"), body, fresh=True)


def _one(s: Setting, shot: Shot) -> list[Flowable]:
    heads = [s.say(f"head.{key}") for key in ("place", "part", "now", "place_note")]
    rows = [_row(s, place) for place in shot.places]
    legend = blocks.table(s, heads, rows, (12, 44, 52, 60))
    picture = mapped(s, shot, s.grid.text, _DEPTH if len(rows) > 4 else _DEPTH_OF_FEW)
    together = [picture, Space(2 * mm), legend]
    flows: list[Flowable] = [Together(together)] if len(rows) < 9 else together
    return [*flows, Space(6 * mm)]


def _row(s: Setting, place: PhotoPlace) -> list[str]:
    return [place.number, s.part_name(place.part) if place.part else "", now_words(s, place.part), place.note]


def now_words(s: Setting, number: str) -> str:
    """What is there now of a part; with pieces where they differ."""
    rows = s.now.get(number, ())
    said = []
    for row in rows:
        words = s.token(row.now)
        if len(rows) > 1:
            words = s.say("count.of_which", count=s.pieces(row.pieces_low, row.pieces_high), what=words)
        said.append(f"{words} ({s.say('altered')})" if row.altered else words)
    return s.and_also(said)
