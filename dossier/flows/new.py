"""Starting a job, also from the PDF that an owner brings back: its record is laid into the new job folder.

Not done here: what the new job takes over (`intake.draft_earlier`), whether the record checks (`check` says).
"""

from __future__ import annotations

from pathlib import Path

from dossier.errors import UnreadableError
from dossier.intake.earlier import MOST_RECORD
from dossier.intake.template import new_job
from dossier.words import Catalogue

RECORD = "record.json"
_START = b"%PDF-"


def start_job(folder: Path, *, workbook: bool = False, earlier: Path | None = None) -> None:
    """Make the job folder. `earlier`: a record, a dossier's folder or its PDF.

    Raises OutputError when the folder has contents or cannot be made, UnreadableError for the earlier record.
    """
    record = _attached_record(earlier) if earlier is not None and _is_pdf(earlier) else None
    new_job(folder, workbook=workbook, earlier=earlier, record=record)


def _is_pdf(path: Path) -> bool:
    try:
        if not path.is_file():
            return False
        with path.open("rb") as file:
            return file.read(len(_START)) == _START
    except OSError:
        return False


def _attached_record(path: Path) -> bytes:
    from dossier.container.read import read_dossier  # noqa: PLC0415 - start-up: only for a PDF

    found = read_dossier(path).attachment(RECORD)
    if found is None or found.length > MOST_RECORD:
        words = Catalogue()
        hint = words.say("intake.finding.earlier-record-unreadable.hint")
        raise UnreadableError(
            words.say("intake.finding.earlier-record-unreadable.message", file=path), hint=hint
        )
    with path.open("rb") as file:
        file.seek(found.offset)
        return file.read(found.length)
