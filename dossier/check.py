"""The flow of `dossier check`: read a job and judge it. Reads only."""

from __future__ import annotations

from pathlib import Path

import msgspec

from dossier.account import findings as account_findings
from dossier.account import stages
from dossier.intake.folder import read_job
from dossier.model.finding import Finding
from dossier.model.job import Job
from dossier.model.words import Stage
from dossier.words import Catalogue


class Looked(msgspec.Struct, frozen=True, kw_only=True):
    """A job as read, its stage, and everything found in it."""

    job: Job | None
    stage: Stage | None
    findings: tuple[Finding, ...]


def check_job(folder: Path, words: Catalogue) -> Looked:
    """Read `folder` and report every problem in one run; bad content is a finding, never an error raised."""
    job, found = read_job(folder)
    if job is None:
        return Looked(job=None, stage=None, findings=tuple(found))
    found = [*found, *account_findings.assess(job, words), *stages.to_record_now(job)]
    return Looked(job=job, stage=stages.stage_of(job), findings=tuple(found))
