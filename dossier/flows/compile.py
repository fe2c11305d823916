"""The main flow: a job folder becomes a signed dossier.

Reads the job folder and never writes to it; the whole output is made aside and renamed into place, so a
failed run leaves the earlier output whole. Clock, randomness and passphrase come in from outside.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from dossier.errors import UsageError
from dossier.flows import dossier_files as files
from dossier.flows import output
from dossier.flows.compiling.meanwhile import Meanwhile, begun
from dossier.flows.compiling.options import Options, check_originals
from dossier.flows.shell import quoted
from dossier.intake.folder import read_job
from dossier.intake.near import job_error
from dossier.intake.photolist import photos_of
from dossier.intake.workshop import workshop_folder
from dossier.model.finding import Finding
from dossier.model.job import Job
from dossier.pictures.plan import said
from dossier.pictures.side_by_side import Progress
from dossier.words import Catalogue

if TYPE_CHECKING:
    from dossier.flows.check import Looked
    from dossier.flows.compiling.finishing import Fetch

WORDS = Catalogue()
MOST_BYTES = 15_000_000  # of a PDF that is to go by e-mail
_NAMED = 3  # photographs in a message
# What is signed cannot be taken back, and it would say again what another workshop took back.
_TAKEN_BACK = frozenset({"earlier-withdrawn", "earlier-superseded", "earlier-corrected", "earlier-lost"})


class Compiled(msgspec.Struct, frozen=True, kw_only=True):
    """What was made, for the person to see."""

    pdf: Path
    others: tuple[Path, ...]  # of the copies made besides
    draft: bool
    record: str
    digest: str
    bytes: int
    photographs: int
    trial_key: bool
    findings: tuple[Finding, ...]
    warnings: tuple[str, ...] = ()


def compile_job(
    folder: Path,
    target: Path | None,
    options: Options,
    *,
    now: dt.datetime,
    random: Callable[[int], bytes],
    passphrase: Callable[[], bytes],
    progress: Progress,
    fetch: Fetch | None = None,
    photographs: Meanwhile | None = None,
) -> Compiled:
    """Compile the job in `folder` into the folder `target` (default: `output.default_output`).

    `photographs`: where whoever calls has begun it, so that it comes in while this does.

    Raises JobError when the job has errors, KeyFileError when it cannot be signed, OutputError when the
    output cannot be written; in each case what was there before is untouched.
    """
    target = target or output.default_output(folder)
    for one in _targets(target, options):
        _check_target(folder, one, options)
    with nullcontext(photographs) if photographs else begun() as coming:
        read, found = read_job(folder)
        if hopeful := _hopeful(read, found):
            coming.begin(photos_of(folder), hopeful)
        # What judges, seals and draws takes most of a second to come in: the pictures do not wait for it.
        from dossier.flows import check  # noqa: PLC0415 - see above
        from dossier.flows.compiling import keys  # noqa: PLC0415 - see above

        day, to_sign = now.date().isoformat(), not options.draft
        looked = check.judge(folder, read, found, check.WORDS, today=day, to_sign=to_sign)
        job, home = _without_errors(folder, looked), workshop_folder(folder)
        for one_copy in options.each():
            check_originals(one_copy, job, folder, WORDS)
        opened = None if options.draft else keys.open_keys(job.workshop, home, passphrase, now.date())
        from dossier.flows.compiling import finishing  # noqa: PLC0415 - see above

        told = finishing.make_ready(job, looked.earlier, now)
        job, pictures = coming.added_to(job, progress)
    whole = finishing.Whole(job=job, pictures=pictures, told=told, opened=opened)
    sealings = finishing.seal_job(whole, options, now, random)
    clock = finishing.clock_of(job.workshop, now, random, fetch)
    targets = _targets(target, options)
    with output.output_folders(targets, replace=options.replace) as asides:
        for aside, sealing in zip(asides, sealings, strict=True):
            finishing.write_files(aside, folder, whole, sealing, clock)
    pdfs = [at / _pdf_name(options) for at in targets]
    sizes = [pdf.stat().st_size for pdf in pdfs]
    sealing = sealings[0]
    return Compiled(
        pdf=pdfs[0],
        others=tuple(pdfs[1:]),
        draft=options.draft,
        record=sealing.record.payload.record,
        digest=sealing.record.digest,
        bytes=sizes[0],
        photographs=sum(d.file in pictures.jpegs for d in sealing.record.photo_details.values()),
        trial_key=sealing.pages.trial_key,
        findings=looked.findings,
        warnings=(
            *(f.message for f in looked.findings if f.code in _TAKEN_BACK),
            *(opened.notes if opened else ()),
            *filter(
                None,
                [
                    _without_picture(job),
                    said(pictures.rung, len(job.photo_rows), WORDS),
                    _too_large(max(sizes), options),
                    _by_itself(options),
                ],
            ),
            *clock.notes,
        ),
    )


def _without_picture(job: Job) -> str:
    """Which photographs could not be decoded, as a look at the headers alone does not tell."""
    names = [facts.file for facts in job.photo_facts if facts.problem]
    if not names:
        return ""
    named = ", ".join([*names[:_NAMED], *["..."][: len(names) - _NAMED]])
    return WORDS.say("compile.without_picture", n=len(names), files=named)


def _by_itself(options: Options) -> str:
    """That a copy for somebody else was signed apart: what is said of the workshop's own misses it."""
    alone = not options.draft and "workshop" not in (options.copy, *options.others)
    return WORDS.say("compile.by_itself") if alone else ""


