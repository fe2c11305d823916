"""Starting a job: a small valid job that teaches, as plain files or one workbook, in a folder of its own.

Never overwrites a folder with contents: everything is written aside, then moved into place.
"""

from __future__ import annotations

import errno
import os
import secrets
import shutil
from pathlib import Path

from dossier import durable
from dossier.errors import OutputError, UnreadableError
from dossier.intake.desk import Desk
from dossier.intake.draft import Draft, example_draft
from dossier.intake.draft_earlier import earlier_draft
from dossier.intake.earlier import RECORD_FILE, payload_of, record_bytes
from dossier.intake.photolist import PHOTOS_FOLDER
from dossier.intake.report import Report
from dossier.intake.template_plain import plain_files, workshop_toml
from dossier.intake.workbook import WORKBOOK_FILE
from dossier.intake.workshop import WORKSHOP_FILE, read_workshop
from dossier.model.job import Workshop
from dossier.words import Catalogue

LAID_IN = f"earlier/{RECORD_FILE}"


def new_job(
    folder: Path, *, workbook: bool = False, earlier: Path | None = None, record: bytes | None = None
) -> str:
    """Make the job folder `folder`, following the record at `earlier` where one is given.

    Gives the language that stands in it, "" where none does.

    `record`: its bytes, where `earlier` holds them inside another file; they are laid into the job folder.

    Raises OutputError when the folder has contents or cannot be made, UnreadableError for the earlier record.
    """
    words = Catalogue()
    _check_free(folder, words)
    draft = _draft(folder, earlier, record, words)
    files = _workbook_files(draft, words) if workbook else plain_files(draft, words)
    if record is not None:
        files[LAID_IN] = record
    if not _has_workshop(folder):
        files[WORKSHOP_FILE] = workshop_toml(words)
    try:
        _write(folder, files)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise OutputError(words.say("intake.new.cannot_write", folder=folder, why=why)) from None
    return str(draft.top.get("language", ""))


def _check_free(folder: Path, words: Catalogue) -> None:
    if folder.exists() and not (folder.is_dir() and not any(folder.iterdir())):
        hint = words.say("intake.new.not_empty_hint")
        raise OutputError(words.say("intake.new.not_empty", folder=folder), hint=hint)


def _draft(folder: Path, earlier: Path | None, record: bytes | None, words: Catalogue) -> Draft:
    number = folder.resolve().name
    if earlier is None:
        return example_draft(words, number, _mark_of(folder))
    data = record_bytes(earlier) if record is None else record
    path = _path_between(folder, earlier) if record is None else LAID_IN
    try:
        payload, _, apart = payload_of(data)
        workshop = workshop_around(folder)
        name = workshop.name if workshop else ""
        return earlier_draft(words, number, payload, apart, path, workshop=name)
    except (UnreadableError, ValueError):
        hint = words.say("intake.finding.earlier-record-unreadable.hint")
        message = words.say("intake.finding.earlier-record-unreadable.message", file=earlier)
        raise UnreadableError(message, hint=hint) from None


def _mark_of(folder: Path) -> str | None:
    """The first of the people of the workshop that is there, "" without any; None where there is none."""
    workshop = workshop_around(folder)
    if workshop is None:
        return None
    return workshop.people[0].mark if workshop.people else ""


def workshop_around(folder: Path) -> Workshop | None:
    """The workshop in whose folder, or in one above it, the job's folder is; None where there is none."""
    if not _has_workshop(folder):
        return None
    unsaid = Report()  # what is wrong there is said by a check of the job
    return read_workshop(Desk(folder.resolve().parent, unsaid), unsaid, {})


def _path_between(folder: Path, earlier: Path) -> str:
    """The path of the record as seen from the new job, with "/"; whole where there is none between."""
    record = (earlier / RECORD_FILE if earlier.is_dir() else earlier).resolve()
    try:
        return Path(os.path.relpath(record, folder.resolve())).as_posix()
    except ValueError:  # another drive
        return record.as_posix()


def _workbook_files(draft: Draft, words: Catalogue) -> dict[str, bytes]:
    from dossier.intake.template_workbook import workbook_file  # noqa: PLC0415 - openpyxl takes 0.2 s

    return {WORKBOOK_FILE: workbook_file(draft, words)}


def _has_workshop(folder: Path) -> bool:
    here = folder.resolve()
    return any((above / WORKSHOP_FILE).is_file() for above in here.parents)


def _write(folder: Path, files: dict[str, bytes]) -> None:
    """All files aside, then given their place: a new folder by one renaming, an empty one is filled.

    A folder that is there stays the same folder, as somebody may stand in it, and may be a disk of its own.
    """
    target = folder.resolve()
    there = target.is_dir()
    target.parent.mkdir(parents=True, exist_ok=True)
    aside = (target if there else target.parent) / f".new-job-{secrets.token_hex(4)}"
    aside.mkdir()  # not by tempfile, whose folders are their maker's alone and on Windows stay so
    try:
        for name, data in files.items():
            place = aside / name
            place.parent.mkdir(exist_ok=True)
            durable.write(place, data)
        for name in (PHOTOS_FOLDER, "notes"):
            (aside / name).mkdir()
        if there:
            _move_in(aside, target)
        else:
            durable.move(aside, target)
        durable.done.append(target)
    except BaseException:
        shutil.rmtree(aside, ignore_errors=True)
        raise


def _move_in(aside: Path, target: Path) -> None:
    """Everything in `aside` up into `target`, unless somebody has put something there since it was empty."""
    if any(path != aside for path in target.iterdir()):
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST))
    for path in sorted(aside.iterdir()):
        durable.move(path, target / path.name)
    aside.rmdir()
