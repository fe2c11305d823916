"""Page 5: photographs with numbered places, and what each number points at."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.rows import PhotoPlace
from dossier.pages import blocks
from dossier.pages.map_figure import mapped
from dossier.pages.photographs import Shot
from dossier.pages.setting import Setting
from dossier.pages.tagging import Columns, Space, Stack
from dossier.pages.tagging.pictures import LEAST_CAPTION, Giving

_DEPTH = 118 * mm
_SHARE_OF_FEW = 0.25  # of a page: three to a page with their captions
_SHARES_LARGER = (0.44, 0.4, 0.36, 0.32, 0.28)  # of a page: on one whose foot would else stay empty
_SHARE_LOWER = 0.33  # of a page: of a picture with more places, where the page has no room for its full width
_FEW = 4  # places that have room beside a picture of that depth
_MOST_KEPT = 12  # places whose legend stays on the page of its picture
_GIVES = 0.42  # of its depth, rather than leave the foot of a page empty
_GIVES_BESIDE = 0.38  # of one that is small already: never below a picture of the grid
_MOST_BESIDE = 9  # places that have room beside an upright picture of the full depth


def section(s: Setting) -> list[Flowable]:
    shots = s.shots.mapped
    if not shots:
        return []
    body = [*blocks.lead(s, s.say("map.lead")), *[flow for shot in shots for flow in _one(s, shot)]]
    return blocks.section(s, s.say("map.title"), body)


def empty(s: Setting) -> list[str]:
    return [] if s.shots.mapped else [s.say("map.none")]


def larger(s: Setting, story: Sequence[Flowable], own: Sequence[Flowable]) -> list[Flowable]:
    """The story with its last map pictures larger, where nothing follows on their page; `own` is the map."""
    few = list(takewhile(_has_few, reversed(s.shots.mapped)))
    if not own or not few:
        return list(story)
    last = own[-2]
    page = blocks.page_of(s, story, last)
    on_to = [] if last not in page else page[: page.index(last) + 1]
    if not on_to or not all(isinstance(flow, Space) for flow in page[len(on_to) :]):
        return list(story)
    count = sum(isinstance(flow, Giving) and flow in own for flow in page)
    shots = few[:count][::-1]
    end = story.index(last) + 2
    begin = end - 2 * len(shots)
    taken = Stack(on_to).wrap(s.grid.text, 0)[1]
    usual = Stack(story[begin : end - 1]).wrap(s.grid.text, 0)[1]
    for share in _SHARES_LARGER:
        flows = [flow for shot in shots for flow in (_beside(s, shot, s.grid.depth * share), Space(6 * mm))]
        if taken - usual + Stack(flows[:-1]).wrap(s.grid.text, 0)[1] <= s.grid.depth:
            return [*story[:begin], *flows, *story[end:]]
    return list(story)


def _has_few(shot: Shot) -> bool:
    wide, high = shot.size
    return len(shot.places) <= _FEW and wide < blocks.PANORAMA * high


def _one(s: Setting, shot: Shot) -> list[Flowable]:
    """A picture with its legend beside it, or below where it is wide and has many places."""
    count = len(shot.places)
    wide, high = shot.size
    if _has_few(shot):
        return [_beside(s, shot, s.grid.depth * _SHARE_OF_FEW), Space(6 * mm)]
    if wide < high and count <= _MOST_BESIDE:
        return [_beside(s, shot, _DEPTH), Space(6 * mm)]
    legend = blocks.table(s, _heads(s), [_row(s, place) for place in shot.places], (12, 44, 52, 60))
    picture = mapped(s, shot, s.grid.text, _DEPTH)
    flows = [picture, Space(2 * mm), legend]
    if count > _MOST_KEPT:
        return [*flows, Space(6 * mm)]
    fits_beside = count <= _MOST_BESIDE and wide < blocks.PANORAMA * high
    lower = _beside(s, shot, s.grid.depth * _SHARE_LOWER) if fits_beside else None
    return [Giving(flows, _GIVES, picture, lower=lower), Space(6 * mm)]


def _heads(s: Setting) -> list[str]:
    return [s.say(f"head.{key}") for key in ("place", "part", "now", "place_note")]


def _beside(s: Setting, shot: Shot, depth: float) -> Giving:
    """Picture and legend side by side; what is there now stands under the part's name."""
    picture = mapped(s, shot, s.grid.text * 0.56, depth)
    left = max(blocks.fitted(shot, s.grid.text * 0.56, depth)[0], LEAST_CAPTION)
    room = s.grid.text - left - s.grid.gap
    place, part, _, note = _heads(s)
    rows = [
        [number, "\n".join(text for text in (name, now) if text), said]
        for number, name, now, said in (_row(s, place) for place in shot.places)
    ]
    legend = blocks.table(s, [place, part, note], rows, (10, 38, 30), across=room)
    both = Columns([[picture], [legend]], [left, room], s.grid.gap)
    return Giving([both], _GIVES_BESIDE, picture)


def _row(s: Setting, place: PhotoPlace) -> list[str]:
    return [place.number, s.part_name(place.part) if place.part else "", now_words(s, place.part), place.note]


def now_words(s: Setting, number: str) -> str:
    """What is there now of a part; with pieces where they differ. Of a heading, by which parts it counts."""
    rows = s.now.get(number, ())
    if not rows and (under := [part.number for part in s.payload.parts if part.part_of == number]):
        return s.say("register.counted_by", numbers=s.in_row(under))
    said = []
    for row in rows:
        words = s.token(row.now)
        if len(rows) > 1:
            words = s.say("count.of_which", count=s.pieces(row.pieces_low, row.pieces_high), what=words)
        said.append(s.beside(words, s.say("altered") if row.altered else ""))
    return s.and_also(said)
