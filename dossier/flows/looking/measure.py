"""The flow of `dossier photographs --measure`: what is marked in `marks.csv`, measured.

A proposal: the person reads it and takes over what is right; nothing is written over. Invariants: the
photographs are only read, one decoded at a time; what could not be measured is said with its reason. Not done
here: the rows and what is said (`looking.measure_rows`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import msgspec

from dossier.errors import PictureError
from dossier.flows.shell import quoted
from dossier.intake.codes import NOT_SHOWN
from dossier.intake.folder import read_job
from dossier.intake.near import job_error
from dossier.intake.photolist import photos_of
from dossier.model.aids import TargetMade
from dossier.model.finding import Finding
from dossier.model.job import Aid, Job, PhotoFacts
from dossier.model.rows import PhotoRow
from dossier.pictures import decode, derive, measuring, target_find
from dossier.pictures.side_by_side import Progress
from dossier.words import Catalogue

_OF_SIZE = ("length", "area", "pitch")
_OF_COLOUR = ("target", "grey card", "colour")


class Measured(msgspec.Struct, frozen=True, kw_only=True):
    """One photograph. `unsized`, `uncoloured`: why no size or colour was measured, as in `measuring.why`."""

    row: PhotoRow
    facts: PhotoFacts
    sizes: tuple[measuring.Sized, ...] = ()
    unused: tuple[Aid, ...] = ()  # scales beyond those that measured
    contradicting: tuple[
        measuring.Sized, ...
    ] = ()  # those of them that do not fit, as measured by the others
    unmeasured: tuple[Aid, ...] = ()  # lengths, areas and pitches that the scale gives no measure of
    unsized: str = ""
    places: tuple[Aid, ...] = ()  # where a colour is to be measured
    reference: measuring.Reference | None = None
    unused_targets: tuple[Aid, ...] = ()
    colours: tuple[measuring.Colour, ...] = ()
    uncoloured: str = ""
    problem: str = ""  # why it could not be opened


class Difference(msgspec.Struct, frozen=True, kw_only=True):
    """Of the places of one name. `why` with its `fields` where none is given."""

    name: str
    part: str
    before: Measured | None = None  # both given where there is a difference
    after: Measured | None = None
    value: float = 0.0
    plus_minus: float = 0.0
    why: str = ""
    fields: dict[str, str] = msgspec.field(default_factory=dict)


class Taken(msgspec.Struct, frozen=True, kw_only=True):
    """`findings`: what in `marks.csv` could not be read, and photographs that cannot serve."""

    job: Job
    photos: tuple[Measured, ...]
    differences: tuple[Difference, ...]
    findings: tuple[Finding, ...]


def measure(folder: Path, words: Catalogue, progress: Progress | None = None) -> Taken:
    """Measure on every photograph of the job in `folder` that has an aid. Raises JobError without a job."""
    job, findings = read_job(folder)
    if job is None:
        raise job_error(findings)(
            words.say("evidence.flow.no_job", folder=folder),
            hint=words.say("evidence.flow.no_job_hint", folder=quoted(folder)),
        )
    pairs = list(zip(job.photo_rows, job.photo_facts, strict=True))
    marked = [(row, facts, job.photo_aids[row.file]) for row, facts in pairs if row.file in job.photo_aids]
    photos = []
    for number, (row, facts, aids) in enumerate(marked, 1):
        photos.append(_measured(folder, row, facts, aids, _usual_target(job)))
        if progress:
            progress(number, len(marked))
    return Taken(
        job=job,
        photos=tuple(photos),
        differences=tuple(differences(photos)),
        findings=tuple(f for f in findings if _concerns(f)),
    )


def _concerns(finding: Finding) -> bool:
    marks = finding.at.file == "marks.csv" or finding.at.sheet == "marks"
    return marks or finding.code in NOT_SHOWN


def _usual_target(job: Job) -> TargetMade | None:
    """When a target that was found was made: as the workshop says, or all marked ones of the job."""
    made = {aid.made for aids in job.photo_aids.values() for aid in aids if aid.made}
    return job.workshop.colour_target or (made.pop() if len(made) == 1 else None)


def _measured(
    folder: Path, row: PhotoRow, facts: PhotoFacts, aids: Sequence[Aid], usual: TargetMade | None
) -> Measured:
    one = Measured(row=row, facts=facts, places=tuple(aid for aid in aids if aid.kind == "colour"))
    sizes, colours = (any(aid.kind in kinds for aid in aids) for kinds in (_OF_SIZE, _OF_COLOUR))
    if not sizes and not colours:
        return one
    try:
        pixels = _pixels(folder, facts)
    except PictureError as error:  # no size either: nobody can look at what was marked
        return msgspec.structs.replace(one, problem=f"{facts.file}: {error.message}")
    if sizes:
        one = _with_sizes(one, aids)
    return _with_colours(one, pixels, aids, usual) if colours else one


def _with_sizes(one: Measured, aids: Sequence[Aid]) -> Measured:
    try:
        size = (one.facts.width, one.facts.height)
        sizes = measuring.sizes(aids, *size)
        contradicting = measuring.contradicting(aids, *size) if sizes else []
    except ValueError:
        return msgspec.structs.replace(one, unsized="scale_unusable")
    scales = [aid for aid in aids if aid.kind == "scale"]
    if not scales:
        return msgspec.structs.replace(one, unsized="no_scale")
    done = [sized.aid for sized in sizes]
    return msgspec.structs.replace(
        one,
        sizes=tuple(sizes),
        unused=tuple(aid for aid in scales if sizes and aid not in sizes[0].by),
        contradicting=tuple(contradicting),
        unmeasured=tuple(aid for aid in aids if aid.kind in measuring.WAYS and aid not in done),
    )


def _with_colours(
    one: Measured, pixels: decode.Pixels, aids: Sequence[Aid], usual: TargetMade | None
) -> Measured:
    marked = [aid for aid in aids if aid.kind == "target" and aid.made]
    found = [] if marked else target_find.find(pixels)
    by = measuring.reference(pixels, aids, found, usual)
    if isinstance(by, str):
        return msgspec.structs.replace(one, uncoloured=by)
    colours = tuple(measuring.colours(pixels, aids, by))
    return msgspec.structs.replace(one, reference=by, colours=colours, unused_targets=tuple(marked[1:]))


def _pixels(folder: Path, facts: PhotoFacts) -> decode.Pixels:
    try:
        data = derive.read_original(photos_of(folder) / facts.file, facts)
        return decode.decode(data, facts.orientation, measuring.WORKING)
    except OSError as error:
        raise PictureError(error.strerror or type(error).__name__) from error


Place = tuple[Measured, measuring.Colour | None]


def differences(photos: Sequence[Measured]) -> Iterator[Difference]:
    """Of every name of a colour place that stands on any photograph, in the order met."""
    places: dict[tuple[str, str], list[Place]] = {}
    for photo, aid in _named(photos):
        colour = next((one for one in photo.colours if one.aid.number == aid.number), None)
        places.setdefault((aid.note.casefold(), aid.part), []).append((photo, colour))
    names = {(aid.note.casefold(), aid.part): aid.note for _, aid in _named(photos)}
    for key, found in places.items():
        yield _difference(names[key], key[1], found)


def _named(photos: Sequence[Measured]) -> list[tuple[Measured, Aid]]:
    return [(photo, aid) for photo in photos for aid in photo.places]


def _difference(name: str, part: str, found: Sequence[Place]) -> Difference:
    before, after = ([place for place in found if place[0].row.side == side] for side in ("before", "after"))
    none = Difference(name=name, part=part)
    if not before or not after:
        return msgspec.structs.replace(none, why="one_side")
    for side in (before, after):
        if len(side) > 1:
            files = ", ".join(photo.row.file for photo, _ in side)
            return msgspec.structs.replace(none, why="several", fields={"files": files})
    for photo, colour in (before[0], after[0]):
        if why := _no_difference(photo, colour):
            fields = {"file": photo.row.file, "why": photo.problem}
            return msgspec.structs.replace(none, why=why, fields=fields)
    (first, one), (last, other) = before[0], after[0]
    assert one is not None
    assert other is not None  # else `_no_difference` had said why
    value, plus_minus = measuring.difference(one, other)
    return msgspec.structs.replace(none, before=first, after=last, value=value, plus_minus=plus_minus)


def _no_difference(photo: Measured, colour: measuring.Colour | None) -> str:
    """Why a place cannot be compared; "" where it can."""
    if photo.problem:
        return "unreadable"
    if photo.uncoloured or photo.reference is None:
        return photo.uncoloured or "no_reference"
    if why := photo.reference.no_difference:
        return why
    return "unmeasured" if colour is None or colour.error_square is None else ""
