"""The dates of the job on one line, to scale, with the days on which work was recorded."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from typing import Any

from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from dossier.model.plain import to_plain
from dossier.pages.fonts import SANS, SANS_BOLD
from dossier.pages.setting import Setting, printable
from dossier.pages.style import HAIR, INK, SOFT
from dossier.pages.tagging import Figure, Space

HEIGHT = 21 * mm
LABEL = 25 * mm
_LINE = 16 * mm  # height of the line
_NAMES = 5.4 * mm
_LEADING = 3.6 * mm
_APART = 3 * mm  # of two labels
_NAME_SIZE, _DATE_SIZE = 7.6, 7.2
_BEFORE_YEAR = re.compile(r" (?=(?:de )?\d{4}$)")  # "de" goes with the year


def timeline(s: Setting) -> list[Flowable]:
    """Nothing where fewer than two full dates are known."""
    marks = _marks(s)
    if len(marks) < 2 or marks[0][0] == marks[-1][0]:
        return []
    days = sorted({day for work in s.payload.work if (day := _day(work.date))})
    said = [s.say("timeline.alt_date", what=name, date=s.date(day.isoformat())) for day, name in marks]
    labels = [(day, name, s.date(day.isoformat())) for day, name in marks]

    room = s.grid.text - LABEL
    more = 0.0 if sum(_gaps(_lines(labels, 0.0))) <= room else _LEADING  # for years, on a line of their own

    def draw(canvas: Canvas, width: float, _height: float) -> None:
        canvas.translate(0, more)
        _draw(canvas, width, labels, days, more)

    alt = printable(s.say("timeline.alt", dates=s.in_row(said)))
    flows: list[Any] = [Figure(draw, s.grid.text, HEIGHT + more, alt), Space(3 * mm)]
    for flow in flows:
        flow.keepWithNext = 1  # never parted from the lines of work
    return flows


def _lines(labels: Sequence[tuple[dt.date, str, str]], more: float) -> list[tuple[str, list[str]]]:
    """What stands at each date: its name, and the date in one line or two."""
    return [(name, _BEFORE_YEAR.split(date, maxsplit=1) if more else [date]) for _, name, date in labels]


def _gaps(lines: Sequence[tuple[str, list[str]]]) -> list[float]:
    """From each place to the next, at least: what stands there, clear of what comes."""
    return [_widest(name, date) + _APART for name, date in lines[:-1]]


def _day(text: str) -> dt.date | None:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        return None


def _marks(s: Setting) -> list[tuple[dt.date, str]]:
    """Each date once, with all that happened on it, in order."""
    found: dict[dt.date, list[str]] = {}
    for name, text in to_plain(s.payload.dates).items():
        if day := _day(text):
            found.setdefault(day, []).append(s.say(f"timeline.{name}"))
    return [(day, s.in_row(names)) for day, names in sorted(found.items())]


def spread(wanted: Sequence[float], gaps: Sequence[float], room: float) -> list[float]:
    """Places near the wanted ones, each with its gap to the next (less where `room` is), from 0 to `room`."""
    scale = min(1.0, room / sum(gaps))
    least = [gap * scale for gap in gaps]
    places = [wanted[0]]
    for place, gap in zip(wanted[1:], least, strict=True):
        places.append(max(place, places[-1] + gap))
    places[-1] = min(places[-1], room)
    for index in range(len(places) - 2, -1, -1):
        places[index] = min(places[index], places[index + 1] - least[index])
    return places


def _draw(
    canvas: Canvas,
    width: float,
    labels: Sequence[tuple[dt.date, str, str]],
    days: Sequence[dt.date],
    more: float,
) -> None:
    first, last = labels[0][0], labels[-1][0]
    room = width - LABEL
    scale = room / max((last - first).days, 1)
    at = [(day - first).days * scale for day, _, _ in labels]
    lines = _lines(labels, more)
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(0.8)
    canvas.line(0, _LINE, room, _LINE)
    _days(canvas, [(day - first).days * scale for day in days if first <= day <= last])
    for x, place, (name, date) in zip(at, spread(at, _gaps(lines), room), lines, strict=True):
        _label(canvas, x, place, name, date)


def _widest(name: str, date: Sequence[str]) -> float:
    """Points across of what stands at one date."""
    dates = (float(stringWidth(printable(line), SANS, _DATE_SIZE)) for line in date)
    return max(float(stringWidth(printable(name), SANS_BOLD, _NAME_SIZE)), *dates)


def _days(canvas: Canvas, places: Sequence[float]) -> None:
    canvas.setLineWidth(0.6)
    for x in places:
        canvas.line(x, _LINE, x, _LINE + 2.2 * mm)


def _label(canvas: Canvas, x: float, place: float, name: str, date: Sequence[str]) -> None:
    canvas.setFillColor(INK)
    canvas.circle(x, _LINE, 1.6, stroke=0, fill=1)
    canvas.setStrokeColor(HAIR)
    canvas.setLineWidth(0.5)
    canvas.line(x, _LINE - 2.2, place, _NAMES + 3.6 * mm)
    canvas.setFont(SANS_BOLD, _NAME_SIZE)
    canvas.drawString(place, _NAMES, printable(name))
    canvas.setFillColor(SOFT)
    canvas.setFont(SANS, _DATE_SIZE)
    for number, line in enumerate(date, 1):
        canvas.drawString(place, _NAMES - number * _LEADING, printable(line))
