"""The main flow: a job folder becomes a signed dossier.

Reads the job folder and never writes to it; the whole output is made aside and renamed into place, so a
failed run leaves the earlier output whole. Clock, randomness and passphrase come in from outside.
"""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Literal

import msgspec

from dossier import ask_time, output
from dossier import dossier_files as files
from dossier.account.payload import build
from dossier.ask_time import Fetch
from dossier.check import Looked, check_job
from dossier.compile_keys import open_keys
from dossier.compile_pictures import PHOTOS, Pictures, Progress, derive_pictures
from dossier.compile_time import Clock
from dossier.earlier import workshop_folder
from dossier.errors import JobError, UsageError
from dossier.model.earlier import EarlierOpened
from dossier.model.finding import Finding
from dossier.model.job import Job, Workshop
from dossier.model.picture import Shown
from dossier.model.record import OpenRecord, Unsealed, WorkshopId, laid_name
from dossier.model.words import CopyKind
from dossier.pages.options import Originals, PageOptions, Paper
from dossier.pictures.plan import said
from dossier.seal import code, keys, trial
from dossier.seal import record as seal
from dossier.words import Catalogue

WORDS = Catalogue()
SALT_BYTES = 16


class Options(msgspec.Struct, frozen=True, kw_only=True):
    """What the person asked for besides the job itself."""

    draft: bool = False
    copy: CopyKind = "workshop"
    originals: Originals = "beside"
    paper: Paper | Literal[""] = ""  # "" is as workshop.toml says
    replace: bool = False


class Compiled(msgspec.Struct, frozen=True, kw_only=True):
    """What was made, for the person to see."""

    pdf: Path
    draft: bool
    record: str
    digest: str
    bytes: int
    photographs: int
    trial_key: bool
    findings: tuple[Finding, ...]
    warnings: tuple[str, ...] = ()


def default_output(folder: Path) -> Path:
    """Where a dossier goes when nobody says: beside the job folder."""
    home = folder.resolve()
    return home.parent / f"{home.name}-dossier"


def compile_job(
    folder: Path,
    target: Path | None,
    options: Options,
    *,
    now: dt.datetime,
    random: Callable[[int], bytes],
    passphrase: Callable[[], bytes],
    progress: Progress,
    fetch: Fetch = ask_time.fetch,
) -> Compiled:
    """Compile the job in `folder` into the folder `target` (default: `default_output`).

    Raises JobError when the job has errors, KeyFileError when it cannot be signed, OutputError when the
    output cannot be written; in each case what was there before is untouched.
    """
    target = _checked_target(folder, target or default_output(folder), options)
    looked = check_job(folder, WORDS, today=now.date().isoformat())
    job = _without_errors(folder, looked)
    opened = None
    if not options.draft:
        opened = open_keys(job.workshop, workshop_folder(folder), passphrase, now.date())
    key = opened.key if opened else None
    with ThreadPoolExecutor(1) as aside_of_this:
        deriving = aside_of_this.submit(derive_pictures, folder, job, progress)
        # The pages' libraries take half a second to come in, while the pictures need little of Python.
        from dossier import dossier_write  # noqa: PLC0415 - see above

        job, pictures = deriving.result()
    # A draft is sealed by a key that nobody keeps: it must pass the same check. No record of it is written.
    signers: Sequence[keys.Signer] = (
        opened.signers if opened else [keys.new_key(job.workshop.name or "draft", now=now)]
    )
    unsealed = _build(job, pictures.shown, signers, now, looked.earlier)
    sealed = seal.seal(unsealed, signers, lambda: random(SALT_BYTES))
    sealed = seal.leave_out(sealed, options.copy)
    record = seal.open_record(sealed, options.copy)
    on_pages = _on_pages(record, pictures)
    page_options = _page_options(job.workshop, record, key, options)
    clock = Clock(ask_time.Asking(job.workshop.time_servers, now, random, fetch))
    with output.output_folder(target, replace=options.replace) as aside:
        if opened is None or key is None:
            dossier_write.write_draft(aside, record, on_pages, page_options)
        else:
            signed = dossier_write.Signed(sealed, record, page_options, key, clock, opened.card)
            dossier_write.write_signed(aside, signed, on_pages, folder / PHOTOS)
        size = (aside / _pdf_name(options)).stat().st_size
    return Compiled(
        pdf=target / _pdf_name(options),
        draft=options.draft,
        record=record.payload.record,
        digest=record.digest,
        bytes=size,
        photographs=sum(d.file in pictures.jpegs for d in record.photo_details.values()),
        trial_key=page_options.trial_key,
        findings=looked.findings,
        warnings=(*(opened.notes if opened else ()), *filter(None, [said(job, WORDS)]), *clock.notes),
    )


