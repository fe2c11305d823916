"""What changed between the photographs of each pair, drawn for the restorer's own look (`pictures.changed`).

One JPEG a pair into a folder outside the job folder, which is only read; nothing is written over. No dossier
shows these: light is easily taken for work.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import msgspec

from dossier.errors import OutputError, PictureError, UsageError
from dossier.flows import bagged
from dossier.flows.looking.writing import write_new
from dossier.flows.output import lies_in
from dossier.flows.shell import quoted
from dossier.intake.codes import NOT_SHOWN
from dossier.intake.folder import read_job
from dossier.intake.near import job_error
from dossier.intake.photolist import photos_of
from dossier.model.finding import Finding
from dossier.model.job import Job, PhotoFacts
from dossier.pictures import align, changed, decode, derive
from dossier.pictures.plan import laid_over
from dossier.pictures.side_by_side import Progress
from dossier.words import Catalogue

_QUALITY = 88


class Drawn(msgspec.Struct, frozen=True, kw_only=True):
    """One pair: the picture that was written, or why there is none."""

    before: str
    after: str
    file: Path | None = None
    why: str = ""


def draw_changes(
    folder: Path, target: Path, words: Catalogue, progress: Progress | None = None
) -> tuple[list[Drawn], list[Finding]]:
    """Of each pair of the job in `folder`, into `target`; and which photographs are no part of it, and why.

    Raises JobError, UsageError, OutputError.
    """
    if lies_in(target, folder):
        raise UsageError(words.say("evidence.flow.inside"), hint=words.say("evidence.flow.inside_hint"))
    job, findings = read_job(folder)
    if job is None:
        raise job_error(findings)(
            words.say("evidence.flow.no_job", folder=folder),
            hint=words.say("evidence.flow.no_job_hint", folder=quoted(folder)),
        )
    _make(target, words)
    pairs = laid_over(job)
    drawn = []
    for number, one in enumerate(_drawn(folder, job, pairs, target, words), 1):
        drawn.append(one)
        if progress:
            progress(number, len(pairs))
    return drawn, [one for one in findings if one.code in NOT_SHOWN]


def _make(target: Path, words: Catalogue) -> None:
    bagged.refuse(target)
    try:
        target.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        why = error.strerror or type(error).__name__
        raise OutputError(words.say("evidence.flow.not_written", file=target, why=why)) from error


def _drawn(folder: Path, job: Job, pairs: dict[str, str], target: Path, words: Catalogue) -> Iterator[Drawn]:
    facts = {one.file: one for one in job.photo_facts}
    names = {row.file: row.pair for row in job.photo_rows}
    for place, (after, before) in enumerate(pairs.items(), 1):
        try:
            shown = changed.view(*(_pixels(folder, facts[file]) for file in (before, after)))
        except PictureError as error:
            yield Drawn(before=before, after=after, why=error.message)
            continue
        if isinstance(shown, align.NotAligned):
            why = words.say(f"evidence.align.{shown.reason}", **shown.figures)
            yield Drawn(before=before, after=after, why=why)
            continue
        file = target / f"changed-{place:03d}-{_safe(names[after])}.jpg"
        write_new(file, derive.encode(shown, _QUALITY), words)
        yield Drawn(before=before, after=after, file=file)


def _pixels(folder: Path, facts: PhotoFacts) -> decode.Pixels:
    try:
        data = derive.read_original(photos_of(folder) / facts.file, facts)
        return decode.decode(data, facts.orientation, changed.SIZE)
    except OSError as error:
        raise PictureError(f"{facts.file}: {error.strerror}") from error


def _safe(name: str) -> str:
    """A pair's name as part of a file's name."""
    return "".join(c if c.isalnum() else "-" for c in name)[:40]
