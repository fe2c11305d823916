"""The part of a photograph that shows one place: the picture is placed as it is and seen through a window.

Nothing is cut or encoded again: the bytes stand in the document once, however many windows look at them.
A window keeps enough around the place to be found again, and pixels enough for print.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from dossier.model.rows import PhotoPlace
from dossier.pages import blocks
from dossier.pages.photographs import Shot
from dossier.pages.setting import Setting, markup, printable
from dossier.pages.tagging import Picture

_AROUND = 1.4  # times as wide and as high as the place itself
_LEAST = 0.24  # of the longer side of the picture: what a point needs to be found again
_MOST = 0.5  # of the picture: a window that shows more is no closer view
_RATIO = 4 / 3


class Window(msgspec.Struct, frozen=True):
    """A part of a picture: left, top, width and height as shares of the whole, and the places in it."""

    left: float
    top: float
    width: float
    height: float
    places: tuple[PhotoPlace, ...]

    @property
    def box(self) -> tuple[float, float, float, float]:
        return (self.left, self.top, self.width, self.height)


def on_part(shot: Shot, part: str) -> Window | None:
    """A window on all places of a part; none where it has none there or they fill most of the picture."""
    return window(shot, [place for place in shot.places if place.part == part])


def on_places(shot: Shot, numbers: Sequence[str]) -> Window | None:
    """A window on the places of these numbers; none where it has none of them or they fill most of it."""
    return window(shot, [place for place in shot.places if place.number in numbers])


def window(shot: Shot, places: Sequence[PhotoPlace]) -> Window | None:
    """A window on places of a photograph; none where there are none or they fill most of the picture."""
    placed = [place for place in places if len(place.at) > 1]
    if not placed:
        return None
    wide, high = shot.size
    left, right = _span([x for place in placed for x in place.at[::2]], wide)
    top, bottom = _span([y for place in placed for y in place.at[1::2]], high)
    across, down = _size(right - left, bottom - top, max(wide, high))
    if across > wide or down > high or across * down > _MOST * wide * high:
        return None
    x = min(max((left + right - across) / 2, 0), wide - across)
    y = min(max((top + bottom - down) / 2, 0), high - down)
    return Window(x / wide, y / high, across / wide, down / high, tuple(placed))


def picture(s: Setting, shot: Shot, seen: Window, width: float, depth: float, caption: str = "") -> Picture:
    """What is seen through a window, inside a box in points; `caption` is plain text."""
    size = (seen.width * shot.size[0], seen.height * shot.size[1])
    wide, high = blocks.fitted_to(size, width, depth)
    said = markup(caption) if caption else None
    return Picture(shot.jpeg, wide, high, alt(s, shot, seen), said, s.styles.caption, window=seen.box)


def alt(s: Setting, shot: Shot, seen: Window) -> str:
    """For who cannot see it: which photograph, and what was written at the places that are seen."""
    notes = [place.note or s.part_name(place.part) for place in seen.places]
    words = s.and_also(dict.fromkeys(note for note in notes if note)) or s.shot_words(shot)
    return printable(s.labelled(title(s, shot), words))


def title(s: Setting, shot: Shot) -> str:
    """The photograph's number, and that this is a part of it."""
    return s.say("photograph.detail", photograph=s.shot_title(shot))


def _span(per_mille: Sequence[int], pixels: int) -> tuple[float, float]:
    inside = [min(max(value, 0), 1000) * pixels / 1000 for value in per_mille]
    return min(inside), max(inside)


def _size(across: float, down: float, longer: int) -> tuple[float, float]:
    """Pixels of a window around a place of so many, in one shape."""
    wide = max(across * _AROUND, down * _AROUND * _RATIO, longer * _LEAST)
    return wide, wide / _RATIO
