"""A table's rows to entries by its headings, for CSV text and for sheets alike.

Headings may be in any case and order, with spaces or underscores. Not done here: what a cell's words mean.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import chain, islice
from string import ascii_uppercase

import msgspec

from dossier.intake.csvtext import SEPARATORS, OpenQuote, Row, named_separator, rows
from dossier.intake.entries import Cell, Entry, blank
from dossier.intake.report import Long, Report, listed
from dossier.intake.schema import Field, Fields, plain_word
from dossier.intake.values import SAID
from dossier.model.finding import At

MOST_ROWS = 20_000
_LOOKED_AT = 500  # rows, for which columns are filled: not all, so that memory stays flat
_FEW = 2  # rows with a cell right of all headings, which is then said of each
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
    first = [*islice(remaining, _LOOKED_AT)]
    heading_row = _with_blank(heading_row, first)
    headings = _headings(heading_row, fields, report)
    if not headings:
        return []
    said = _said_of(headings, heading_row, fields)
    entries = []
    for number, row in enumerate(chain(first, remaining), 1):
        if number > MOST_ROWS:
            report.say("too-many-rows", _first(row).at, most=MOST_ROWS)
            break
        for cell in _stray(row, headings):
            report.say("cell-without-heading", cell.at, typed=str(cell.raw))
        if entry := _entry(row, headings):
            entries.append(msgspec.structs.replace(entry, cells=said | entry.cells))
    return entries


def _with_blank(headings: CellRow, below: list[CellRow]) -> CellRow:
    """The headings, also each that is blank and lacks: cells stand below it, and a heading right of it.

    Right of all headings several rows must have one, or most where the first row has no cell there: else it
    is the row that is shifted.
    """
    named = {position: cell for position, cell in headings.items() if not blank(cell.raw)}
    last = max(named, default=0)
    filled: dict[int, list[Cell]] = {}
    for row in below:
        for position, cell in row.items():
            if position not in named and not blank(cell.raw):
                filled.setdefault(position, []).append(cell)
    for position, cells in sorted(filled.items()):
        place = headings.get(position) or _missing(position, headings)
        if position < last or len(cells) > (_FEW if place else max(_FEW, len(below) / 2)):
            named[position] = Cell(None, (place or cells[0]).at)
    return named


def _said_of(headings: dict[int, Field | None], row: CellRow, fields: Fields) -> dict[str, Cell]:
    """A value that has been spoken of for each column that is not there and is needed; for each whatever,
    where a heading that is not known may be that of any.
    """
    lost = sorted(position for position, field in headings.items() if field is None)
    at = row[lost[-1]].at if lost else _first(row).at
    return {field.name: Cell(SAID, at) for field in _absent(headings, fields) if lost or field.needed}


def _separator(text: str, fields: Fields) -> str:
    """Whichever separator gives the most known headings in the first row."""
    return max(SEPARATORS, key=lambda separator: _known_headings(text, separator, fields))


def _known_headings(text: str, separator: str, fields: Fields) -> tuple[int, int]:
    known = {plain_word(field.heading) for field in fields}
    first = next(rows(text, separator), {})
    if isinstance(first, OpenQuote):  # which is then said of a table with these headings
        typed = text.replace('"', "").lstrip().partition("\n")[0].split(separator)
    else:
        typed = [cell.text for cell in first.values()]
    words = [plain_word(one) for one in typed]
    return sum(word in known for word in words), sum(map(bool, words))


def _located(text: str, separator: str, file: str, report: Report) -> Iterator[CellRow]:
    for row in rows(text, separator):
        if not isinstance(row, OpenQuote):
            yield _cells(row, file)
            continue
        goes_on = "goes_on" if row.goes_on else "ends"
        rest = report.words.say(f"intake.left_out.{goes_on}", line=row.goes_on)
        report.say("quote-not-closed", At(file=file, line=row.line, column=row.column), rest=rest)


def _cells(row: Row, file: str) -> CellRow:
    return {
        position: Cell(cell.text, At(file=file, line=cell.line, column=cell.column))
        for position, cell in row.items()
    }


def _headings(row: CellRow, fields: Fields, report: Report) -> dict[int, Field | None]:
    """Field by position; None under a heading that is not known (said once). Empty when none is known."""
    known = {plain_word(field.heading): field for field in fields}
    found = {position: known.get(plain_word(str(cell.raw or ""))) for position, cell in row.items()}
    if not any(found.values()) or (_lacking(found, fields) and _mostly_strange(row, known, report)):
        report.say("no-headings", _first(row).at, known=listed(field.heading for field in fields))
        return {}
    meant = _say_unknown(row, found, fields, report)
    meant |= _say_twice(row, found, report)
    if "" in meant:
        _note_hidden(row, found, fields, report)
        return found
    for name in _lacking(found, fields):
        if name not in meant:
            report.say("missing-heading", _first(row).at, name=name.replace("_", " "))
    return found


def _mostly_strange(row: CellRow, known: dict[str, Field], report: Report) -> bool:
    """Whether it is a row of the table's own, in which a word is a heading by chance ("seen", "material")."""
    typed = [plain_word(str(cell.raw)) for cell in row.values() if not blank(cell.raw)]
    return 2 * sum(one in known or bool(report.nearest(one, known)) for one in typed) < len(typed)


