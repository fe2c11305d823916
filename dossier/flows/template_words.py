"""What a new job was given as an example and nobody wrote over: signed, it would be said of another object.

Not done here: a job in which nothing was written yet, which is the example; the workshop's name (`signing`).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from dossier.intake.report import shown
from dossier.model.finding import At, Finding
from dossier.model.job import Job
from dossier.words import Catalogue

CODE = "template-words"
# Of each list what its rows are in a job, and the fields that nobody fills all alike by chance: a lining is
# advised and a satchel brushed in honest jobs too, but not for the same reason and on the same day.
_ROWS = {
    "know_it_by": ("know_it_by", ("what", "where")),
    "inscriptions": ("marks", ("text", "where")),
    "agreements": ("agreement_details", ("what",)),
    "advised": ("advised", ("what", "why_not")),
    "history": ("history", ("what", "date")),
    "measurements": ("measurements", ("what", "value", "date")),
    "parts": ("parts", ("told_by",)),
    "work": ("work", ("how", "date")),
}
_NUMBERED = ("agreements", "parts")  # whose rows stand in `Job.where` by their numbers


def look(job: Job, words: Catalogue) -> list[Finding]:
    """A gap for each place where they stand."""
    example = words.table("template.example")
    satchel = example["object"]
    if job.object.type in ("", satchel["type"]) and job.object.description == satchel["description"]:
        return []
    return [
        Finding(
            code=CODE,
            level="gap",
            message=words.say("template.left.message", text=shown(text)),
            hint=words.say("template.left.hint"),
            at=job.where.get(place, At()),
        )
        for place, text in (*_single(job, example), *_in_rows(job, example))
    ]


def _single(job: Job, example: dict[str, Any]) -> Iterator[tuple[str, str]]:
    if job.condition == (invented := example["top"]["condition"]):
        yield "job/condition", invented
    if job.object.description == (invented := example["object"]["description"]):
        yield "job/object.description", invented
    if job.owner and job.owner.name == (invented := example["owner"]["name"]):
        yield "job/owner.name", invented
    for invented in example["looked_at"]["could_not_see"]:
        if invented in job.looked_at.could_not_see:
            yield "job/looked_at.could_not_see", invented


def _in_rows(job: Job, example: dict[str, Any]) -> Iterator[tuple[str, str]]:
    for kind, (member, fields) in _ROWS.items():
        invented = {tuple(row.get(field, "") for field in fields) for row in example[kind]}
        for count, row in enumerate(getattr(job, member), 1):
            said = tuple(str(getattr(row, field)) for field in fields)
            if said[0] and said in invented:
                yield f"{kind}/{row.number if kind in _NUMBERED else count}.{fields[0]}", said[0]
