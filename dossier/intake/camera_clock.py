"""How wrong a camera's clock was, as somebody states it ("1 h 2 min fast"), and times put right by it.

Not done here: which photographs it is stated of (`photolist`). Pure. Invariant: what is stated stays beside
the time that was put right, so that the camera's own can be told again.
"""

from __future__ import annotations

import datetime as dt
import re

import msgspec

from dossier.model.job import PhotoFacts

MOST = dt.timedelta(days=40_000)
_UNITS = (("d", 86_400), ("h", 3_600), ("min", 60), ("s", 1))
_NAMES = {
    "d": r"d|days?",
    "h": r"h|hrs?|hours?",
    "min": r"min|mins|minutes?",
    "s": r"s|secs?|seconds?",
}
_TEXT = re.compile(
    "".join(rf"(?:(\d{{1,9}}) ?(?:{_NAMES[name]})[ ,]*)?" for name, _ in _UNITS) + r"\b(fast|slow)",
    re.IGNORECASE,
)


def read(text: str) -> str | None:
    """`text` in its one form, "1 d 2 h 3 min 4 s fast"; None where it does not say how much and which way."""
    found = _TEXT.fullmatch(" ".join(text.split()))
    if found is None:
        return None
    seconds = sum(int(figure or 0) * size for figure, (_, size) in zip(found.groups(), _UNITS, strict=False))
    if not 0 < seconds <= MOST.total_seconds():
        return None
    return f"{spoken(seconds)} {found[5].lower()}"


def spoken(seconds: int) -> str:
    """So many seconds as "1 d 2 h 3 min 4 s", without what is none."""
    said = []
    for name, size in _UNITS:
        many, seconds = divmod(seconds, size)
        if many:
            said.append(f"{many} {name}")
    return " ".join(said)


def stated(seconds: int) -> str:
    """What is to be written where the clock was ahead of the true time by `seconds` (behind: below 0)."""
    return f"{spoken(abs(seconds))} {'fast' if seconds > 0 else 'slow'}"


def put_right(facts: PhotoFacts, clock: str, zone: dt.tzinfo) -> PhotoFacts:
    """The facts with the time as it was, `clock` being what `read` gave; alike where no time is known.

    `zone` is the job's: a time that was taken in it is put right on the wall clock, then has the offset of
    its own day (daylight saving). One that would leave the calendar stays as it was, and is none.
    """
    if not facts.taken:
        return facts
    when = dt.datetime.fromisoformat(facts.taken)
    start, end = facts.taken[:19], facts.taken[19:]
    fraction = (re.match(r"\.\d+", end) or [""])[0]
    try:
        wall = dt.datetime.fromisoformat(start) - _ahead(clock)
        offset = when.tzinfo if facts.taken_zone == "file" else zone
        right = wall.replace(tzinfo=offset).isoformat(timespec="seconds")
    except (OverflowError, ValueError):
        return msgspec.structs.replace(facts, taken="", taken_zone="", clock=clock)
    return msgspec.structs.replace(facts, taken=right[:19] + fraction + right[19:], clock=clock)


def _ahead(clock: str) -> dt.timedelta:
    found = _TEXT.fullmatch(clock)
    assert found is not None  # `read` gave it
    figures = zip(found.groups(), _UNITS, strict=False)
    seconds = sum(int(figure or 0) * size for figure, (_, size) in figures)
    return dt.timedelta(seconds=seconds if found[5] == "fast" else -seconds)
