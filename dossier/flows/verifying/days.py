"""Days of a record that cannot have been when it was signed (FORMAT.md section 8, check 9).

Pure. Not done here: time-stamps themselves (`verifying.times`). Invariant: what a workshop may well have
written beforehand, such as the day of return, is not looked at.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator

from dossier.flows.verifying import checks
from dossier.model.record import Payload, moment
from dossier.model.result import Check
from dossier.seal.codes import MOST_PLACES
from dossier.words import Catalogue

ZONES = dt.timedelta(days=1)  # a day begins half a day earlier, or later, elsewhere
_DAY = re.compile(r"(\d{4})(?:-(\d{2})(?:-(\d{2}))?)?", re.ASCII)
_BEFORE_SIGNING = ("asked", "received", "looked_at", "agreed", "opened", "begun")


def look(
    payload: Payload | None, stamped: dt.datetime | None, today: dt.date, words: Catalogue
) -> list[Check]:
    """What is said of days still to come: by the day of the check, by `iat`, by a time-stamp that counts."""
    if payload is None:
        return []
    signed = moment(payload.iat).date()
    latest = min(signed, today, *([stamped.astimezone(dt.UTC).date()] if stamped else []))
    answers = []
    if signed > today + ZONES:
        answers.append(checks.answer("record-dated-ahead", words, date=signed.isoformat()))
    if ahead := [
        f"{row}: {words.day(text)}" for row, text in _days(payload) if _first(text) > latest + ZONES
    ]:
        answers.append(checks.answer("rows-dated-ahead", words, ahead[:MOST_PLACES], date=latest.isoformat()))
    return answers


def _days(payload: Payload) -> Iterator[tuple[str, str]]:
    for name in _BEFORE_SIGNING:
        yield f"dates/{name}", getattr(payload.dates, name)
    for row in payload.work:
        yield f"work/{row.number}", row.date


def _first(text: str) -> dt.date:
    """The first day that a day, month or year as written holds; the first of all where it is none."""
    found = _DAY.fullmatch(text)
    try:
        return dt.date(*(int(part or 1) for part in found.groups())) if found else dt.date.min
    except ValueError:
        return dt.date.min
