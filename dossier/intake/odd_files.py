"""Files of a job folder that nothing reads, where somebody may think that it does: misnamed, or misplaced.

Looks at names, and at the headings of a table whose name says nothing. Said as errors: what can only be meant
for us under another name. To know: tables of one's own, pictures outside the folder of photographs, and notes
of another kind, which may lie there on purpose.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain, islice
from pathlib import PurePosixPath

from dossier.intake.cloud import in_cloud
from dossier.intake.desk import Desk
from dossier.intake.foreign import table_meant
from dossier.intake.ownrules import RULES_FILE
from dossier.intake.photolist import PHOTOS_FOLDER
from dossier.intake.plainform import JOB_FILE, NOTES_FOLDERS
from dossier.intake.report import Long, Report, listed
from dossier.intake.schema import TABLES
from dossier.intake.workbook import WORKBOOK_FILE
from dossier.intake.workshop import WORKSHOP_FILE
from dossier.model.finding import At

_BOOKS = (".xls", ".ods", ".numbers", ".xlsm")  # what a spreadsheet program saves besides
_CHECKED = (".csv", ".toml", ".xlsx", ".tsv", *_BOOKS)
_TEXTS = (".txt", ".rtf", ".doc", ".docx", ".odt", ".pages")  # what an editor of texts makes of a name
_PICTURES = (".jpg", ".jpeg", ".heic", ".heif", ".tif", ".tiff", ".png", ".dng")
_TABLE_FILES = tuple(f"{table}.csv" for table in TABLES)
_PROPOSED = tuple(f"{table}.proposed.csv" for table in TABLES)  # ours, and read under another name alone
_FORM = (JOB_FILE, *_TABLE_FILES)  # a job that is no workbook
OURS = (JOB_FILE, WORKBOOK_FILE, WORKSHOP_FILE, RULES_FILE, *_TABLE_FILES)
_MOST = 500  # names looked at in a folder, and said of one job
_OPEN_SIGNS = {f"~${WORKBOOK_FILE}": WORKBOOK_FILE} | {f".~lock.{name}#": name for name in OURS}


def say_odd_files(desk: Desk, report: Report) -> None:
    there = {name.casefold() for name in desk.names}
    for name in desk.names:
        lower = name.casefold()
        if lower in _OPEN_SIGNS:
            report.say("open-elsewhere", At(file=name), file=_OPEN_SIGNS[lower])
        elif (away := in_cloud(lower)) in OURS and away not in there:
            report.say("in-cloud", At(file=name), file=away)
        elif meant := _meant(lower, there):
            if meant in there:
                report.say("file-beside", At(file=name), file=name, read=meant)
            else:
                _say_unknown(name, meant, report)
        elif _is_ours_by_kind(lower):
            _say_of_our_kind(desk, name, there, report)
    for name in islice(chain(_pictures_elsewhere(desk), _other_notes(desk)), _MOST):
        code = "photograph-elsewhere" if name.casefold().endswith(_PICTURES) else "note-not-read"
        report.say(code, At(file=name), file=name)


def _say_of_our_kind(desk: Desk, name: str, there: set[str], report: Report) -> None:
    """An error where it is probably one of ours, or nothing of ours is there; a gap where one like it is
    read; else it may be one's own.
    """
    lower = name.casefold()
    nearest = _alike(lower) or report.nearest(lower, OURS)
    if not nearest and (table := table_meant(desk, name)):
        read = WORKBOOK_FILE if WORKBOOK_FILE in there else f"{table}.csv"
        if read in there:
            report.say("file-beside", At(file=name), file=name, read=read)
            return
        nearest = read
    if nearest or lower.endswith(".toml") or there.isdisjoint({JOB_FILE, WORKBOOK_FILE}):
        _say_unknown(name, nearest, report)
    else:
        report.say("file-not-read", At(file=name), file=name, known=listed(OURS))


def _is_ours_by_kind(lower: str) -> bool:
    if lower in (*OURS, *_PROPOSED) or lower.startswith((".", "~$")):
        return False
    return lower.endswith(_CHECKED)


def _meant(lower: str, there: set[str]) -> str:
    """The file of ours that a text is meant to be: "job.toml.txt", or "job.rtf" where there is no job.

    In a job that is a workbook no text is meant for a table; "workshop.docx" and "rules.txt" may be anything.
    """
    path = PurePosixPath(lower)
    if path.suffix not in _TEXTS or lower.startswith((".", "~$")):
        return ""
    if path.stem in OURS:
        return "" if path.stem in _FORM and WORKBOOK_FILE in there else path.stem
    alike = {one for one in _FORM if PurePosixPath(one).stem == path.stem}
    return _alike(lower) if alike and there.isdisjoint({*alike, WORKBOOK_FILE}) else ""


def _alike(lower: str) -> str:
    """The first of our files that has the same name but for its kind; a workbook for what is one."""
    path = PurePosixPath(lower)
    order = OURS if path.suffix not in _BOOKS else (WORKBOOK_FILE, *OURS)
    return next((one for one in order if PurePosixPath(one).stem == path.stem), "")


def _say_unknown(name: str, nearest: str, report: Report) -> None:
    book = PurePosixPath(name.casefold()).suffix in (".xlsx", *_BOOKS)
    anew = book and nearest and PurePosixPath(nearest).suffix != PurePosixPath(name.casefold()).suffix
    how = Long(report.words.say(f"intake.{'save_anew' if anew else 'rename'}"))
    report.say("unknown-file", At(file=name), nearest=nearest, file=name, known=listed(OURS), how=how)
    report.not_all(PurePosixPath(nearest).stem)


def _pictures_elsewhere(desk: Desk) -> Iterator[str]:
    """Pictures in the job folder itself, and in a folder of it that is not read."""
    read = {desk.find(name) for name in (PHOTOS_FOLDER, *NOTES_FOLDERS)}
    for name in desk.names:
        if name.startswith(".") or name in read:
            continue
        if name.casefold().endswith(_PICTURES):
            yield name
        else:
            yield from (f"{name}/{one}" for one in _inside(desk, name) if one.casefold().endswith(_PICTURES))


def _other_notes(desk: Desk) -> Iterator[str]:
    for folder in NOTES_FOLDERS:
        for name in _inside(desk, folder):
            if PurePosixPath(name.casefold()).suffix in (*_TEXTS, ".pdf", ".markdown"):
                yield f"{folder}/{name}"


def _inside(desk: Desk, name: str) -> list[str]:
    """The first names in a folder of the job; none where it cannot be looked into."""
    folder = desk.folder / name
    try:
        if folder.is_symlink() or not folder.is_dir():
            return []
        names = sorted(path.name for path in islice(folder.iterdir(), _MOST))
    except OSError:
        return []
    return [one for one in names if not one.startswith((".", "~$"))]
