"""What to record and photograph now, before it is covered, cleaned or handed back.

Each thing is asked for in the stages in which it can still be done. Not here: what can no longer be mended
(those are gaps, see `findings`). Pure.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import get_args

from dossier.account import found
from dossier.account.found import Found
from dossier.account.register import APART
from dossier.account.view import View
from dossier.model.finding import Finding
from dossier.model.job import Job
from dossier.model.rows import Part
from dossier.model.words import Stage
from dossier.words import Catalogue

_RENEWED = frozenset({"replaced", "added", "part renewed"})
_BEFORE: tuple[Stage, ...] = ("received", "looked at", "agreed")


def to_record_now(job: Job) -> list[Finding]:
    """Findings of the level "now" for the stage the job has come to."""
    view = View(job)
    asked = (one for stages, ask in _ASKED if view.stage in stages for one in ask(view))
    return found.findings(asked, view, Catalogue(job.language))


def _received(view: View) -> Iterator[Found]:
    if not view.job.dates.received:
        yield Found("now-received", "job/dates")


def _photograph_whole(view: View) -> Iterator[Found]:
    if not any(row.side == "before" and not row.parts for row in view.job.photo_rows):
        yield Found("now-photograph-whole", "job")


def _photograph_marks(view: View) -> Iterator[Found]:
    for place, mark in enumerate(view.job.marks, 1):
        if not mark.photograph:
            yield Found(
                "now-photograph-marks", f"inscriptions/{place}", label=mark.where or mark.kind or mark.text
            )


def _know_it_by(view: View) -> Iterator[Found]:
    if not view.job.know_it_by:
        yield Found("now-know-it-by", "job")


def _measure(view: View) -> Iterator[Found]:
    if not view.job.measurements:
        yield Found("now-measure", "job")


def _condition(view: View) -> Iterator[Found]:
    if not view.job.condition:
        yield Found("now-condition", "job/condition")


def _came_as(view: View) -> Iterator[Found]:
    yield from (_part("now-came-as", p) for p in view.register.counted() if p.came_as == "not known")


def _photograph_part(view: View) -> Iterator[Found]:
    for part in view.register.counted():
        if part.seen != "hidden" and part.came_as != "missing" and not view.pictured(part, "before"):
            yield _part("now-photograph-part", part)


def _agree(view: View) -> Iterator[Found]:
    for agreement in view.job.agreements:
        if agreement.answer == "no answer yet":
            yield Found("now-agree", f"agreements/{agreement.number}")


def _photograph_inside(view: View) -> Iterator[Found]:
    """Parts marked hidden, and no picture since the object was opened."""
    for part in view.register.counted():
        pictures = view.pictures(part)
        if part.seen == "hidden" and not any(p.stage in ("opened", "working") for p in pictures):
            yield _part("now-photograph-inside", part)


def _found_inside(view: View) -> Iterator[Found]:
    if not view.job.looked_at.found_inside:
        yield Found("now-found-inside", "job/looked_at")


def _photograph_covered(view: View) -> Iterator[Found]:
    """Work that will be covered, and no picture of its parts since."""
    for row in view.job.work:
        for part in filter(None, map(view.part, row.parts)) if row.covered == "yes" else ():
            if not view.pictured_covered(part, row):
                yield Found(
                    "now-photograph-covered", f"work/{row.number}", {"name": part.part}, (part.number,)
                )


def _photograph_after(view: View) -> Iterator[Found]:
    for pair, rows in view.pairs.items():
        sides = {row.side for row in rows}
        if "before" in sides and "after" not in sides:
            yield Found("now-photograph-after", f"photos/{rows[0].file}", {}, rows[0].parts, pair)


def _photograph_worked_on(view: View) -> Iterator[Found]:
    """The same while the work goes on, of what was worked on already."""
    for one in _photograph_after(view):
        parts = [part for part in map(view.part, one.parts) if part]
        if parts and all(any(row.done not in APART for row in view.rows(part)) for part in parts):
            yield one


def _old_piece(view: View) -> Iterator[Found]:
    for part in view.register.counted():
        taken = any(row.done in ("replaced", "taken away") for row in view.rows(part))
        said = part.old_piece or view.register.said_above(part, "old_piece")
        if taken and not said and part.came_as != "missing":
            yield _part("now-old-piece", part)


def _told_by(view: View) -> Iterator[Found]:
    for part in view.register.counted():
        if any(row.done in _RENEWED for row in view.rows(part)) and not part.told_by:
            yield _part("now-told-by", part)


def _hand_over(view: View) -> Iterator[Found]:
    """By the names that they have in the job."""
    handover = view.job.handover
    said = {
        "date": handover.date or view.job.dates.returned,
        "care": handover.care,
        "received by": view.job.received_by,
    }
    if lacking := [name for name, value in said.items() if not value]:
        yield Found("now-hand-over", "job/handover", {"names": ", ".join(lacking)})


def _part(code: str, part: Part) -> Found:
    return Found(code, f"parts/{part.number}", {}, (part.number,))


_ASKED: tuple[tuple[tuple[Stage, ...], Callable[[View], Iterator[Found]]], ...] = (
    (get_args(Stage), _received),
    (_BEFORE, _photograph_whole),
    (_BEFORE, _photograph_marks),
    ((*_BEFORE, "opened", "working", "done"), _know_it_by),
    ((*_BEFORE, "opened", "working", "done"), _measure),
    (("looked at", "agreed"), _condition),
    (("looked at", "agreed", "opened"), _came_as),
    (("looked at", "agreed", "opened"), _photograph_part),
    (("looked at", "agreed", "opened", "working"), _agree),
    (("opened", "working"), _photograph_inside),
    (("opened",), _found_inside),
    (("opened", "working"), _photograph_covered),
    (("working",), _photograph_worked_on),
    (("done",), _photograph_after),
    (("working", "done"), _old_piece),
    (("working", "done"), _told_by),
    (("done", "returned"), _hand_over),
)
