"""A draft as one workbook: drop-downs for every closed list of words, headings that stay in sight, a read-me.

Whatever is not a date or a count is set to text, so that a spreadsheet program keeps "3-7", "1/2", "23.0" and
"0417" as they are typed. Rows are as high as their text: not every program works that out as it opens a file.
"""

from __future__ import annotations

import io
import math
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.dimensions import RowDimension

from dossier.intake.draft import Draft, Values, help_for
from dossier.intake.schema import Field, Fields
from dossier.intake.workbook import JOB_COLUMNS, JOB_SHEET, SHEETS, job_lines
from dossier.model.words import KNOWN_FROM
from dossier.words import Catalogue

LAST_ROW = 2000  # drop-downs reach down to here
_COUNTS = {"count", "tally"}
_WIDE = {"text", "figure", "lines"}
_NARROW_NAMES = {"unit", "batch", "pair", "mark", "currency", "by", "who"}
_LINE = 15  # points
_HEAD = PatternFill("solid", fgColor="FFE8E4DC")


def workbook_file(draft: Draft, words: Catalogue) -> bytes:
    """The bytes of `job.xlsx`."""
    book = Workbook()
    book.properties.creator = "dossier"
    _read_me(book.active, words)
    _job_sheet(book.create_sheet(JOB_SHEET), draft, words)
    for title, fields in SHEETS.items():
        if title != JOB_SHEET:
            name = title.replace(" ", "_")
            rows = draft.tables.get(name) or draft.lists.get(name) or []
            _table_sheet(book.create_sheet(title), name, fields, rows, words)
    for sheet in book.worksheets[1:]:
        _high_enough(sheet)
    book.active = 1
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _read_me(sheet: Any, words: Catalogue) -> None:
    sheet.title = "read me"
    said = words.table("template.read_me")
    lines = [said["title"], "", *said["workbook"], "", *said["rules"], "", said["columns"]]
    for line in lines:
        sheet.append([line])
    for title, fields in SHEETS.items():
        if title != JOB_SHEET:
            sheet.append([])
            sheet.append([title])
            sheet.cell(sheet.max_row, 1).font = Font(bold=True)
            for field in fields:
                sheet.append([field.heading, help_for(words, title.replace(" ", "_"), field)])
    sheet.cell(1, 1).font = Font(bold=True, size=14)
    sheet.column_dimensions["A"].width = 18
    sheet.column_dimensions["B"].width = 110


def _job_sheet(sheet: Any, draft: Draft, words: Catalogue) -> None:
    _headings(sheet, JOB_COLUMNS)
    for row, (line, (section, field)) in enumerate(job_lines().items(), 2):
        values = draft.sections[section] if section else draft.top
        _put(sheet, row, 1, line)
        _put(sheet, row, 2, _joined(values.get(field.name)), _format(field))
        if field.words:
            _drop_down(sheet, f"B{row}", field.words, "")
        if field.name.endswith(".what"):
            _put(sheet, row, 3, values.get(field.name.replace(".what", ".known_from")))
            _drop_down(sheet, f"C{row}", KNOWN_FROM, "")
        _put(sheet, row, 4, help_for(words, section or "top", field))
        sheet.cell(row, 4).font = Font(italic=True, color="FF6B6459")
    for letter, width in zip("ABCD", (26, 60, 16, 90), strict=True):
        sheet.column_dimensions[letter].width = width


def _joined(value: object) -> object:
    return "\n".join(value) if isinstance(value, list) else value


def _table_sheet(sheet: Any, name: str, fields: Fields, rows: list[Values], words: Catalogue) -> None:
    _headings(sheet, fields)
    for column, field in enumerate(fields, 1):
        letter = get_column_letter(column)
        dimension = sheet.column_dimensions[letter]
        dimension.width = _width(field)
        dimension.number_format = _format(field)
        options = ("yes", "no") if field.kind == "yes" else field.words
        if options:
            _drop_down(sheet, f"{letter}2:{letter}{LAST_ROW}", options, help_for(words, name, field))
    for row, values in enumerate(rows, 2):
        for column, field in enumerate(fields, 1):
            _put(sheet, row, column, values.get(field.name), _format(field))


def _headings(sheet: Any, fields: Fields) -> None:
    for column, field in enumerate(fields, 1):
        cell = sheet.cell(1, column, field.heading)
        cell.font = Font(bold=True)
        cell.fill = _HEAD
    sheet.freeze_panes = "B2"


class _Growing(RowDimension):  # type: ignore[misc]  # openpyxl has no types
    """A row with a height at the start that grows with what is typed: none that somebody has set."""

    customHeight = False  # noqa: N815  # openpyxl calls it so, and has True wherever there is a height


def _high_enough(sheet: Any) -> None:
    for cells in sheet.iter_rows(min_row=2):
        lines = max(_lines(cell.value, sheet.column_dimensions[cell.column_letter].width) for cell in cells)
        if lines > 1:
            row = cells[0].row
            sheet.row_dimensions[row] = _Growing(sheet, index=row, ht=lines * _LINE)


def _lines(value: object, width: float) -> int:
    return sum(max(1, math.ceil(len(line) / width)) for line in str(value or "").split("\n"))


def _put(sheet: Any, row: int, column: int, value: object, number_format: str = "General") -> None:
    """A value as text, never as a formula."""
    if value is None or value == "":
        value = None
    elif isinstance(value, bool):
        value = "yes" if value else "no"
    cell = sheet.cell(row, column, value)
    cell.number_format = number_format
    cell.alignment = Alignment(wrap_text=True, vertical="top")
    if isinstance(value, str):
        cell.data_type = "s"


def _format(field: Field) -> str:
    if field.kind == "date":
        return "yyyy-mm-dd"
    return "General" if field.kind in _COUNTS else "@"


def _width(field: Field) -> int:
    if field.kind in _WIDE and field.name not in _NARROW_NAMES:
        return 28
    longest = max((len(word) for word in field.words), default=0)
    return max(len(field.heading) + 3, longest + 4, 10)


def _drop_down(sheet: Any, cells: str, options: tuple[str, ...], prompt: str) -> None:
    validation = DataValidation(type="list", formula1=f'"{",".join(options)}"', allow_blank=True)
    validation.showErrorMessage = True
    if prompt:
        validation.showInputMessage = True
        validation.prompt = prompt[:255]
    sheet.add_data_validation(validation)
    validation.add(cells)
