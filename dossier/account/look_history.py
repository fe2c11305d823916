"""Where the job and earlier records do not say the same, or leave a part out.

Not here: what the account makes of it (`history`). No reading is called wrong: both stand.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from dossier.account.found import Found
from dossier.account.history import Reading
from dossier.account.view import View
from dossier.model.counted import PartSaid
from dossier.model.statements import StatementKind
from dossier.model.words import Now

_LATER: Mapping[StatementKind, str] = {
    "withdrawal": "earlier-withdrawn",
    "supersession": "earlier-superseded",
    "correction": "earlier-corrected",
    "lost or stolen": "earlier-lost",
}
_NOT_AS_MADE = frozenset({"replaced", "added", "part renewed", "new surface", "altered"})


def look(view: View) -> Iterator[Found]:
    story = view.story
    for place, code in story.wrong_others:
        row = view.job.other_parts[place - 1]
        came_as = view.typed[row.part].came_as if row.part in view.typed else ""
        values = {"number": row.number, "record": row.record, "part": row.part, "came_as": came_as}
        yield Found(code, f"other_objects/{place}", values, (row.part,))
    for record in story.of_others:
        place = view.job.earlier_records.index(record) + 1
        values = {"record": record.record, "object": view.job.object.type}
        yield Found("earlier-of-another-object", f"earlier_records/{place}", values, label=record.record)
    yield from _said_later(view)
    yield from _not_counted(view)
    for reading in story.readings:
        yield _reading(reading, view)
    for number, before in story.renamed:
        yield Found("called-otherwise", f"parts/{number}", {"before": before}, (number,))
    for number, name in story.not_here:
        key = f"earlier_records/{len(view.job.earlier_records)}"
        yield Found(
            "earlier-part-not-here", key, {"number": number, "name": name}, (number,), f"{name} ({number})"
        )


def _said_later(view: View) -> Iterator[Found]:
    """What the workshop of an earlier record took back. Why is for this workshop alone: it may be private."""
    places = {row.sha256: place for place, row in enumerate(view.job.earlier_records, 1)}
    for digest, said in view.story.said_later:
        if said.kind in _LATER and digest in places:
            row = view.job.earlier_records[places[digest] - 1]
            name = f"{row.job} ({row.workshop})" if row.workshop else row.job or row.record
            about = f"{said.rows}: " if said.rows else ""
            values = {"date": said.date, "reason": said.reason, "about": about}
            yield Found(_LATER[said.kind], f"earlier_records/{places[digest]}", values, label=name)


def _not_counted(view: View) -> Iterator[Found]:
    """What no paper tells of was done to a part that is called original all the same."""
    papers = [claim for claim in view.job.history if claim.known_from == "paper"]
    on_paper = {(claim.done, number) for claim in papers for number in claim.parts}
    for place, claim in enumerate(view.job.history, 1):
        if claim.done not in _NOT_AS_MADE or claim.known_from == "paper":
            continue
        original = [n for n in claim.parts if n in view.typed and view.typed[n].came_as == "original"]
        parts = tuple(n for n in original if (claim.done, n) not in on_paper)
        if parts:
            values = {"done": claim.done, "known": claim.known_from}
            yield Found("claim-not-counted", f"history/{place}", values, parts, claim.what)


def _reading(reading: Reading, view: View) -> Found:
    part = view.typed[reading.part]
    values = {
        "came_as": part.came_as,
        "before": said_now(reading.before),
        "when": reading.before.date or "no date",
        "who": reading.before.workshop or "nobody named",
    }
    code = "there-again" if reading.back else "read-differently"
    return Found(code, f"parts/{reading.part}", values, (reading.part,))


def said_now(said: PartSaid) -> str:
    """The words in which it was said what there was: "new, like for like", "replaced"."""
    if said.done:
        return said.done
    states: list[Now] = [row.now for row in said.now if row.high]
    return "; ".join(states) or said.came_as
