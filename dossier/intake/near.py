"""Which folder was probably meant where the one that was named holds no job. Looks at names, reads no file.

Bounded: so many names of a folder, and so many folders upward.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import islice
from pathlib import Path

from dossier.errors import DossierError, JobError, UsageError
from dossier.intake.plainform import JOB_FILE
from dossier.intake.report import Long, Report, listed
from dossier.intake.workbook import WORKBOOK_FILE
from dossier.model.finding import At, Finding

MOST_LOOKED_AT = 1_000
MOST_NAMED = 8
NO_FOLDER = frozenset({"no-folder", "file-given"})
_UPWARD = 3  # a photograph lies in photos/ of its job; one more for good measure
_FINISHED = "record.json"


def holds_job(folder: Path) -> bool:
    try:
        return any((folder / name).is_file() for name in (JOB_FILE, WORKBOOK_FILE))
    except OSError:
        return False


def job_around(file: Path) -> Path | None:
    """The nearest folder above a file that holds a job."""
    return next((folder for folder in islice(file.parents, _UPWARD) if holds_job(folder)), None)


def jobs_in(folder: Path) -> list[Path]:
    """The folders in a folder that hold a job, by name."""
    try:
        names = sorted(islice(folder.iterdir(), MOST_LOOKED_AT))
    except OSError:
        return []
    return [path for path in names if holds_job(path)]


def job_error(found: Iterable[Finding]) -> type[DossierError]:
    """What a job that cannot be had is: errors in it; where no folder was named at all, a wrong argument."""
    return UsageError if any(one.code in NO_FOLDER for one in found) else JobError


def say_no_folder(folder: Path, report: Report) -> None:
    """What was named is a file, or is not there: which folder to name instead, where one is near."""
    at = At(file=folder.name)
    if folder.is_file():
        around = job_around(folder)
        report.say("file-given", at, nearest=Long(around) if around else "", file=folder.name)
        return
    beside = {path.name.casefold(): path for path in jobs_in(folder.parent)}
    near = beside.get(report.nearest(folder.name, beside))
    report.say("no-folder", at, nearest=Long(near) if near else "", folder=folder.name)


def say_no_job_file(folder: Path, report: Report) -> None:
    """The folder holds no job; perhaps those in it do, or it is what was made of one."""
    inside = jobs_in(folder)
    one = Long(inside[0]) if len(inside) == 1 else ""
    report.say("no-job-file", At(file=JOB_FILE), nearest=one, before=_besides(folder, inside, report))


def _besides(folder: Path, inside: list[Path], report: Report) -> str:
    if len(inside) > 1:
        return report.words.say("intake.jobs_inside", names=listed(str(one) for one in inside[:MOST_NAMED]))
    return report.words.say("intake.is_finished") if (folder / _FINISHED).is_file() else ""
