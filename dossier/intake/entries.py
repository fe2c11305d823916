"""One shape for what stands in a TOML table, a CSV row or a row of a sheet: named cells with their places.

`read_entry` turns an entry into values by the schema's fields. Invariant: a value that could not be read is
left out and said; the caller's defaults then stand for "not said".
"""

from __future__ import annotations

from typing import Any

import msgspec

from dossier.intake.report import Long, Report, listed
from dossier.intake.schema import TABLES, TOP, Field, Fields
from dossier.intake.values import convert
from dossier.model.finding import At


class Cell(msgspec.Struct, frozen=True):
    """What was typed: text, or a typed value of TOML or a workbook."""

    raw: object
    at: At


class Entry(msgspec.Struct, frozen=True):
    """Named cells; `at` is where the entry begins."""

    cells: dict[str, Cell]
    at: At


class Read(msgspec.Struct, frozen=True):
    """An entry as values, with the place of each."""

    values: dict[str, Any]
    places: dict[str, At]
    at: At
    whole: bool  # every needed value is there

    def place(self, name: str) -> At:
        return self.places.get(name, self.at)

    def text(self, name: str) -> str:
        return str(self.values.get(name, ""))


class Raw(msgspec.Struct):
    """A whole job as typed, whichever form it came in."""

    top: Entry
    sections: dict[str, Entry] = {}
    lists: dict[str, list[Entry]] = {}
    tables: dict[str, list[Entry]] = {}
    notes: list[Entry] = []
    readable: bool = True  # False: the job's own file could not be read, only its tables


def read_entry(fields: Fields, entry: Entry, report: Report) -> Read:
    """The values of `entry`; blank cells are left out, unknown names and missing needed ones are said."""
    values: dict[str, Any] = {}
    known = {field.name: field for field in fields}
    cells = _as_meant(entry, known, report)
    places = {name: cell.at for name, cell in cells.items()}
    missing = _missing(fields, values, cells)
    needed = sum(field.needed for field in fields)
    if _is_row(entry.at) and len(missing) == needed > 1:  # a line of totals, a remark: not judged
        _say_missing(missing, cells, entry.at, report)
        return Read(values, places, entry.at, False)
    for name, cell in entry.cells.items():
        if name in known and (value := convert(known[name], cell.raw, cell.at, report)) is not None:
            values[name] = value
    _say_missing(_missing(fields, values, cells), cells, entry.at, report)
    whole = all(field.name in values for field in fields if field.needed)
    return Read(values, places, entry.at, whole)


def _as_meant(entry: Entry, known: dict[str, Field], report: Report) -> dict[str, Cell]:
    """The cells, those under a name that is not known (which is said) also by the name that was meant."""
    cells = dict(entry.cells)
    for name, cell in entry.cells.items():
        if name not in known:
            cells.setdefault(_say_unknown(name, known, cell.at, report), cell)
    return cells


def read_all(fields: Fields, entries: list[Entry], report: Report) -> list[Read]:
    return [read_entry(fields, entry, report) for entry in entries]


def _say_unknown(name: str, known: dict[str, Field], at: At, report: Report) -> str:
    """Say a name that is not known here; what belongs to the head of the job is easily typed too far down.

    Gives the name that was probably meant, "" for none.
    """
    if name in {field.name for field in TOP}:
        report.say("key-out-of-place", at, typed=name)
        return ""
    meant = report.nearest(name, known)
    report.say("unknown-key", at, nearest=meant, typed=name, known=listed(known))
    return meant


def _missing(fields: Fields, values: dict[str, Any], cells: dict[str, Cell]) -> list[Field]:
    """The needed fields that were left blank; one that was wrong, or misspelt, has been said already."""
    lacking = [field for field in fields if field.needed and field.name not in values]
    return [field for field in lacking if field.name not in cells or blank(cells[field.name].raw)]


def _say_missing(missing: list[Field], cells: dict[str, Cell], at: At, report: Report) -> None:
    """Once of an entry, where the first is missing."""
    if not missing:
        return
    place = cells[missing[0].name].at if missing[0].name in cells else at
    out = Long(report.words.say("intake.or_out") if _is_row(at) else "")
    report.say("missing-value", place, names=listed(field.heading for field in missing), out=out)


def _is_row(at: At) -> bool:
    """Whether it is a row of a table, which may be none of its own."""
    return bool(at.sheet) or at.table in TABLES


def blank(raw: object) -> bool:
    return raw is None or (isinstance(raw, str) and not raw.strip()) or raw == []
