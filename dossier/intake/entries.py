"""One shape for what stands in a TOML table, a CSV row or a row of a sheet: named cells with their places.

`read_entry` turns an entry into values by the schema's fields. Invariant: a value that could not be read is
left out and said; the caller's defaults then stand for "not said".
"""

from __future__ import annotations

from typing import Any

import msgspec

from dossier.intake.report import Report, listed
from dossier.intake.schema import TOP, Field, Fields
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
    meant: dict[str, Cell] = {}
    for name, cell in entry.cells.items():
        if name not in known:
            meant[_say_unknown(name, known, cell.at, report)] = cell
        elif (value := convert(known[name], cell.raw, cell.at, report)) is not None:
            values[name] = value
    places = {name: cell.at for name, cell in entry.cells.items()}
    whole = _say_missing(fields, values, meant | entry.cells, entry.at, report)
    return Read(values, places, entry.at, whole)


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


def _say_missing(
    fields: Fields, values: dict[str, Any], cells: dict[str, Cell], at: At, report: Report
) -> bool:
    """Say each needed value that was left blank; one that was wrong, or misspelt, has been said already."""
    missing = [field for field in fields if field.needed and field.name not in values]
    for field in missing:
        cell = cells.get(field.name)
        if cell is None or blank(cell.raw):
            report.say("missing-value", cell.at if cell else at, name=field.heading)
    return not missing


def blank(raw: object) -> bool:
    return raw is None or (isinstance(raw, str) and not raw.strip()) or raw == []
