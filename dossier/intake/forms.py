"""Which form the job came in: plain files or one workbook, never both."""

from __future__ import annotations

from dossier.intake.desk import Desk
from dossier.intake.entries import Raw
from dossier.intake.near import say_no_job_file
from dossier.intake.odd_files import say_odd_files
from dossier.intake.plainform import JOB_FILE, read_notes, read_plain
from dossier.intake.report import Report, listed
from dossier.intake.schema import TABLES
from dossier.intake.workbook import WORKBOOK_FILE, read_workbook
from dossier.model.finding import At

_TABLE_FILES = tuple(f"{table}.csv" for table in TABLES)


def read_form(desk: Desk, report: Report) -> Raw | None:
    """The job as typed; None when there is no job file at all (then it is said)."""
    say_odd_files(desk, report)
    workbook = desk.find(WORKBOOK_FILE)
    plain = [name for name in (JOB_FILE, *_TABLE_FILES) if desk.find(name)]
    if workbook and plain:
        report.say("two-forms", At(file=workbook), files=listed(plain))
        return None
    if not workbook and JOB_FILE not in plain:
        if report.misspelt.keys().isdisjoint({JOB_FILE, WORKBOOK_FILE}):  # else it is there, misnamed
            say_no_job_file(desk.folder, report)
        if not plain:
            return None
    raw = read_workbook(desk, workbook, report) if workbook else read_plain(desk, report)
    raw.notes = [*raw.notes, *read_notes(desk, report)]
    return raw


def place_of(table: str, raw: Raw) -> At:
    """Where the table `table` stands, or should: a file of its own, or a sheet of the workbook."""
    file = raw.top.at.file
    return At(file=file, sheet=table) if file.casefold() == WORKBOOK_FILE else At(file=f"{table}.csv")
