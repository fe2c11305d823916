"""What a record must say of the object and does not (AIC Commentary 24, EN 16095, Object ID)."""

from __future__ import annotations

import re
from collections.abc import Iterator

from dossier.account import weights
from dossier.account.found import Found
from dossier.account.view import View
from dossier.trade.units import Unclear
from dossier.trade.written import parse

_UNCLEAR = re.compile(r"(?!\d{1,3}([.,' ])\d{3}(\1\d{3})*((?!\1)[.,]\d+)?$)\d+([.,']\d+){2,}")
_BARE = re.compile(r"[\s.,/x×–-]*\d[\d\s.,/x×–-]*")


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
    yield from _without_unit(view)
    yield from _not_marked(view)


def _not_marked(view: View) -> Iterator[Found]:
    """Places by which the object shall be known that are not on their photograph."""
    for row, feature in enumerate(view.job.know_it_by, 1):
        marked = {place.number for place in view.job.photo_places.get(feature.photograph, ())}
        for number in feature.places:
            if number not in marked:
                values = {"what": feature.what, "number": number}
                yield Found("place-not-marked", f"know_it_by/{row}", values, label=feature.what)


def _without_unit(view: View) -> Iterator[Found]:
    """Figures by themselves, of which nobody can say later what they count; and units of none."""
    for place, row in enumerate(view.job.measurements, 1):
        if not row.unit and _BARE.fullmatch(row.value):
            values = {"what": row.what, "typed": row.value}
            yield Found("measure-without-unit", f"measurements/{place}", values, label=row.what)
        if _UNCLEAR.fullmatch(row.value):
            values = {"what": row.what, "typed": row.value}
            yield Found("measure-figure-unclear", f"measurements/{place}", values, label=row.what)
        typed = f"{row.value} {row.unit}".strip()
        read = parse(typed, row.what, view.job.language)
        if isinstance(read, Unclear) and read.why == "comma":
            values = {"what": row.what, "typed": typed}
            yield Found("measure-of-two-readings", f"measurements/{place}", values, label=row.what)
        if row.unit and not any(map(str.isnumeric, row.value)):
            values = {"what": row.what, "typed": typed}
            yield Found("measure-without-figure", f"measurements/{place}", values, label=row.what)
    for part in view.job.parts:
        if _BARE.fullmatch(part.measure):
            values = {"what": part.part, "typed": part.measure}
            yield Found("measure-without-unit", f"parts/{part.number}", values, (part.number,))
        if weights.is_length_alone(part.measure, view.job.language):
            values = {"what": part.part, "typed": part.measure}
            yield Found("length-not-added", f"parts/{part.number}", values, (part.number,))
