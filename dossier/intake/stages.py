"""The stage of the job at which a photograph was taken, where the job's dates leave no doubt.

A photograph is evidence of "before" or "after", so a stage is given only when every reading of the dates puts
it on the same side of the work. Pure.
"""

from __future__ import annotations

import re

from dossier.model.rows import Dates
from dossier.model.words import SIDE_OF_STAGE, STAGES, Side, Stage

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
    possible = _possible(taken, dates)
    sides = {SIDE_OF_STAGE[stage] for stage in possible}
    begun = [stage for stage, date in known_days(dates) if date <= taken[:10]]
    return begun[-1] if len(sides) == 1 else None


def stage_in_a_pair(taken: str, dates: Dates) -> Stage | None:
    """Of those before or after the work the first that it may be; None where it may be of both sides.

    So of the day on which the work ended it is "done", of the day on which it began the stage before: what
    stands in a pair is not from during the work. After the last date too, where that is after the work; not
    of a day between two where the work may have gone on for weeks.
    """
    days = [date for _, date in known_days(dates)]
    possible = _possible(taken, dates, ended=True)
    paired = [stage for stage in possible if SIDE_OF_STAGE[stage] != "during"]
    if len(paired) < len(possible) and taken[:10] < days[-1] and taken[:10] not in days:
        return None
    return paired[0] if len({SIDE_OF_STAGE[stage] for stage in paired}) == 1 else None


def side_without_stage(taken: str, dates: Dates) -> Side | None:
    """Which side of the work a day is on that has no stage: before the first date, or after the last where
    the work had ended by then. None of any other day.
    """
    known, day = known_days(dates), taken[:10]
    days = [date for _, date in known]
    if not known or not _DAY.fullmatch(day) or days != sorted(days):
        return None
    if day < days[0]:
        return "before" if SIDE_OF_STAGE[known[0][0]] != "after" else None
    return "after" if day > days[-1] and SIDE_OF_STAGE[known[-1][0]] == "after" else None


def _possible(taken: str, dates: Dates, *, ended: bool = False) -> tuple[Stage, ...]:
    """Every stage that the dates allow, in their order; () where they say nothing.

    `ended`: also after the last of them, where the work had ended by then.
    """
    day = taken[:10]
    known = known_days(dates)
    days = [date for _, date in known]
    if not _DAY.fullmatch(day) or days != sorted(days):
        return ()
    before, same, later = _split(known, day)
    over = ended and before and SIDE_OF_STAGE[before[-1]] == "after"
    if not (before or same) or not (same or later or over):
        return ()
    first = STAGES.index(before[-1] if before else same[0])
    last = STAGES.index(later[0]) - 1 if later else STAGES.index((before + same)[-1])
    return STAGES[first : last + 1]


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
