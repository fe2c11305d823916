"""A job typed in one workbook, `job.xlsx`: the same contents as the plain files, one sheet a table.

The sheet `job` has the columns "what", "value" and "known from" and holds `job.toml`'s single values ("object
maker", "owner name"); lists stand in sheets of their own. Formulas count by their stored results. Hostile
files: see `workbook_bounds`. Not done here: what the cells mean.
"""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Iterator, Mapping, Set
from typing import Any

import msgspec

from dossier.intake.csvtext import MOST_CELLS
from dossier.intake.desk import MOST_WORKBOOK, Desk
from dossier.intake.entries import Cell, Entry, Raw, blank
from dossier.intake.foreign import table_under
from dossier.intake.report import Long, Report, listed
from dossier.intake.schema import LISTS, NOTES, SECTIONS, TABLES, TOP, Field, Fields, plain_word
from dossier.intake.tables import MOST_ROWS, CellRow, letters, table_entries
from dossier.intake.values import SAID
from dossier.intake.workbook_bounds import Bounds, bounds_of
from dossier.intake.workbook_merged import Merged, hidden_in, hiding, merged_of
from dossier.model.finding import At

WORKBOOK_FILE = "job.xlsx"
JOB_SHEET = "job"
LEGEND_SHEETS = ("read me", "words")  # for people and drop-downs; not read
# Explains the line to people and is not read.
_EXPLAINS = ("about",)
JOB_COLUMNS: Fields = (
    Field("what", needed=True),
    Field("value", needed=True),
    Field("known_from"),
    Field("about"),
)
SHEETS: dict[str, Fields] = {
    JOB_SHEET: JOB_COLUMNS,
    **{name.replace("_", " "): fields for name, fields in (TABLES | LISTS).items()},
    "notes": NOTES,
}
MOST_SHEETS = 200
_FEW = 2  # headings that anybody's sums may have ("what", "price")
_LAST_ROW = 1_048_576  # that a program writes, with a form and blank, when a row is deleted; none has more

Target = tuple[str, Field]  # section ("" for the top) and field


def job_lines() -> dict[str, Target]:
    """What the sheet `job` may speak of: "number", "object maker", "dates received" ..."""
    lines: dict[str, Target] = {field.heading: ("", field) for field in TOP}
    for section, fields in SECTIONS.items():
        for field in fields:
            if not field.name.endswith(".known_from"):
                name = field.heading.removesuffix(" what") if "." in field.name else field.heading
                lines[f"{section.replace('_', ' ')} {name}"] = (section, field)
    return lines


def read_workbook(desk: Desk, name: str, report: Report) -> Raw:
    """The workbook's sheets as typed."""
    empty = Raw(Entry({}, At(file=name)), readable=False)
    data = desk.data(name, MOST_WORKBOOK)
    if data is None:
        return empty
    bounds = bounds_of(data)
    if bounds.problem:
        report.say(bounds.problem, At(file=name), file=name, why=report.words.say(f"intake.why.{bounds.why}"))
        return empty
    sheets = _opened(data, bounds)
    if sheets is None:
        why = report.words.say("intake.why.broken")
        report.say("workbook-unreadable", At(file=name), file=name, why=why)
        return empty
    if bounds.comments:
        report.say("comments-not-read", At(file=name))
    return _sheets(sheets, name, report)


class Sheet(msgspec.Struct):
    """A sheet's cells as the library gives them: (value, is an error, is a formula) by position."""

    title: str
    rows: list[tuple[int, dict[int, tuple[object, bool, bool]]]]  # row number from 1, cells not blank
    merged: tuple[Merged, ...] = ()


def _opened(data: bytes, bounds: Bounds) -> list[Sheet] | None:
    """The cells of every sheet; None when the library can't read them. Nothing is judged in here."""
    import openpyxl  # noqa: PLC0415 - 0.2 s at the start, and most jobs are plain files

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # the library's notes on parts of the file it passes over
            book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
            formulas = set()
            if bounds.formulas:
                typed = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=False)
                formulas = _formulas(typed)
            # None: of the strict edition, which the library does not know. All may be one and the same part.
            if not 1 <= len(book.worksheets) <= MOST_SHEETS:
                return None
            return [_sheet(sheet, formulas) for sheet in book.worksheets]
    except Exception:  # the library raises anything on a broken file
        return None


def _formulas(book: Any) -> set[tuple[str, str]]:
    """(sheet, cell) of every formula."""
    return {
        (sheet.title, cell.coordinate)
        for sheet in book.worksheets
        for _, row in _raw_rows(sheet)
        for cell in row
        if getattr(cell, "data_type", "") == "f"
    }