def _absent(found: dict[int, Field | None], fields: Fields) -> list[Field]:
    """The fields that have no column, those that are needed first."""
    present = {field.name for field in found.values() if field}
    absent = [field for field in fields if field.name not in present]
    return sorted(absent, key=lambda field: not field.needed)


def _lacking(found: dict[int, Field | None], fields: Fields) -> list[str]:
    """The names of needed fields that have no column."""
    return [field.name for field in _absent(found, fields) if field.needed]


def _say_unknown(row: CellRow, found: dict[int, Field | None], fields: Fields, report: Report) -> set[str]:
    """Say the headings that are not known; gives the names of fields probably meant, "" for any."""
    known = {plain_word(field.heading): field for field in fields}
    absent = listed(field.heading for field in _absent(found, fields))
    meant = set()
    for position, field in found.items():
        if row[position].raw is SAID:
            meant.add("")
        elif field is None:
            typed, at = str(row[position].raw or ""), row[position].at
            near = known.get(report.nearest(plain_word(typed), known))
            heading = near.heading if near else ""
            code = "unknown-heading" if typed else "heading-blank"
            report.say(code, at, nearest=heading, typed=typed, known=_left(code, absent, report))
            meant.add(near.name if near else "")
    return meant


def _left(code: str, absent: str, report: Report) -> Long:
    """What to do there: write one of the headings without a column, where there is one."""
    return Long(
        report.words.say(f"intake.{'heading_left' if absent else 'no_heading_left'}.{code}", known=absent)
    )


def _note_hidden(row: CellRow, found: dict[int, Field | None], fields: Fields, report: Report) -> None:
    """Any column that is not there may be the one under a heading that is like none ("Datum"), or blank."""
    at = row[max(position for position, field in found.items() if field is None)].at  # where it is said
    for field in _absent(found, fields):
        report.meant(field.name, at)


def _say_twice(row: CellRow, found: dict[int, Field | None], report: Report) -> set[str]:
    """Say a heading that stands twice. Which of the two is meant nobody knows: both are left out, and what
    stands below may be anything ("").
    """
    named = Counter(field.name for field in found.values() if field)
    twice = [(position, field) for position, field in found.items() if field and named[field.name] > 1]
    said: set[str] = set()
    for position, field in twice:
        if field.name in said:
            report.say("heading-twice", row[position].at, name=field.heading)
        said.add(field.name)
        found[position] = None
    return {""} if twice else set()


def _stray(row: CellRow, headings: dict[int, Field | None]) -> list[Cell]:
    """The first cell that stands under no heading; one a row is enough."""
    strays = (cell for position, cell in row.items() if position not in headings and not blank(cell.raw))
    return [cell for cell in strays if cell.raw is not SAID][:1]


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
