"""Which form the job came in: plain files or one workbook, never both; and files that look misnamed."""

from __future__ import annotations

from dossier.intake.desk import Desk
from dossier.intake.entries import Raw
from dossier.intake.near import say_no_job_file
from dossier.intake.ownrules import RULES_FILE
from dossier.intake.plainform import JOB_FILE, read_notes, read_plain
from dossier.intake.report import Report, listed
from dossier.intake.schema import TABLES
from dossier.intake.workbook import WORKBOOK_FILE, read_workbook
from dossier.intake.workshop import WORKSHOP_FILE
from dossier.model.finding import At

_CHECKED = (".csv", ".toml", ".xlsx", ".xls", ".ods", ".numbers", ".xlsm", ".tsv")
_TABLE_FILES = tuple(f"{table}.csv" for table in TABLES)
_PROPOSED = tuple(f"{table}.proposed.csv" for table in TABLES)  # ours, and read under another name alone
_OURS = (JOB_FILE, WORKBOOK_FILE, WORKSHOP_FILE, RULES_FILE, *_TABLE_FILES)
_OPEN_SIGNS = {f"~${WORKBOOK_FILE}": WORKBOOK_FILE} | {f".~lock.{name}#": name for name in _OURS}


def read_form(desk: Desk, report: Report) -> Raw | None:
    """The job as typed; None when there is no job file at all (then it is said)."""
    _say_odd_files(desk, report)
    workbook = desk.find(WORKBOOK_FILE)
    plain = [name for name in (JOB_FILE, *_TABLE_FILES) if desk.find(name)]
    if workbook and plain:
        report.say("two-forms", At(file=workbook), files=listed(plain))
        return None
    if not workbook and JOB_FILE not in plain:
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


def _say_odd_files(desk: Desk, report: Report) -> None:
    for name in desk.names:
        lower = name.casefold()
        if lower in _OPEN_SIGNS:
            report.say("open-elsewhere", At(file=name), file=_OPEN_SIGNS[lower])
        elif (
            lower.endswith(_CHECKED)
            and lower not in (*_OURS, *_PROPOSED)
            and not lower.startswith((".", "~$"))
        ):
            report.say(
                "unknown-file",
                At(file=name),
                nearest=report.nearest(lower, _OURS),
                file=name,
                known=listed(_OURS),
            )
