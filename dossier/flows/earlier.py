"""The earlier records of a job, opened and checked with the reader that checks everybody's.

What their workshops said of them later is looked for beside each, and in the job's own folder of earlier
records. Used by the flows that read a job, or start one. Reads only. Not done here: finding the files (the
intake has), what they say of the parts (`account.history`), which statement counts (`verifying.statements`).
Invariant: a record that does not check is an error, never a part of the account.
"""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import msgspec

from dossier.errors import DossierError, UnreadableError
from dossier.flows.verifying import chain, earlier_said, lying_beside, statements
from dossier.intake.earlier import record_bytes
from dossier.intake.workshop import workshop_folder
from dossier.model.earlier import EarlierOpened, SaidLater
from dossier.model.finding import At, Finding
from dossier.model.job import Job, Workshop
from dossier.model.record import moment
from dossier.model.rows import EarlierRecord
from dossier.model.statements import Statement
from dossier.model.words import Checked
from dossier.seal import record as seal
from dossier.seal.codes import printable
from dossier.seal.record import RecordCheck
from dossier.seal.statements import LONGEST_REASON
from dossier.seal.trust import NOBODY, Trust, from_file
from dossier.words import Catalogue

NOT_IN_ORDER = "earlier-record-not-in-order"


class Opened(msgspec.Struct, frozen=True, kw_only=True):
    """The job with what was seen of each earlier record, those that check, and what does not."""

    job: Job
    earlier: tuple[EarlierOpened, ...] = ()
    findings: tuple[Finding, ...] = ()


class _Asked(msgspec.Struct, frozen=True):
    """How the records of one job are opened. `today`: the last day that something said of them may bear."""

    folder: Path
    trust: Trust
    words: Catalogue
    today: dt.date = dt.date.max


def open_earlier(folder: Path, job: Job, words: Catalogue, *, today: str = "") -> Opened:
    """Open the records that the job in `folder` names; one that does not check is an error found."""
    if not job.earlier_paths:
        return Opened(job=job)
    day = dt.date.fromisoformat(today) if today else dt.date.max
    asked = _Asked(folder, own_trust(folder, job.workshop), words, day)
    rows: list[EarlierRecord] = []
    found: list[EarlierOpened] = []
    findings: list[Finding] = []
    for place, (row, path) in enumerate(zip(job.earlier_records, job.earlier_paths, strict=True), 1):
        at = job.where.get(f"earlier_records/{place}", At())
        opened = _open(path, asked, at)
        if isinstance(opened, Finding):
            findings.append(opened)
            rows.append(row)
        else:
            found.append(opened)
            rows.append(_tied(row, opened, job))
    job = msgspec.structs.replace(job, earlier_records=tuple(rows))
    return Opened(job=job, earlier=tuple(found), findings=tuple(findings))


def own_trust(folder: Path, workshop: Workshop) -> Trust:
    """Trust in the workshop's own certificate and key card, where they lie where workshop.toml says."""
    home = workshop_folder(folder)
    known = NOBODY
    for name in filter(None, (workshop.certificate, workshop.key_card)):
        try:
            known |= from_file(home / name)
        except DossierError:
            continue
    return known


def _open(path: str, asked: _Asked, at: At) -> EarlierOpened | Finding:
    file = asked.folder / path
    try:
        sealed = seal.from_json(record_bytes(file))
        checked = seal.check(sealed, asked.words, trust=asked.trust)
    except UnreadableError as error:
        return _not_in_order(path, error.code, at, asked.words)
    wrong = [answer.code for answer in checked.checks if answer.verdict == "does not match"]
    if wrong or checked.record is None or not checked.kids:
        return _not_in_order(path, wrong[0] if wrong else "record-shape", at, asked.words)
    return EarlierOpened(
        payload=checked.record.payload,
        sha256=checked.record.digest,
        checked=_checked(checked),
        path=path,
        later=_later(checked, file, asked),
    )


def said_later(file: Path, folder: Path, workshop: Workshop, today: dt.date) -> tuple[SaidLater, ...]:
    """What was said later of the record in `file`, for a job in `folder`; () of one that does not check."""
    asked = _Asked(folder, own_trust(folder, workshop), Catalogue(), today)
    try:
        checked = seal.check(seal.from_json(record_bytes(file)), asked.words, trust=asked.trust)
    except UnreadableError:
        return ()
    return _later(checked, file, asked)


def _later(checked: RecordCheck, file: Path, asked: _Asked) -> tuple[SaidLater, ...]:
    """What lies beside the record, and in the job's folder of earlier records, and counts."""
    own = asked.folder / chain.FOLDER
    near = earlier_said.beside([file, *([own] if own.is_dir() else [])])
    at, trust = earlier_said.with_near(lying_beside.NOTHING, near, asked.trust)
    subject = statements.subject_of(checked)
    found = statements.counting(subject, at, trust, asked.today, asked.words)
    return tuple(_said(one, asked.words) for one in found)


def _said(one: Statement, words: Catalogue) -> SaidLater:
    return SaidLater(
        kind=one.kind,
        date=moment(one.iat).date().isoformat(),
        reason=printable(" ".join(one.reason.split()), LONGEST_REASON),
        rows=statements.rows_named(one.rows, words),
    )


def _checked(checked: RecordCheck) -> Checked:
    if any(answer.code == "key-confirmed" for answer in checked.checks):
        return "signature matches, key confirmed"
    return "signature matches, key not confirmed"


def _tied(row: EarlierRecord, opened: EarlierOpened, job: Job) -> EarlierRecord:
    """The row with the digest of what was opened, and of which other object the record is."""
    others = {other.record for other in job.other_parts}
    thing = opened.payload.object
    named = (thing.title or thing.type) if opened.path in others else ""
    return msgspec.structs.replace(row, sha256=opened.sha256, checked=opened.checked, object=named)


def _not_in_order(path: str, code: str, at: At, words: Catalogue) -> Finding:
    return Finding(
        code=NOT_IN_ORDER,
        level="error",
        message=words.say("compile.earlier_not_in_order", file=path, code=code),
        hint=words.say("compile.earlier_not_in_order_hint"),
        at=at,
    )
