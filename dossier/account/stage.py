"""The stage a job has come to: as typed, else from its dates and what is filled in.

Not here: what to do at a stage (`to_record`).
"""

from __future__ import annotations

from dossier.model.job import Job
from dossier.model.words import Stage

FINISHED: frozenset[Stage] = frozenset({"done", "returned"})


def stage_of(job: Job) -> Stage:
    """The latest stage that a date or an entry speaks for."""
    if job.stage:
        return job.stage
    reached = (stage for stage, said in _signs(job) if said)
    return next(reached, "received")


def _signs(job: Job) -> tuple[tuple[Stage, bool], ...]:
    """Stages from the last, each with whether anything says that it was reached."""
    dates = job.dates
    return (
        ("returned", bool(dates.returned or job.handover.date)),
        ("done", bool(dates.done)),
        ("working", bool(dates.begun or any(row.done not in ("not examined",) for row in job.work))),
        ("opened", bool(dates.opened or job.looked_at.found_inside)),
        ("agreed", bool(dates.agreed or any(a.answer == "agreed" for a in job.agreements))),
        ("looked at", bool(dates.looked_at or job.looked_at.by or job.condition)),
    )