def _raw_rows(sheet: Any) -> Iterator[tuple[int, tuple[Any, ...]]]:
    """The rows that are in the file, with their numbers."""
    sheet.reset_dimensions()  # what the file says of its own size may be wrong
    absent: tuple[Any, ...] | None = None
    for number, row in enumerate(sheet.iter_rows(max_row=_LAST_ROW, max_col=MOST_CELLS + 1), 1):
        if row is not absent:
            yield number, row
            if not any(getattr(cell, "coordinate", "") for cell in row):
                absent = row  # the library gives this same row for each that is not there


def _sheet(sheet: Any, formulas: set[tuple[str, str]]) -> Sheet:
    found = Sheet(str(sheet.title), [], merged=merged_of(sheet))
    for number, row in _raw_rows(sheet):
        if cells := _filled(row, number, found.title, formulas):
            found.rows.append((number, cells))
        if len(found.rows) > MOST_ROWS + 1:
            break
    return found


def _filled(
    row: tuple[Any, ...], number: int, title: str, formulas: set[tuple[str, str]]
) -> dict[int, tuple[object, bool, bool]]:
    cells = {}
    for position, cell in enumerate(row):
        kind = getattr(cell, "data_type", "")
        is_formula = bool(formulas) and (title, f"{letters(position)}{number}") in formulas
        # ECMA-376 part 1, 18.18.11: a stored result of kind "str"; one that is blank the library leaves so
        if not blank(cell.value) or (is_formula and kind != "str"):
            cells[position] = (cell.value, kind == "e", is_formula)
    return cells


def _sheets(sheets: list[Sheet], file: str, report: Report) -> Raw:
    raw = Raw(Entry({}, At(file=file)), readable=False)
    seen: set[str] = set()
    absent = SHEETS.keys() - {plain_word(sheet.title) for sheet in sheets}
    for sheet in sheets:
        title = plain_word(sheet.title)
        if title in LEGEND_SHEETS or not sheet.rows:
            continue
        if title not in SHEETS:
            _say_unknown(sheet, absent, file, report)
        elif title not in seen:
            hidden = _say_merged(sheet, title, file, report)
            rows = _rows(sheet, hidden, file, report)
            _take(title, table_entries(rows, SHEETS[title], report), raw, report)
        seen.add(title)
    if JOB_SHEET not in seen and JOB_SHEET not in report.misspelt:
        report.say("no-job-file", At(file=file, sheet=JOB_SHEET))
    return raw


def _rows(sheet: Sheet, hidden: Mapping[int, set[int]], file: str, report: Report) -> Iterator[CellRow]:
    """What merged cells leave blank has been spoken of: it is not lacking."""
    for number, row in sheet.rows:
        found: CellRow = {}
        for position in hidden.get(number, set()) - row.keys():
            found[position] = Cell(SAID, _at(sheet, file, position, number))
            report.hidden.add(found[position].at)
        for position, value in row.items():
            found[position] = _cell(value, _at(sheet, file, position, number), report)
        yield found


def _at(sheet: Sheet, file: str, position: int, row: int) -> At:
    return At(file=file, sheet=sheet.title, cell=f"{letters(position)}{row}")


def _cell(found: tuple[object, bool, bool], at: At, report: Report) -> Cell:
    value, is_error, is_formula = found
    if is_error:
        report.say("cell-error", at, typed=str(value))
        return Cell(SAID, at)
    if is_formula and blank(value):
        report.say("formula-without-result", at)
        return Cell(SAID, at)
    return Cell(value, at)


def _say_merged(sheet: Sheet, title: str, file: str, report: Report) -> dict[int, set[int]]:
    """Say each range that leaves blank what is read; nothing was typed where its first cell is blank.

    Gives by row the columns that they leave blank.
    """
    read = {plain_word(field.heading) for field in SHEETS[title] if field.name not in _EXPLAINS}
    rows = dict(sheet.rows)
    headings = sheet.rows[0][1]
    columns = [at for at, (value, *_) in headings.items() if plain_word(str(value)) in read]
    found = [one for one in hiding(sheet.merged, list(rows), columns) if one.left in rows.get(one.top, ())]
    for one in found:
        place = At(file=file, sheet=sheet.title, cell=one.first)
        report.say("merged-cells", place, range=str(one), first=one.first)
    return hidden_in(found, list(rows)[1:], columns)


