"""Starting a job, also from the PDF that an owner brings back: its record is laid into the new job folder.

What its workshop said of that record later is told, and goes with a record that is laid in. Not done here:
what the new job takes over (`intake.draft_earlier`), whether the record checks (`check` says).
"""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import msgspec

from dossier import ordinary
from dossier.errors import UnreadableError
from dossier.flows import bagged
from dossier.flows.dossier_files import DOSSIER, RECORD
from dossier.flows.output import default_output
from dossier.intake.earlier import MOST_RECORD
from dossier.intake.near import holds_job
from dossier.intake.template import LAID_IN, new_job, workshop_around
from dossier.model.earlier import SaidLater
from dossier.model.job import Workshop
from dossier.words import Catalogue

WORDS = Catalogue()
_START = b"%PDF-"


class Started(msgspec.Struct, frozen=True, kw_only=True):
    """What to tell of a job that follows an earlier record. `language`: the one that was taken over, where
    the workshop writes in another (`own`) by itself.
    """

    later: tuple[SaidLater, ...] = ()
    language: str = ""
    own: str = ""


def start_job(
    folder: Path, *, workbook: bool = False, earlier: Path | None = None, today: dt.date = dt.date.max
) -> Started:
    """Make the job folder. `earlier`: a record, a dossier's folder or its PDF.

    Raises OutputError when the folder has contents or cannot be made, UnreadableError for the earlier record.
    """
    bagged.refuse(folder)
    if earlier is not None:
        earlier = _pdf_alone(bagged.dossier_in(earlier))
        _require(earlier)
    record = _attached_record(earlier) if earlier is not None and _is_pdf(earlier) else None
    language = new_job(folder, workbook=workbook, earlier=earlier, record=record)
    return Started() if earlier is None else _told(folder, earlier, language, record is not None, today)


def _told(folder: Path, earlier: Path, language: str, laid_in: bool, today: dt.date) -> Started:
    from dossier.flows import along  # noqa: PLC0415 - start-up: only for an earlier record
    from dossier.flows.earlier import said_later  # noqa: PLC0415 - see above

    record = folder / LAID_IN if laid_in else earlier
    if laid_in:
        along.carry(earlier, record.parent)
    workshop = workshop_around(folder)
    later = said_later(record, folder, workshop or Workshop(name=""), today)
    if workshop is None or language in ("", workshop.language):
        return Started(later=later)
    return Started(later=later, language=language, own=workshop.language)


def _pdf_alone(earlier: Path) -> Path:
    """Of a folder in which the PDF lies without its record, the PDF, which has the record inside."""
    alone = (earlier / DOSSIER).is_file() and not (earlier / RECORD).exists()
    return earlier / DOSSIER if alone else earlier


def _require(earlier: Path) -> None:
    """Something is there, and no folder without a record: a job's own is told where its dossier lies."""
    if not earlier.exists():
        raise _problem("not_there", earlier, "hint")
    if not earlier.is_dir() or (earlier / RECORD).exists():
        return
    made = default_output(earlier)
    if (made / RECORD).is_file():
        raise _problem("no_record", earlier, "made_hint", made=made)
    raise _problem("no_record", earlier, "uncompiled_hint" if holds_job(earlier) else "hint")


def _problem(what: str, earlier: Path, hint: str, **values: object) -> UnreadableError:
    message, said = (WORDS.say(f"archive.earlier.{key}", file=earlier, **values) for key in (what, hint))
    return UnreadableError(message, hint=said)


def _is_pdf(path: Path) -> bool:
    try:
        return ordinary.read(path, len(_START)) == _START
    except OSError:
        return False


def _attached_record(path: Path) -> bytes:
    from dossier.flows.verifying.chain import sealed_in  # noqa: PLC0415 - start-up: only for a PDF
    from dossier.seal import record as seal  # noqa: PLC0415 - see above

    try:
        sealed = sealed_in(path, anew=True)
    except UnreadableError:
        sealed = None  # a sheet, a card, a draft, or somebody else's PDF
    data = seal.to_json(sealed) if sealed else b""
    if not data or len(data) > MOST_RECORD:
        raise _problem("other_pdf", path, "hint")
    return data
