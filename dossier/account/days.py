"""Dates as written ("2026", "2026-03", "2026-03-14") and capture times, compared as far as both say.

Not here: the clock. What is not said, or cannot be read, is never earlier than anything.
"""

from __future__ import annotations

import datetime as dt


def earlier(one: str, other: str) -> bool:
    """True when `one` is surely before `other`: a month is not before a day within it."""
    length = min(len(one), len(other))
    return bool(length) and one[:length] < other[:length]


def next_day(day: str) -> str:
    """The day after `day` (ISO 8601), "" for none."""
    return in_days(day, 1)


def in_days(day: str, count: int) -> str:
    """The day so many days after `day` (ISO 8601), "" for none."""
    return (dt.date.fromisoformat(day) + dt.timedelta(count)).isoformat() if day else ""


def taken_earlier(one: str, other: str) -> bool:
    """The same for capture times (ISO 8601); as instants where both have an offset, else by the camera's day
    and time.
    """
    first, second = _instant(one), _instant(other)
    if first is None or second is None:
        return False
    if first.tzinfo and second.tzinfo:
        return first < second
    return first.replace(tzinfo=None) < second.replace(tzinfo=None)


def _instant(text: str) -> dt.datetime | None:
    try:
        return dt.datetime.fromisoformat(text)
    except ValueError:
        return None