def _say_unknown(sheet: Sheet, absent: Set[str], file: str, report: Report) -> None:
    """Somebody's own sums may stand in a sheet of theirs, whose name is by chance like one of ours; and what
    is ours by its headings under a name that is like none ("Sheet1").
    """
    headings = {plain_word(str(value)) for value, *_ in sheet.rows[0][1].values()}
    ours = {title: fields for title, fields in SHEETS.items() if title in absent}
    near = table_under(headings, ours) if len(headings) > _FEW else ""
    if not near:
        near = report.nearest(plain_word(sheet.title), SHEETS)
        if headings.isdisjoint(plain_word(field.heading) for field in SHEETS.get(near, ())):
            near = ""
    code = "unknown-sheet" if near else "sheet-not-read"
    near = near if near in absent else ""  # a copy of a sheet cannot be called as that is
    report.say(code, At(file=file, sheet=sheet.title), nearest=near, typed=sheet.title, known=listed(SHEETS))
    report.not_all(near)


def _take(title: str, entries: list[Entry], raw: Raw, report: Report) -> None:
    name = title.replace(" ", "_")
    if title == JOB_SHEET:
        raw.top, raw.sections = _job_entries(entries, raw.top.at.file, report)
        told = any(cell.raw is not SAID for cell in raw.top.cells.values())
        raw.readable = report.whole(JOB_SHEET) and (told or not entries)
    elif name in TABLES:
        raw.tables[name] = entries
    elif name in LISTS:
        raw.lists[name] = entries
    else:
        raw.notes = entries


def _job_entries(entries: list[Entry], file: str, report: Report) -> tuple[Entry, dict[str, Entry]]:
    """The lines of the sheet `job` as the top and the sections of `job.toml`."""
    lines = {plain_word(line): target for line, target in job_lines().items()}
    whole = At(file=file, sheet=JOB_SHEET)
    sections: dict[str, Entry] = {}
    misspelt: dict[str, At] = {}
    for entry in entries:
        if target := _target(entry, lines, misspelt, report):
            section = sections.setdefault(target[0], Entry({}, whole if not target[0] else entry.at))
            _add_line(entry, target[1], section, report)
    for line, at in misspelt.items():
        name, field = lines[line]
        section = sections.setdefault(name, Entry({}, whole if not name else at))
        if field.needed:
            section.cells.setdefault(field.name, Cell(SAID, at))
    return sections.pop("", Entry({}, whole)), sections


def _target(entry: Entry, lines: dict[str, Target], misspelt: dict[str, At], report: Report) -> Target | None:
    """What the line speaks of; where it is not known, what was probably meant goes into `misspelt`."""
    what = entry.cells.get("what")
    if what is None:
        report.say("missing-value", entry.at, names="what", out=Long(report.words.say("intake.or_out")))
        return None
    if what.raw is SAID:  # it may have been any
        misspelt.update({line: what.at for line in lines if line not in misspelt})
        return None
    typed = plain_word(re.sub(r"[.:/]", " ", str(what.raw)))
    if typed not in lines:
        near = report.nearest(typed, lines)
        report.say("unknown-key", what.at, nearest=near, typed=str(what.raw), known=listed(lines))
        if near:
            misspelt.setdefault(near, what.at)
    return lines.get(typed)


def _add_line(entry: Entry, field: Field, section: Entry, report: Report) -> None:
    value = entry.cells.get("value") or Cell(None, entry.at)
    if field.kind == "lines":
        _add_to_list(field.name, value, section)
    elif field.name not in section.cells:
        section.cells[field.name] = value
    elif not blank(value.raw):
        report.say("line-twice", value.at, name=field.heading)
    if known_from := entry.cells.get("known_from"):
        _add_known_from(field, known_from, section, report)


def _add_to_list(name: str, value: Cell, section: Entry) -> None:
    before = section.cells.get(name)
    items = value.raw.splitlines() if isinstance(value.raw, str) else [value.raw]
    kept = [item for item in items if not blank(item) and item is not SAID]
    if before:
        section.cells[name] = Cell([*_list_of(before), *kept], before.at)
    else:
        section.cells[name] = Cell(kept, value.at)


def _list_of(cell: Cell) -> list[object]:
    return cell.raw if isinstance(cell.raw, list) else [cell.raw]


def _add_known_from(field: Field, known_from: Cell, section: Entry, report: Report) -> None:
    """Only what is claimed of the object (maker, date, place) has a word on where it is known from."""
    if field.name.endswith(".what"):
        section.cells[f"{field.name.removesuffix('.what')}.known_from"] = known_from
    else:
        report.say("known-from-not-here", known_from.at, name=field.heading)
