"""What a record must say of the object and does not (AIC Commentary 24, EN 16095, Object ID)."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.account.found import Found
from dossier.account.view import View


def look(view: View) -> Iterator[Found]:
    job = view.job
    if not view.finished:
        yield Found("not-finished", "job/dates", {"stage": view.stage})
    if not job.know_it_by:
        yield Found("no-know-it-by", "job/know_it_by")
    if not (job.measurements or any(part.measure for part in job.parts)):
        yield Found("no-measurements", "job")
    if not (job.condition or any(part.condition for part in job.parts)):
        yield Found("no-condition", "job/condition")
    if not job.looked_at.by:
        yield Found("no-examiner", "job/looked_at")
