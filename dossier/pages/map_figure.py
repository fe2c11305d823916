"""A photograph with its numbered places drawn over it: black with a white edge, legible on any picture.

The picture itself is placed as it is. A number stands beside what it points at, not on it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

import msgspec
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from dossier.model.rows import PhotoPlace
from dossier.pages import blocks
from dossier.pages.fonts import SANS_BOLD
from dossier.pages.photographs import Shot
from dossier.pages.setting import Setting, printable
from dossier.pages.tagging import Picture

RADIUS = 2.9 * mm
SIZE = 8.6
_WAYS = ((1, 1), (-1, 1), (1, -1), (-1, -1), (0, 1.4), (1.4, 0), (-1.4, 0), (0, -1.4))
_DOWN, _ACROSS = ("top", "middle", "bottom"), ("left", "centre", "right")
_SQUARE = 2 * RADIUS
_APART = 1.1  # points on each side: more than half of what `meets` and `covers` keep free
_FAR = (1.0, 1.9, 2.8)  # how far a number may stand off, times the nearest


class Badge(msgspec.Struct, frozen=True):
    """Where a number stands: its middle, half its width, and the point it belongs to."""

    x: float
    y: float
    half: float
    to: tuple[float, float]

    def meets(self, other: Badge) -> bool:
        across = abs(self.x - other.x) < self.half + other.half + 1.5
        return across and abs(self.y - other.y) < 2 * RADIUS + 1.5

    def covers(self, point: tuple[float, float]) -> bool:
        """Whether a point lies under the number, or so close that it could not be seen."""
        x, y = point
        return abs(self.x - x) < self.half + 2 and abs(self.y - y) < RADIUS + 2


class Crowd(msgspec.Struct, frozen=True):
    """Numbers that stand already and points, by the squares of a grid that they reach into.

    What a spot would meet or cover shares a square with it, so that it is compared with its neighbours alone.
    """

    size: tuple[float, float]
    badges: dict[tuple[int, int], list[Badge]] = msgspec.field(default_factory=lambda: defaultdict(list))
    points: dict[tuple[int, int], list[tuple[float, float]]] = msgspec.field(
        default_factory=lambda: defaultdict(list)
    )

    def add(self, badge: Badge) -> None:
        for square in self._squares((badge.x, badge.y), badge.half, RADIUS):
            self.badges[square].append(badge)

    def mark(self, point: tuple[float, float]) -> None:
        for square in self._squares(point, 0, 0):
            self.points[square].append(point)

    def meets(self, spot: Badge) -> bool:
        squares = self._squares((spot.x, spot.y), spot.half, RADIUS)
        return any(spot.meets(other) for square in squares for other in self.badges.get(square, ()))

    def covers(self, spot: Badge) -> bool:
        squares = self._squares((spot.x, spot.y), spot.half, RADIUS)
        return any(spot.covers(point) for square in squares for point in self.points.get(square, ()))

    def _squares(self, middle: tuple[float, float], half: float, up: float) -> Iterator[tuple[int, int]]:
        """Those of the picture: no spot lies outside."""
        columns, rows = (
            range(
                max(int((at - reach - _APART) // _SQUARE), 0),
                int(min(at + reach + _APART, whole) // _SQUARE) + 1,
            )
            for at, reach, whole in zip(middle, (half, up), self.size, strict=True)
        )
        return ((column, row) for column in columns for row in rows)


def mapped(s: Setting, shot: Shot, width: float, depth: float) -> Picture:
    """The photograph inside a box, with its places, then its caption."""
    wide, high = blocks.fitted(shot, width, depth)

    def over(canvas: Canvas, across: float, up: float) -> None:
        places(canvas, shot.places, across, up)

    words = blocks.caption(s, shot)
    return Picture(shot.jpeg, wide, high, alt(s, shot), words, s.styles.caption, overlay=over)


def alt(s: Setting, shot: Shot) -> str:
    """Every number with the part that it is tied to and where it is; the legend says what is there."""
    said = [s.labelled(place.number, _tied_to(s, place)) for place in shot.places]
    photograph = s.shot_title(shot).replace("\u00a0", " ")
    return printable(s.say("map.alt", photograph=photograph, places=s.and_also(said)))


def _tied_to(s: Setting, place: PhotoPlace) -> str:
    name = s.parts[place.part].part if place.part in s.parts else place.note
    where = s.say(f"map.at.{_where(place)}") if len(place.at) > 1 else ""
    return s.in_row(text for text in (name, where) if text)


def _where(place: PhotoPlace) -> str:
    """In which ninth of the picture the middle of a place lies."""
    across, down = (sum(row) / len(row) for row in (place.at[::2], place.at[1::2]))
    return f"{_third(down, _DOWN)}_{_third(across, _ACROSS)}"


def _third(at: float, names: tuple[str, str, str]) -> str:
    return names[min(max(int(at * 3 / 1000), 0), 2)]


def places(canvas: Canvas, rows: Sequence[PhotoPlace], width: float, height: float) -> None:
    """All shapes first, then all numbers, so that no shape crosses a number."""
    placed: list[tuple[PhotoPlace, list[tuple[float, float]]]] = [
        (row, _points(row, width, height)) for row in rows if len(row.at) > 1
    ]
    for row, points in placed:
        _shape(canvas, row, points)
    badges: list[Badge] = []
    crowd = Crowd((width, height))
    for _, points in placed:
        crowd.mark(points[0])
    for row, points in placed:
        badge = _badge(canvas, row.number, points[0], crowd)
        badges.append(badge)
        crowd.add(badge)
        _leader(canvas, badge)
    for (row, _), badge in zip(placed, badges, strict=True):
        _number(canvas, row.number, badge)


def _points(row: PhotoPlace, width: float, height: float) -> list[tuple[float, float]]:
    """Per mille from the top left, as points from the bottom left, inside the picture."""
    pairs = zip(row.at[::2], row.at[1::2], strict=False)
    return [
        (min(max(x, 0), 1000) * width / 1000, height - min(max(y, 0), 1000) * height / 1000) for x, y in pairs
    ]


def _shape(canvas: Canvas, row: PhotoPlace, points: Sequence[tuple[float, float]]) -> None:
    for gray, weight in ((1.0, 2.6), (0.0, 1.0)):
        canvas.setStrokeGray(gray)
        canvas.setLineWidth(weight)
        canvas.setLineJoin(1)
        _outline(canvas, row, points)


def _outline(canvas: Canvas, row: PhotoPlace, points: Sequence[tuple[float, float]]) -> None:
    (x, y), *rest = points
    if row.kind == "box" and rest:
        right, bottom = rest[0]
        canvas.rect(min(x, right), min(y, bottom), abs(right - x), abs(bottom - y))
    elif row.kind == "outline" and rest:
        path = canvas.beginPath()
        path.moveTo(x, y)
        for point in rest:
            path.lineTo(*point)
        path.close()
        canvas.drawPath(path, stroke=1, fill=0)
    else:
        canvas.circle(x, y, 1.7, stroke=1, fill=0)


def _badge(canvas: Canvas, text: str, to: tuple[float, float], crowd: Crowd) -> Badge:
    """The nearest spot around the point, inside the picture, where nothing is covered.

    Where every spot near by would cover a number or what another points at, the nearest one anywhere in the
    picture; where there is none at all, the nearest that covers no number; else the first.
    """
    half = max(RADIUS, canvas.stringWidth(text, SANS_BOLD, SIZE) / 2 + 2.2)
    every = (*_near(to, half), *_anywhere(to, half, crowd.size))
    spots = [spot for spot in every if _inside(spot, crowd.size)]
    clear = [spot for spot in spots if not crowd.meets(spot)]
    free = (spot for spot in clear if not crowd.covers(spot))
    fallen_back = clear or spots or [Badge(*to, half, to)]
    return next(free, None) or fallen_back[0]


def _near(to: tuple[float, float], half: float) -> list[Badge]:
    return [
        Badge(to[0] + dx * (half + 2.5) * far, to[1] + dy * (RADIUS + 2.5) * far, half, to)
        for far in _FAR
        for dx, dy in _WAYS
    ]


def _anywhere(to: tuple[float, float], half: float, size: tuple[float, float]) -> list[Badge]:
    """Spots all over the picture, a number apart, the nearest first."""
    across, up = (half + 1.0) * 2, (RADIUS + 1.0) * 2
    spots = [
        Badge((column + 0.5) * across, (row + 0.5) * up, half, to)
        for column in range(int(size[0] / across))
        for row in range(int(size[1] / up))
    ]
    return sorted(spots, key=lambda spot: (spot.x - to[0]) ** 2 + (spot.y - to[1]) ** 2)


def _inside(spot: Badge, size: tuple[float, float]) -> bool:
    return spot.half < spot.x < size[0] - spot.half and RADIUS < spot.y < size[1] - RADIUS


def _leader(canvas: Canvas, badge: Badge) -> None:
    for gray, weight in ((1.0, 2.2), (0.0, 0.8)):
        canvas.setStrokeGray(gray)
        canvas.setLineWidth(weight)
        canvas.line(badge.x, badge.y, *badge.to)


def _number(canvas: Canvas, text: str, badge: Badge) -> None:
    canvas.setStrokeGray(1)
    canvas.setFillGray(0)
    canvas.setLineWidth(1.1)
    wide, high = badge.half * 2, RADIUS * 2
    canvas.roundRect(badge.x - badge.half, badge.y - RADIUS, wide, high, RADIUS, stroke=1, fill=1)
    canvas.setFillGray(1)
    canvas.setFont(SANS_BOLD, SIZE)
    canvas.drawCentredString(badge.x, badge.y - SIZE * 0.34, printable(text))
