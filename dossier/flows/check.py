"""The flow of `dossier check`: read a job and judge it. Reads only."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import msgspec

from dossier.account import findings as account_findings
from dossier.account.stage import stage_of
from dossier.account.to_record import to_record_now
from dossier.flows import as_sheets, characters, follow_ons, signing, template_words
from dossier.intake.folder import read_job
from dossier.model.earlier import EarlierOpened
from dossier.model.finding import Finding
from dossier.model.job import Job
from dossier.model.words import Stage
from dossier.words import Catalogue

WORDS = Catalogue("en")  # findings are said in English; what of them a record tells, in its own language


class Looked(msgspec.Struct, frozen=True, kw_only=True):
    """A job as read, its stage, everything found in it, and its earlier records that check."""

    job: Job | None
    stage: Stage | None
    findings: tuple[Finding, ...]
    earlier: tuple[EarlierOpened, ...] = ()


def check_job(folder: Path, words: Catalogue, *, today: str = "", to_sign: bool = False) -> Looked:
    """Read `folder` and report every problem in one run; bad content is a finding, never an error raised.

    `today` (ISO 8601): what is past its date is found only where it is given. `to_sign`: also what only a
    signed dossier needs room for.
    """
    job, found = read_job(folder)
    return judge(folder, job, found, words, today=today, to_sign=to_sign)


def judge(
    folder: Path,
    job: Job | None,
    found: Sequence[Finding],
    words: Catalogue,
    *,
    today: str = "",
    to_sign: bool = False,
) -> Looked:
    """The same of a job that was read; `found` is what was found in reading it."""
    if job is None:
        return Looked(job=None, stage=None, findings=tuple(found))
    job, earlier, wrong = _earlier(folder, job, words, today)
    found = [*found, *characters.look(folder, job, words), *template_words.look(job, words)]
    keys = follow_ons.without(signing.look(folder, job, words), found, job.where)
    found = [*found, *keys]
    if to_sign and not any(one.level == "error" for one in found):
        found += signing.look_at_code(job, words, earlier)
    judged = account_findings.assess(job, words, earlier, today=today)
    judged = as_sheets.said_of(job, [*judged, *to_record_now(job)], words)
    found = [*found, *wrong, *follow_ons.without(judged, found, job.where)]
    return Looked(job=job, stage=stage_of(job), findings=tuple(found), earlier=earlier)


def _earlier(
    folder: Path, job: Job, words: Catalogue, today: str
) -> tuple[Job, tuple[EarlierOpened, ...], tuple[Finding, ...]]:
    if not job.earlier_paths:
        return job, (), ()
    from dossier.flows.earlier import open_earlier  # noqa: PLC0415 - start-up: signatures, only where there are records

    opened = open_earlier(folder, job, words, today=today)
    return opened.job, opened.earlier, opened.findings