def _too_large(size: int, options: Options) -> str:
    """What the promise of a file for e-mail has come to; "" where it is kept, or was not asked for."""
    if size <= MOST_BYTES or options.where == "inside":
        return ""
    tenths = -(-size // 100_000)  # never as many as are allowed
    return WORDS.say("compile.too_large", size=f"{tenths / 10:.1f}", most=f"{MOST_BYTES / 1e6:.0f}")


def _pdf_name(options: Options) -> str:
    return files.DRAFT if options.draft else files.DOSSIER


def _targets(target: Path, options: Options) -> list[Path]:
    """The folder of each copy: the one that was named, and beside it one named after each other copy."""
    home = target.resolve() if target.name in ("", "..") else target  # no name of its own: ".", "a/.."
    copies = list(options.each())[1:]
    return [target, *(home.with_name(f"{home.name}-{one.copy}") for one in copies)]


def _check_target(folder: Path, target: Path, options: Options) -> None:
    if output.lies_in(target, folder):
        raise UsageError(
            WORDS.say("output.inside_job", target=target), hint=WORDS.say("output.inside_job_hint")
        )
    output.check_target(target, replace=options.replace)


def _hopeful(job: Job | None, found: Sequence[Finding]) -> Job | None:
    """A job that may come to something; no photograph is worked on for any other."""
    return None if any(f.level == "error" for f in found) else job


def _without_errors(folder: Path, looked: Looked) -> Job:
    errors = [f for f in looked.findings if f.level == "error"]
    if looked.job is None or errors:
        lines = [*(_line(f) for f in errors[:20]), *_where_all_is_said(folder, looked)]
        said = WORDS.say("compile.errors", folder=folder, n=len(errors))
        raise job_error(errors)(said, hint="\n".join(lines))
    return looked.job


def _where_all_is_said(folder: Path, looked: Looked) -> list[str]:
    """How to see the rest; where there is no job at all, what to name instead."""
    if looked.job is None and len(looked.findings) == 1:
        return [looked.findings[0].hint]
    return [WORDS.say("compile.errors_hint", folder=quoted(folder))]


def _line(finding: Finding) -> str:
    return f"{finding.at}: {finding.message}" if finding.at.file else finding.message
