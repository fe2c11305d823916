"""The flow of the papers besides the dossier: job slip, labels, receipts, estimate.

Each is drawn from the job as it stands, unsealed, and written aside and renamed. Reads the job folder and
never writes to it; replaces a file only when asked. The clock comes in from outside.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Literal

import msgspec

from dossier import durable
from dossier.account import loose
from dossier.account import slip as slip_code
from dossier.account.payload import build
from dossier.account.stage import stage_of
from dossier.errors import DossierError, OutputError, UsageError
from dossier.flows import as_sheets, bagged, check, follow_ons
from dossier.flows.check import Looked
from dossier.flows.output import lies_in
from dossier.flows.shell import quoted
from dossier.intake.near import job_error
from dossier.model.finding import Finding
from dossier.model.job import Job
from dossier.model.record import OpenRecord
from dossier.model.words import Stage
from dossier.pages.options import PageOptions, Paper
from dossier.seal import keys
from dossier.words import Catalogue

WORDS = Catalogue()
Kind = Literal["slip", "labels", "receipt", "estimate", "handover"]
_MOST_NUMBERS = 60
_MOST_ERRORS = 20
Draw = Callable[[OpenRecord, PageOptions], bytes]


class Asked(msgspec.Struct, frozen=True, kw_only=True):
    """What every paper is asked with. `target`: None is beside the job folder."""

    folder: Path
    target: Path | None = None
    paper: Paper | Literal[""] = ""  # "" is as workshop.toml says
    replace: bool = False
    now: dt.datetime


def make_slips(asked: Asked, stages: Sequence[Stage] = ()) -> Path:
    """A slip for each of `stages`; none named is the stage the job has come to. Gives the file.

    Of a job with errors too, where they leave its number, and the stage that nobody has named.
    """
    target = _target(asked, "slip")
    looked = check.check_job(asked.folder, check.WORDS)
    job = _readable(asked, looked)
    if not job.number or (not stages and follow_ons.stage_doubtful(looked.findings, job.where)):
        job = _without_errors(asked, looked)

    def drawn(record: OpenRecord, options: PageOptions) -> bytes:
        from dossier.pages.slip import OneSlip, draw_slips  # noqa: PLC0415 - start-up: half a second

        slips = [
            OneSlip(stage, slip_code.slip_text(job.number, stage, WORDS))
            for stage in dict.fromkeys(stages or (stage_of(job),))
        ]
        return draw_slips(record, slips, options)

    return _made(asked, target, job, looked, drawn)


def make_labels(asked: Asked, parts: Sequence[str] = (), *, every: bool = False) -> Path:
    """Labels for what lies apart; for the `parts` named; or for `every` part. Gives the file."""
    target = _target(asked, "labels")
    looked = check.check_job(asked.folder, check.WORDS)
    job = _without_errors(asked, looked)
    bags = _bags(job, parts, every=every)

    def drawn(record: OpenRecord, options: PageOptions) -> bytes:
        from dossier.pages.labels import OneLabel, draw_labels  # noqa: PLC0415 - start-up: half a second

        labels = [OneLabel(bag.part, bag.pieces, bag.loose_as, bag.date) for bag in bags]
        return draw_labels(record, labels, options)

    return _made(asked, target, job, looked, drawn)


def make_receipt(asked: Asked, *, handover: bool = False) -> Path:
    """The receipt for what came in, or for what was handed over. Gives the file."""
    target = _target(asked, "handover" if handover else "receipt")
    looked = check.check_job(asked.folder, check.WORDS)
    job = _without_errors(asked, looked)
    if handover and not (job.handover.date or job.dates.returned or job.handover.with_it):
        hint = as_sheets.text_of(job, WORDS.say("papers.flow.no_handover_hint"), WORDS)
        raise UsageError(WORDS.say("papers.flow.no_handover"), hint=hint)

    def drawn(record: OpenRecord, options: PageOptions) -> bytes:
        from dossier.pages import receipt  # noqa: PLC0415 - start-up: half a second

        if handover:
            return receipt.draw_handover(record, options)
        return receipt.draw_receipt(record, options, job.taken_in)

    return _made(asked, target, job, looked, drawn)


def make_estimate(asked: Asked) -> Path:
    """What was put to the owner, at what price, and what they answered. Gives the file."""
    target = _target(asked, "estimate")
    looked = check.check_job(asked.folder, check.WORDS)
    job = _without_errors(asked, looked)

    def drawn(record: OpenRecord, options: PageOptions) -> bytes:
        from dossier.pages.estimate import draw_estimate  # noqa: PLC0415 - start-up: half a second

        return draw_estimate(record, options)

    return _made(asked, target, job, looked, drawn)


def _bags(job: Job, numbers: Sequence[str], *, every: bool) -> tuple[loose.Loose, ...]:
    known = [part.number for part in job.parts]
    if unknown := [number for number in dict.fromkeys(numbers) if number not in known]:
        some = ", ".join(known[:_MOST_NUMBERS]) + (" ..." if len(known) > _MOST_NUMBERS else "")
        hint = as_sheets.text_of(job, WORDS.say("papers.flow.unknown_parts_hint"), WORDS)
        raise UsageError(
            WORDS.say("papers.flow.unknown_parts", parts=", ".join(unknown)), hint=f"{hint}: {some}"
        )
    lost = Catalogue(job.language).table("papers.labels")["lost"]
    bags = (
        loose.all_of(job.parts, job.work, () if every else numbers, lost)
        if every or numbers
        else loose.loose_of(job.parts, job.work, lost)
    )
    if not bags:
        raise UsageError(WORDS.say("papers.flow.no_labels"), hint=WORDS.say("papers.flow.no_labels_hint"))
    return bags


def _readable(asked: Asked, looked: Looked) -> Job:
    if looked.job is None:
        raise _job_error(asked, "no_job", looked)
    return looked.job


def _without_errors(asked: Asked, looked: Looked) -> Job:
    """A slip can be made of a job with errors; a paper that says what is in the job cannot."""
    job = _readable(asked, looked)
    if any(finding.level == "error" for finding in looked.findings):
        raise _job_error(asked, "errors", looked)
    return job


def _job_error(asked: Asked, key: str, looked: Looked) -> DossierError:
    errors = [finding for finding in looked.findings if finding.level == "error"]
    lines = [line for error in errors[:_MOST_ERRORS] for line in _lines(error)]
    return job_error(errors)(
        WORDS.say(f"papers.flow.{key}", folder=asked.folder, n=len(errors)),
        hint="\n".join([*lines, WORDS.say("papers.flow.errors_hint", folder=quoted(asked.folder))]),
    )


def _lines(error: Finding) -> list[str]:
    """Where and what, and what to write instead."""
    said = f"{error.at}: {error.message}" if error.at.file else error.message
    return [said, f"    {error.hint}"] if error.hint else [said]


def _made(asked: Asked, target: Path, job: Job, looked: Looked, draw: Draw) -> Path:
    record = _unsealed(job, looked, asked.now)
    paper: Paper = "Letter" if (asked.paper or job.workshop.paper) == "Letter" else "A4"
    options = PageOptions(paper=paper, language=record.payload.language, created=asked.now, originals="none")
    _write(target, draw(record, options), replace=asked.replace)
    return target


def _unsealed(job: Job, looked: Looked, now: dt.datetime) -> OpenRecord:
    """The job as a record that nobody has signed: no number, no photographs, all that is private."""
    unsealed = build(
        job,
        Catalogue(job.language),
        workshop=keys.workshop_id(job.workshop, []),
        pictures=(),
        iat=int(now.timestamp()),
        record_id="",
        earlier=looked.earlier,
    )
    digest = hashlib.sha256(msgspec.json.encode(unsealed)).hexdigest()
    return OpenRecord(payload=unsealed.payload, digest=digest, apart=unsealed.apart, copy="workshop")


# Files


def _target(asked: Asked, kind: Kind) -> Path:
    """Where the paper goes, refused early where it could not be written at the end."""
    home = asked.folder.resolve()
    target = asked.target or home.parent / f"{home.name}-{kind}.pdf"
    if lies_in(target, home):
        raise UsageError(
            WORDS.say("papers.flow.inside_job", target=target), hint=WORDS.say("papers.flow.inside_job_hint")
        )
    _check_target(target, replace=asked.replace)
    if target.suffix.casefold() != ".pdf":
        raise UsageError(
            WORDS.say("papers.flow.not_a_pdf", target=target), hint=WORDS.say("papers.flow.not_a_file_hint")
        )
    return target


def _check_target(target: Path, *, replace: bool) -> None:
    bagged.refuse(target)
    if target.is_symlink() or (target.exists() and not target.is_file()):
        raise OutputError(
            WORDS.say("papers.flow.not_a_file", target=target), hint=WORDS.say("papers.flow.not_a_file_hint")
        )
    if target.exists() and not replace:
        raise OutputError(
            WORDS.say("papers.flow.exists", target=target), hint=WORDS.say("papers.flow.exists_hint")
        )


def _write(target: Path, content: bytes, *, replace: bool) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        durable.put(target, content, replace=replace)
    except OSError as error:
        raise OutputError(
            WORDS.say("papers.flow.failed", target=target, why=error.strerror or error),
            hint=WORDS.say("papers.flow.failed_hint"),
        ) from error