def _pdf_name(options: Options) -> str:
    return files.DRAFT if options.draft else files.DOSSIER


def _checked_target(folder: Path, target: Path, options: Options) -> Path:
    if target.resolve().is_relative_to(folder.resolve()):
        raise UsageError(
            WORDS.say("output.inside_job", target=target), hint=WORDS.say("output.inside_job_hint")
        )
    output.check_target(target, replace=options.replace)
    return target


def _without_errors(folder: Path, looked: Looked) -> Job:
    errors = [f for f in looked.findings if f.level == "error"]
    if looked.job is None or errors:
        raise JobError(
            WORDS.say("compile.errors", folder=folder, n=len(errors)),
            hint="\n".join(
                [*(_line(f) for f in errors[:20]), WORDS.say("compile.errors_hint", folder=folder)]
            ),
        )
    return looked.job


def _line(finding: Finding) -> str:
    return f"{finding.at}: {finding.message}" if finding.at.file else finding.message


def _on_pages(record: OpenRecord, pictures: Pictures) -> dict[str, bytes]:
    """The pictures of this copy by neutral name; one laid over another under both names (`laid_name`)."""
    details = record.photo_details
    found = {d.name: pictures.jpegs[d.file] for d in details.values() if d.file in pictures.jpegs}
    for d in details.values():
        for laid in d.laid:
            if laid.shown_sha256 and laid.over in details:
                over = details[laid.over].file
                found[laid_name(d.name, laid.over)] = pictures.laid[d.file, over]
    return found


def _build(
    job: Job,
    shown: Sequence[Shown],
    signers: Sequence[keys.Signer],
    now: dt.datetime,
    earlier: Sequence[EarlierOpened],
) -> Unsealed:
    workshop = keys.workshop_id(job.workshop, signers)
    return build(
        job,
        Catalogue(job.language),
        workshop=workshop,
        pictures=shown,
        iat=int(now.timestamp()),
        record_id=_record_id(job, workshop),
        earlier=earlier,
    )


def _record_id(job: Job, workshop: WorkshopId) -> str:
    """One record number for one job of one key, however often it is made (RFC 9562 section 5.5)."""
    kid = workshop.keys[0]["kid"]
    return uuid.uuid5(uuid.NAMESPACE_OID, f"restoration-record:{kid}:{job.number}").urn


def _page_options(
    workshop: Workshop, record: OpenRecord, key: keys.Signer | None, options: Options
) -> PageOptions:
    payload = record.payload
    page = payload.workshop.verification_page
    return PageOptions(
        paper=options.paper or ("Letter" if workshop.paper == "Letter" else "A4"),
        language=payload.language,
        draft=key is None,
        code_text=code.make(payload, record.digest, key, page) if key and key.alg == "ES256" else "",
        fingerprint=keys.fingerprint_words(key.kid) if key else "",
        created=dt.datetime.fromtimestamp(payload.iat, dt.UTC),
        originals=options.originals,
        trial_key=key is not None and trial.is_trial(key.kid),
    )
