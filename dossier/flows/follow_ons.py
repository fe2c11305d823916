"""What follows only from an error that is said already is not said: it goes when the error is mended.

Of one line: what the reading has found is not judged again. Of a table with rows that could not be read: what
it seems to lack is left aside until it is wholly known. Pure.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from dossier.flows import characters
from dossier.intake.codes import NOT_WHOLE
from dossier.intake.folder import HIDDEN, MISSPELT
from dossier.intake.rows import UNREAD
from dossier.intake.schema import TABLES
from dossier.model.finding import At, Finding
from dossier.model.rows import Dates

_DATES = frozenset({"date-wrong", "date-ambiguous", "range-as-date"})
# Judged of a line -> what the reading said of the same line.
_OF_LINE: dict[str, frozenset[str]] = {
    "now-came-as": frozenset({"unknown-word"}),
    "part-of-circle": frozenset({"part-of-itself"}),
    "pieces-of-several": frozenset({"pieces-of-several-parts"}),
    "pieces-too-many": frozenset({"pieces-disagree"}),
    "work-not-dated": _DATES,
    "work-not-signed": frozenset({"unknown-person"}),
    "work-not-agreed": frozenset({"unknown-agreement", "number-wrong"}),
    "photograph-without-stage": frozenset({"unknown-word"}),
}
# Of a cell nothing is known, or the row is shifted: what it seems to lack may stand there.
_NO_VALUE = frozenset({"cell-error", "formula-without-result", "cell-without-heading"})
# Errors of a row that leave the row itself, its parts and what was done there.
_ROW_STANDS = _DATES | {
    "unknown-person",
    "unknown-agreement",
    "pieces-disagree",
    "clock-wrong",
    "strange-character",
    characters.CODE,
}
_PHOTOGRAPHS = frozenset({"photos"})
# What a table seems to lack -> the tables that have to be wholly known first.
_LACKING: dict[str, frozenset[str]] = {
    "no-work-recorded": frozenset({"work"}),
    "agreed-not-done": frozenset({"work"}),
    "plated-without-work": frozenset({"work"}),
    "no-measurements": frozenset({"measurements"}),
    "now-measure": frozenset({"measurements"}),
    "place-not-marked": frozenset({"marks"}),
    "no-cover": _PHOTOGRAPHS,
    "private-mark-shown": _PHOTOGRAPHS,
    "no-picture-before": _PHOTOGRAPHS,
    "part-not-photographed": _PHOTOGRAPHS,
    "covered-not-photographed": _PHOTOGRAPHS,
    "pair-one-side": _PHOTOGRAPHS,
    "now-photograph-whole": _PHOTOGRAPHS,
    "now-photograph-part": _PHOTOGRAPHS,
    "now-photograph-inside": _PHOTOGRAPHS,
    "now-photograph-covered": _PHOTOGRAPHS,
    "now-photograph-after": _PHOTOGRAPHS,
}
# Of a photograph whose row was not read: it seems to have none. What else is wrong in a row leaves its
# photograph known, or is of the field in which it stands.
_OF_PHOTO_ROWS = frozenset({"photograph-without-stage"})
_ROWS_LOST = NOT_WHOLE | {"more-problems"}
# What is in a field (of a table, where it is in one) or table that could not be read, or was misspelt -> what
# is judged of it.
_OF_FIELD: dict[str, frozenset[str]] = {
    "agreements": frozenset({"work-not-agreed", "work-before-agreed", "agreed-not-done", "now-agree"}),
    "condition": frozenset({"no-condition", "now-condition"}),
    "firms": frozenset({"work-not-signed", "mark-of-nobody"}),
    "handover": frozenset({"now-hand-over"}),
    "inscriptions": frozenset({"now-photograph-marks"}),
    "key": frozenset({"no-key"}),
    "know_it_by": frozenset({"no-know-it-by", "now-know-it-by"}),
    "looked_at": frozenset({"no-examiner", "now-found-inside"}),
    "measurements": frozenset({"no-measurements", "now-measure"}),
    "measurements.unit": frozenset({"measure-without-unit"}),
    "parts.came_as": frozenset({"no-work-recorded", "now-came-as"}),
    "parts.made_by": frozenset({"made-by-not-said"}),
    "parts.new_material": frozenset({"new-without-material"}),
    "parts.old_piece": frozenset({"old-piece-not-said", "now-old-piece"}),
    "parts.pieces": frozenset({"pieces-too-many"}),
    "parts.told_by": frozenset({"told-by-not-said", "now-told-by"}),
    "parts.undone_by": frozenset({"undone-by-not-said"}),
    "parts.why": frozenset({"no-reason", "container-replaced-too"}),
    "people": frozenset({"work-not-signed", "no-examiner", "mark-of-nobody"}),
    "photos.cover": frozenset({"no-cover"}),
    "photos.file": frozenset({"photograph-without-stage"}),
    "photos.stage": frozenset({"photograph-without-stage"}),
    "received_by": frozenset({"now-hand-over"}),
    "work.agreed_on": frozenset({"work-not-agreed"}),
    "work.date": frozenset({"work-not-dated"}),
    "work.test": frozenset({"test-not-recorded"}),
    "work.who": frozenset({"work-not-signed"}),
}
# Judged of the stage, or of a date, which a date of the job that cannot be read may hold back.
_OF_STAGE = frozenset({"not-finished", "photograph-ahead", "now-received", "now-hand-over"})
# Judged of days that the object was here, where these contradict each other: nobody knows which is mistyped.
_OF_ORDER = frozenset({"work-outside-dates", "photograph-against-time"})
_ORDER = "dates-out-of-order"
_DATE_FIELDS = frozenset({"dates", *Dates.__struct_fields__})
_JOB = "job"
_WORK = "work"
_PRIVATE = ".private"
_PIECES = ".pieces"
_OF_COUNT = frozenset({"pieces-too-many", "pieces-of-several", "split-exceeds"})
_NO_COLUMN = frozenset({"missing-heading", "no-headings"})
_HEADING_LOST = frozenset({"unknown-heading", "heading-blank", "heading-twice"})
_HEADINGS = _NO_COLUMN | _HEADING_LOST
_WORK_NEEDS = frozenset(f"{_WORK}.{field.name}" for field in TABLES[_WORK] if field.needed)


def without(
    judged: Iterable[Finding], said: Iterable[Finding], where: Mapping[str, At] | None = None
) -> list[Finding]:
    """What was judged, without what follows from the errors in `said`; `where` as in `Job.where`.

    Days of the job that contradict each other are judged, and as good as an error in reading them.
    """
    judged = list(judged)
    crossed = [one for one in judged if one.code == _ORDER and _fields([one], where or {}) & _DATE_FIELDS]
    errors = [finding for finding in (*said, *crossed) if finding.level == "error"]
    lines = {(*_line(error.at), error.code) for error in errors}
    fields = _fields(errors, where or {})
    unread = {error.at.table for error in errors if error.code not in _ROW_STANDS} | fields
    broken = {_line(error.at) for error in errors if error.code in _NO_VALUE} | _hidden(where or {})
    doubtful = frozenset().union(*(_OF_FIELD.get(name, frozenset()) for name in fields))
    dates = _dates_doubtful(errors, fields)
    unseen = _no_work_seen(errors, fields)
    hidden = _perhaps_private(errors, where or {})
    uncounted = _uncounted(errors, where or {})
    rows_lost = any(e.code in _ROWS_LOST and e.at.table in _PHOTOGRAPHS for e in errors)
    return [
        finding
        for finding in judged
        if _line(finding.at) not in broken
        and not any((*_line(finding.at), code) in lines for code in _OF_LINE.get(finding.code, ()))
        and not _LACKING.get(finding.code, frozenset()) & unread
        and not (dates and finding.code in _OF_STAGE)
        and not (unseen and (finding.code in _OF_STAGE or finding.level == "now"))
        and finding.code not in doubtful
        and not (crossed and finding.code in _OF_ORDER)
        and not (rows_lost and finding.code in _OF_PHOTO_ROWS)
        and not (finding.code in _OF_COUNT and uncounted.intersection(finding.parts))
        and not (finding.level == "private" and finding.at in hidden)
    ]


def _hidden(where: Mapping[str, At]) -> set[tuple[str, str, int | str]]:
    """The rows of which merged cells leave something blank: the first of them alone is where it is said."""
    return {_line(at) for key, at in where.items() if key.startswith(HIDDEN)}


def stage_doubtful(said: Iterable[Finding], where: Mapping[str, At]) -> bool:
    """Whether an error stands where it is told how far the job has come."""
    errors = [finding for finding in said if finding.level == "error"]
    fields = _fields(errors, where)
    lost = any(error.code == "toml-syntax" and error.at.table == _JOB for error in errors)
    return lost or "stage" in fields or _dates_doubtful(errors, fields) or _no_work_seen(errors, fields)


def _dates_doubtful(errors: Iterable[Finding], fields: set[str]) -> bool:
    return bool(fields & _DATE_FIELDS) or any(e.code in _DATES and e.at.table == _JOB for e in errors)


def _perhaps_private(errors: Iterable[Finding], where: Mapping[str, At]) -> set[At]:
    """Every place of a row that has a word in "private" which cannot be read: it may be private already."""
    places = {error.at for error in errors}
    lines = {_line(error.at) for error in errors if error.code == "toml-syntax"}
    marks = {
        key for key, at in where.items() if key.endswith(_PRIVATE) and (at in places or _line(at) in lines)
    }
    return {at for key, at in where.items() if f"{key.rpartition('.')[0] or key}{_PRIVATE}" in marks}


def _uncounted(errors: Iterable[Finding], where: Mapping[str, At]) -> set[str]:
    """The parts of which it cannot be read how many pieces they have: they count as one."""
    places = {error.at for error in errors}
    keys = (key for key, at in where.items() if at in places and key.endswith(_PIECES))
    return {key.removesuffix(_PIECES).partition("/")[2] for key in keys}


def _no_work_seen(errors: Iterable[Finding], fields: set[str]) -> bool:
    """Whether the work log stands under a name, or headings, that do not say what was done to which part.

    The job then seems to have come less far than it has.
    """
    codes = {error.code for error in errors if error.at.table == _WORK}
    return bool(_WORK in fields or codes & _NO_COLUMN or (codes & _HEADING_LOST and fields & _WORK_NEEDS))


def _fields(errors: Iterable[Finding], where: Mapping[str, At]) -> set[str]:
    """The fields, and the tables of the job's own file, in which an error stands or which were misspelt."""
    places = {error.at for error in errors}
    lines = {(error.at.file, error.at.line) for error in errors if error.code == "toml-syntax"}
    keys = [key for key, at in where.items() if at in places or (at.file, at.line) in lines]
    keys += [key for file, line in lines if (key := _before(file, line, where))]
    misspelt = {key.removeprefix(MISSPELT) for key in keys if key.startswith(MISSPELT)}
    own = {key.removeprefix("job/").partition(".")[0] for key in keys if key.startswith("job/")}
    shop = {"key" for file, _ in lines if file and file == where.get("workshop", At()).file}
    left_out = {key.partition(f"/{UNREAD}")[0] for key in keys if f"/{UNREAD}" in key}
    lists = {error.at.table.replace(" ", "_") for error in errors if error.code in _HEADINGS}
    agreements = {"agreements" for key in keys if key.startswith("agreements/")}
    return misspelt | own | left_out | lists | agreements | shop


def _before(file: str, line: int, where: Mapping[str, At]) -> str:
    """What stands last before a line that could not be read: the line may have been of that."""
    above = ((at.line, at.column, key) for key, at in where.items() if at.file == file and at.line <= line)
    return max(above, default=(0, 0, ""))[2]


def _line(at: At) -> tuple[str, str, int | str]:
    """The row of a sheet, or the line of a file."""
    return at.file, at.sheet, at.cell.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ") or at.line
