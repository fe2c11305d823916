"""A table's rows to entries by its headings, for CSV text and for sheets alike.

Headings may be in any case and order, with spaces or underscores. Not done here: what a cell's words mean.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from string import ascii_uppercase

import msgspec

from dossier.intake.csvtext import (
    SEPARATORS,
    QuoteNotClosedError,
    Row,
    named_separator,
    rows,
)
from dossier.intake.entries import Cell, Entry, blank
from dossier.intake.report import Report, listed
from dossier.intake.schema import Field, Fields, plain_word
from dossier.intake.values import SAID
from dossier.model.finding import At

MOST_ROWS = 20_000
_FEW = 2  # rows with a cell under no heading, which is then said of each
_OF_BLANK = f'{SEPARATORS} \r\n"'

CellRow = dict[int, Cell]  # by position from 0; one cell at least is not blank


def csv_entries(text: str, file: str, fields: Fields, report: Report) -> list[Entry]:
    """The rows of a CSV text under the headings of `fields`."""
    if not text.strip(_OF_BLANK):
        return []  # else a row of separators would be a cell of the other kind
    separator = named_separator(text) or _separator(text, fields)
    return table_entries(_located(text, separator, file, report), fields, report)


def table_entries(found: Iterable[CellRow], fields: Fields, report: Report) -> list[Entry]:
    """The rows `found` as entries; the first row holds the headings."""
    remaining = iter(found)
    heading_row = next(remaining, None)
    if heading_row is None:
        return []
    headings = _headings(heading_row, fields, report)
    if not headings:
        return []
    lacking = _lacking(headings, fields)
    entries, strays = [], []
    number = 0
    for number, row in enumerate(remaining, 1):
        if number > MOST_ROWS:
            report.say("too-many-rows", _first(row).at, most=MOST_ROWS)
            break
        strays += _stray(row, headings)
        if entry := _entry(row, headings):
            entries.append(_without_columns(entry, lacking))
    # Where most rows have one it is the heading that lacks, once, and not a row that is shifted
    for cell in strays[:1] if len(strays) > max(_FEW, number / 2) else strays:
        report.say("cell-without-heading", cell.at, typed=str(cell.raw))
    return entries


def _without_columns(entry: Entry, lacking: list[str]) -> Entry:
    """With a value that has been spoken of under each needed heading that is not there."""
    said = {name: Cell(SAID, entry.at) for name in lacking}
    return msgspec.structs.replace(entry, cells={**entry.cells, **said})


def _separator(text: str, fields: Fields) -> str:
    """Whichever separator gives the most known headings in the first row."""
    return max(SEPARATORS, key=lambda separator: _known_headings(text, separator, fields))


def _known_headings(text: str, separator: str, fields: Fields) -> tuple[int, int]:
    known = {plain_word(field.heading) for field in fields}
    try:
        first = next(rows(text, separator), {})
    except QuoteNotClosedError:
        return 0, 0
    words = [plain_word(cell.text) for cell in first.values()]
    return sum(word in known for word in words), sum(map(bool, words))


def _located(text: str, separator: str, file: str, report: Report) -> Iterator[CellRow]:
    try:
        for row in rows(text, separator):
            yield _cells(row, file)
    except QuoteNotClosedError as error:
        report.say("quote-not-closed", At(file=file, line=error.line, column=error.column))


def _cells(row: Row, file: str) -> CellRow:
    return {
        position: Cell(cell.text, At(file=file, line=cell.line, column=cell.column))
        for position, cell in row.items()
    }


def _headings(row: CellRow, fields: Fields, report: Report) -> dict[int, Field | None]:
    """Field by position; None under a heading that is not known (said once). Empty when none is known."""
    known = {plain_word(field.heading): field for field in fields}
    row = {position: cell for position, cell in row.items() if not blank(cell.raw)}
    found = {position: known.get(plain_word(str(cell.raw))) for position, cell in row.items()}
    if not any(found.values()):
        report.say("no-headings", _first(row).at, known=listed(field.heading for field in fields))
        return {}
    meant = _say_unknown(row, found, known, report)
    if "" in meant:
        _note_hidden(row, found, fields, report)
    _say_twice(row, found, report)
    for name in _lacking(found, fields):
        if name not in meant:
            report.say("missing-heading", _first(row).at, name=name.replace("_", " "))
    return found


def _lacking(found: dict[int, Field | None], fields: Fields) -> list[str]:
    """The names of needed fields that have no column."""
    present = {field.name for field in found.values() if field}
    return [field.name for field in fields if field.needed and field.name not in present]


def _say_unknown(
    row: CellRow, found: dict[int, Field | None], known: dict[str, Field], report: Report
) -> set[str]:
    """Say the headings that are not known; gives the names of the fields that were probably meant."""
    meant = set()
    for position, field in found.items():
        if field is None:
            typed = str(row[position].raw)
            near = known.get(report.nearest(plain_word(typed), known))
            words = listed(field.heading for field in known.values())
            heading = near.heading if near else ""
            report.say("unknown-heading", row[position].at, nearest=heading, typed=typed, known=words)
            meant.add(near.name if near else "")
    return meant


def _note_hidden(row: CellRow, found: dict[int, Field | None], fields: Fields, report: Report) -> None:
    """Any column that is not there may be the one under a heading that is like none ("Datum")."""
    at = next(row[position].at for position, field in found.items() if field is None)
    present = {field.name for field in found.values() if field}
    for field in fields:
        if field.name not in present:
            report.meant(field.name, at)


def _say_twice(row: CellRow, found: dict[int, Field | None], report: Report) -> None:
    """Say a heading that stands twice; what stands under the second is then left out."""
    seen: set[str] = set()
    for position, field in list(found.items()):
        if field and field.name in seen:
            report.say("heading-twice", row[position].at, name=field.heading)
            found[position] = None
        elif field:
            seen.add(field.name)


def _stray(row: CellRow, headings: dict[int, Field | None]) -> list[Cell]:
    """The first cell that stands under no heading; one a row is enough."""
    return [cell for position, cell in row.items() if position not in headings and not blank(cell.raw)][:1]


def _entry(row: CellRow, headings: dict[int, Field | None]) -> Entry | None:
    """The row's cells by field; of blank ones only those that are needed, for their place."""
    cells: dict[str, Cell] = {}
    filled = False
    for position, field in headings.items():
        cell = row.get(position) or (field and _missing(position, row))
        if field and cell and (field.needed or not blank(cell.raw)):
            cells[field.name] = cell
            filled = filled or not blank(cell.raw)
    return Entry(cells, _first(row).at) if filled else None


def _missing(position: int, row: CellRow) -> Cell | None:
    """The blank cell of a sheet, which keeps none; a row of text that ends early has no place for it."""
    at = _first(row).at
    if not at.cell:
        return None
    return Cell(None, msgspec.structs.replace(at, cell=letters(position) + at.cell.lstrip(ascii_uppercase)))


def letters(position: int) -> str:
    """A sheet column's letters: 0 is A, 26 is AA."""
    found = ""
    position += 1
    while position:
        position, rest = divmod(position - 1, 26)
        found = ascii_uppercase[rest] + found
    return found


def _first(row: CellRow) -> Cell:
    return row[min(position for position, cell in row.items() if not blank(cell.raw))]
