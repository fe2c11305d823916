"""The stage of the job at which a photograph was taken, where the job's dates leave no doubt.

A photograph is evidence of "before" or "after", so a stage is given only when every reading of the dates puts
it on the same side of the work. Pure.
"""

from __future__ import annotations

import re

from dossier.model.rows import Dates
from dossier.model.words import SIDE_OF_STAGE, STAGES, Stage

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_DATE_OF: dict[Stage, str] = {
    "received": "received",
    "looked at": "looked_at",
    "agreed": "agreed",
    "opened": "opened",
    "working": "begun",
    "done": "done",
    "returned": "returned",
}


def stage_by_date(taken: str, dates: Dates) -> Stage | None:
    """The last stage that had begun when the photograph was taken; None where that is not certain.

    Not certain: before the first date, after the last, with dates out of order, on a day on which the work
    began or ended, or between two dates where a stage of another side has no date.
    """
    day = taken[:10]
    known = known_days(dates)
    days = [date for _, date in known]
    if not _DAY.fullmatch(day) or days != sorted(days):
        return None
    before, same, later = _split(known, day)
    if not (before or same) or not (same or later):
        return None
    first = STAGES.index(before[-1] if before else same[0])
    last = STAGES.index(later[0]) - 1 if later else STAGES.index(same[-1])
    sides = {SIDE_OF_STAGE[stage] for stage in STAGES[first : last + 1]}
    return (before + same)[-1] if len(sides) == 1 else None


def _split(known: list[tuple[Stage, str]], day: str) -> tuple[list[Stage], list[Stage], list[Stage]]:
    """The stages that began before, on and after `day`."""
    return (
        [stage for stage, date in known if date < day],
        [stage for stage, date in known if date == day],
        [stage for stage, date in known if date > day],
    )


def known_days(dates: Dates) -> list[tuple[Stage, str]]:
    """The stages of which the day is known on which they began, in their order."""
    pairs = [(stage, getattr(dates, _DATE_OF[stage])) for stage in STAGES]
    return [(stage, day) for stage, day in pairs if _DAY.fullmatch(day)]
