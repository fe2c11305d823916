"""What the work log leaves unsaid or does not add up to: who, when, how many, and what was agreed.

Not here: parts for themselves (`look_parts`).
"""

from __future__ import annotations

from collections.abc import Iterator

from dossier.account.days import earlier, in_days, next_day
from dossier.account.found import Found
from dossier.account.register import pieces_of
from dossier.account.view import View
from dossier.model.rows import Work
from dossier.model.words import NO_WORK, Done

_NEW_SURFACE: frozenset[Done] = frozenset({"new surface", "part renewed", "replaced", "added"})
# Each first date is not after its second. Looked at may come before received: a visit to the owner.
_DATES = (
    ("asked", "agreed"),
    ("received", "opened"),
    ("received", "begun"),
    ("received", "done"),
    ("received", "returned"),
    ("looked_at", "done"),
    ("agreed", "done"),
    ("opened", "done"),
    ("begun", "done"),
    ("done", "returned"),
)
_WRITTEN_BEFORE = 92  # days that a hand-over may be ahead of what is written about it
_PAST: tuple[str, ...] = ("asked", "received", "looked_at", "agreed", "opened", "begun", "done")


def look(view: View) -> Iterator[Found]:
    yield from _dates(view)
    yield from _ahead(view)
    for row in view.job.work:
        yield from _pieces(view, row)
        yield from _when(view, row)
        yield from _who(view, row)
        yield from _agreed(view, row)
        yield from _covered(view, row)
        yield from _holes(row)
    yield from _firms(view)
    yield from _agreed_not_done(view)
    yield from _plated(view)


def _found(code: str, row: Work, **values: object) -> Found:
    return Found(code, f"work/{row.number}", values, row.parts)


def _dates(view: View) -> Iterator[Found]:
    for first, second in _DATES:
        one, other = getattr(view.job.dates, first), getattr(view.job.dates, second)
        if earlier(other, one):
            values = {"first": first.replace("_", " "), "second": second, "one": one, "other": other}
            yield Found("dates-out-of-order", f"job/dates.{second}", values)
    returned, handed = view.job.dates.returned, view.job.handover.date
    if earlier(returned, handed) or earlier(handed, returned):
        yield Found("returned-twice", "job/handover.date", {"one": returned, "other": handed})
    for agreement in view.job.agreements:
        if earlier(agreement.answered, agreement.asked):
            values = {"first": "asked", "second": "answered", "one": agreement.asked}
            values["other"] = agreement.answered
            yield Found("dates-out-of-order", f"agreements/{agreement.number}", values)


def _ahead(view: View) -> Iterator[Found]:
    """What is said to have been on a day still to come; of the hand-over, one months ahead."""
    latest = next_day(view.today)  # a day begins half a day earlier elsewhere
    if not latest:
        return
    for name in _PAST:
        if earlier(latest, date := getattr(view.job.dates, name)):
            yield Found("dated-ahead", f"job/dates.{name}", {"date": date}, label=date)
    soon = in_days(view.today, _WRITTEN_BEFORE)
    days = {view.job.handover.date: "handover.date"} | {view.job.dates.returned: "dates.returned"}
    for date, place in days.items():
        if earlier(soon, date):
            yield Found("dated-ahead", f"job/{place}", {"date": date}, label=date)
    for row in view.job.work:
        if earlier(latest, row.date):
            yield _found("dated-ahead", row, date=row.date)


def _pieces(view: View, row: Work) -> Iterator[Found]:
    if row.pieces and len(row.parts) > 1:
        yield _found("pieces-of-several", row, pieces=row.pieces)
        return
    for part in filter(None, map(view.part, row.parts)):
        if row.pieces > pieces_of(part):
            yield _found("pieces-too-many", row, pieces=row.pieces, has=pieces_of(part), name=part.part)


def _when(view: View, row: Work) -> Iterator[Found]:
    dates = view.job.dates
    if not row.date:
        yield _found("work-not-dated", row)
    elif earlier(row.date, dates.received) or earlier(dates.returned, row.date):
        here = (("from", dates.received), ("to", dates.returned))
        span = " ".join(f"{word} {day}" for word, day in here if day)
        yield _found("work-outside-dates", row, date=row.date, span=span)


def _who(view: View, row: Work) -> Iterator[Found]:
    if not row.who:
        yield _found("work-not-signed", row)
    elif row.who not in view.workers and row.who not in view.firms:
        yield _found("worker-not-known", row, who=row.who)


def _firms(view: View) -> Iterator[Found]:
    for mark, firm in view.firms.items():
        if firm.name:
            continue
        rows = [row for row in view.job.work if row.who == mark]
        made = [part for part in view.job.parts if part.made_by == mark]
        if rows:
            yield _found("firm-not-named", rows[0])._replace(label=mark)
        elif made:
            yield Found("firm-not-named", f"parts/{made[0].number}", {}, (made[0].number,), mark)


def _agreed(view: View, row: Work) -> Iterator[Found]:
    if row.done in NO_WORK or (view.job.for_whom == "our own stock" and not row.agreed_on):
        return
    agreement = view.agreements.get(row.agreed_on)
    if agreement is None or agreement.answer == "no answer yet":
        yield _found("work-not-agreed", row)
    elif agreement.answer == "refused":
        yield _found("work-on-refused", row, agreement=agreement.number)
    elif earlier(row.date, agreement.answered):
        yield _found("work-before-agreed", row, date=row.date, answered=agreement.answered)


def _agreed_not_done(view: View) -> Iterator[Found]:
    named = {row.agreed_on for row in view.job.work}
    for agreement in view.job.agreements if view.finished else ():
        if agreement.answer == "agreed" and agreement.number not in named:
            yield Found("agreed-not-done", f"agreements/{agreement.number}")


def _plated(view: View) -> Iterator[Found]:
    """Parts that a plater is said to have plated while the object was here, and no row of work."""
    for row in view.job.plating:
        if earlier(row.date, view.job.dates.received):
            continue
        for part in filter(None, map(view.part, row.parts)):
            heads = part.number in view.register.headings
            some = [part, *(view.register.under[part.number] if heads else ())]
            if not any(work.done in _NEW_SURFACE for one in some for work in view.rows(one)):
                yield Found("plated-without-work", f"parts/{part.number}", {}, (part.number,))


def _covered(view: View, row: Work) -> Iterator[Found]:
    if row.covered != "yes":
        return
    for part in filter(None, map(view.part, row.parts)):
        if not view.pictured_covered(part, row):
            yield Found("covered-not-photographed", f"work/{row.number}", {"name": part.part}, (part.number,))


def _holes(row: Work) -> Iterator[Found]:
    """Sewing through the old holes alone makes no new ones (common practice, no source)."""
    if row.stitch_holes != "yes" or row.holes_before is None or row.holes_after is None:
        return
    if row.holes_after > row.holes_before:
        yield _found("more-holes-after", row, before=row.holes_before, after=row.holes_after)
