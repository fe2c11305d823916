"""A job folder to a `Job`: each kind of file read in turn, then joined.

Never raises for what the folder holds: every problem is a finding with its place, all of them in one run.
Reads only; the photographs' pixels are never touched.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import msgspec

from dossier.intake.clear_figures import say_cuts, say_plating
from dossier.intake.desk import Desk
from dossier.intake.earlier import read_earlier
from dossier.intake.entries import Raw, Read, read_all
from dossier.intake.forms import place_of, read_form
from dossier.intake.jobfile import JobFile, read_job_file
from dossier.intake.marklist import Context, Marks, read_marks
from dossier.intake.near import say_no_folder
from dossier.intake.partlist import Register
from dossier.intake.photographs import read_facts, zone_of
from dossier.intake.photolist import PHOTOS_FOLDER, Album, read_photo_rows, with_photographs
from dossier.intake.report import Report
from dossier.intake.rows import (
    Known,
    Where,
    known_person,
    one_part,
    people_of,
    place_all,
    read_measurements,
    read_parts,
    read_work,
    several_parts,
)
from dossier.intake.schema import NOTES
from dossier.intake.under_headings import said_of_parts
from dossier.intake.workshop import read_workshop
from dossier.intake.worth import read_values
from dossier.model.finding import At, Finding
from dossier.model.job import Job, PhotoFacts, Workshop
from dossier.model.rows import (
    Advice,
    Calculation,
    Feature,
    HistoryClaim,
    Mark,
    Note,
    OtherPart,
    Plating,
    Protected,
)

_OF_A_JOB = frozenset({"no-workshop", "photograph-elsewhere", "note-not-read"})
MISSPELT = "misspelt/"  # in `Job.where`: a field or table that was meant
HIDDEN = "hidden/"  # there: a cell that merged ones leave blank


def read_job(folder: Path) -> tuple[Job | None, list[Finding]]:
    """The job in `folder` and everything that is wrong with it.

    None when there is too little for a job: no folder, or no job file that can be read. With errors among the
    findings the job holds what could be read, and must not be compiled.
    """
    report = Report()
    if not folder.is_dir():
        say_no_folder(folder, report)
        return None, report.sorted()
    desk = Desk(folder, report)
    where: Where = {}
    workshop = read_workshop(desk, report, where)
    raw = read_form(desk, report)
    if raw is None:  # no job, so that it does not matter whose it would be, nor what it would not have
        return None, [found for found in report.sorted() if found.code not in _OF_A_JOB]
    job = _joined(desk, raw, workshop, report, where)
    return (job if raw.readable else None), report.sorted()


def _joined(desk: Desk, raw: Raw, workshop: Workshop, report: Report, where: Where) -> Job:
    own = read_job_file(raw, report, where)
    parts, register = read_parts(raw.tables.get("parts", []), report, where)
    known = Known(
        register=register,
        people=people_of(workshop),
        agreements={agreement.number.casefold(): agreement.number for agreement in own.agreements},
    )
    album = Album(_facts(desk, workshop, report), report, zone_of(workshop.time_zone))
    seen = report.whole("parts") and report.all_read("parts")
    if not raw.tables.get("parts") and (raw.readable or raw.tables) and seen:
        report.say("no-parts", place_of("parts", raw))
    values: dict[str, Any] = {"language": workshop.language} | own.top | own.sections
    context = Context(register=register, language=str(values["language"]), target=workshop.colour_target)
    marks = read_marks(raw.tables.get("marks", []), album, context, report, where)
    where.update((f"{MISSPELT}{name}", at) for name, at in report.misspelt.items())
    where.update((f"{HIDDEN}{at}", at) for at in report.hidden)
    records, paths = read_earlier(desk, _earlier_names(own, where), where, report)
    job = Job(
        **{"number": ""} | values | _lists(own, album, known, context.language, workshop, report),
        workshop=workshop,
        parts=parts,
        work=read_work(raw.tables.get("work", []), known, report, where),
        **_photographs(raw, album, marks, known.register, own, report, where),
        measurements=read_measurements(raw.tables.get("measurements", []), known.register, report, where),
        notes=_notes(raw, report, where),
        agreements=own.agreements,
        agreement_details=own.details,
        earlier_records=records,
        earlier_paths=paths,
        inputs=tuple(desk.inputs),
        where=where,
    )
    return msgspec.structs.replace(job, parts=said_of_parts(job.parts, job.work))


def _earlier_names(own: JobFile, where: Where) -> list[tuple[str, At]]:
    """The paths of earlier records, of this object and of others, each with where it is typed."""
    at = where.get("job/earlier_records", At())
    others = [(read.text("record"), read.place("record")) for read in own.lists["other_objects"]]
    return [*((name, at) for name in own.earlier_records), *others]


def _facts(desk: Desk, workshop: Workshop, report: Report) -> list[PhotoFacts]:
    name = desk.find(PHOTOS_FOLDER)
    path = desk.folder / name
    if not name or desk.outside(path, name):
        return []
    # A dossier signed without its photographs, because nobody let us look, would be no record.
    desk.entries(name)
    return read_facts(path, workshop.time_zone)


def _photographs(
    raw: Raw, album: Album, marks: Marks, register: Register, own: JobFile, report: Report, where: Where
) -> dict[str, Any]:
    rows = raw.tables.get("photos", [])
    return {
        "photo_rows": read_photo_rows(rows, album, register, own.sections["dates"], report, where),
        "photo_facts": tuple(album.facts),
        "photo_places": marks.places,
        "photo_aids": marks.aids,
    }


def _lists(
    own: JobFile, album: Album, known: Known, language: str, workshop: Workshop, report: Report
) -> dict[str, tuple[Any, ...]]:
    """The lists of the job's own file, their parts, people and photographs found."""
    lists, register = own.lists, known.register
    with_parts = partial(_with, lambda read: several_parts(read, register, report))
    with_part = partial(_with, lambda read: one_part(read, register, report))
    with_people = partial(_with, lambda read: {"by": known_person(read, "by", known, report)})
    plating = _made(Plating, with_people(with_parts(lists["plating"])))
    say_plating(plating, lists["plating"], language, report)
    calculations = _made(Calculation, with_parts(lists["calculations"]))
    say_cuts(calculations, lists["calculations"], language, report)
    return {
        "know_it_by": _made(Feature, with_photographs(lists["know_it_by"], album)),
        "marks": _made(Mark, with_photographs(lists["inscriptions"], album)),
        "advised": _made(Advice, with_parts(lists["advised"])),
        "history": _made(HistoryClaim, with_parts(lists["history"])),
        "other_parts": _made(OtherPart, with_part(lists["other_objects"])),
        "values": read_values(lists["values"], workshop, report),
        "plating": plating,
        "calculations": calculations,
        "protected": _made(Protected, with_parts(lists["protected"])),
    }


def _with(found: Callable[[Read], dict[str, Any]], reads: list[Read]) -> list[Read]:
    """The rows with what was found of each of them."""
    return [msgspec.structs.replace(read, values=read.values | found(read)) for read in reads]


def _made(kind: Any, reads: list[Read]) -> tuple[Any, ...]:
    return tuple(kind(**read.values) for read in reads)


def _notes(raw: Raw, report: Report, where: Where) -> tuple[Note, ...]:
    reads = [read for read in read_all(NOTES, raw.notes, report) if read.whole]
    place_all("notes", reads, where)
    return _made(Note, reads)
