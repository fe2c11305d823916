"""Merged cells of a workbook: a spreadsheet program keeps what stands in the first and leaves the rest blank.

A value written once across several rows would count for the first of them alone, and the others would say
nothing; so it is said. Aside are headings, columns that are not read, and rows that hold nothing else.
Ranges are looked for in the XML as text, in pieces, since the library gives none of a sheet that it reads row
by row; where a sheet's XML lies, the package says (ECMA-376 part 1, 18.2.19; part 2, relationships). Not done
here: reading the value into the other cells, since nobody knows that it was meant for each.
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
from bisect import bisect_right
from collections.abc import Collection, Iterator, Sequence
from typing import IO
from xml.etree import ElementTree  # without entities: `workbook_bounds` lets none through

import msgspec

from dossier.intake.tables import letters

MOST_MERGED = 1_000  # of one sheet; more than anybody mends
_MERGED = re.compile(
    rb"""<(?:\w+:)?mergeCell\s[^<>]{0,200}?\bref\s*=\s*["']\$?([A-Z]{1,3})\$?(\d{1,7}):\$?([A-Z]{1,3})\$?(\d{1,7})["']"""
)
_CHUNK = 1 << 20
_LARGEST = 1 << 20  # bytes of a part that lists the sheets
_LONGEST = 400  # bytes of one such element


class Merged(msgspec.Struct, frozen=True):
    """A range: columns from 0 and rows from 1, the last ones in it."""

    left: int
    top: int
    right: int
    bottom: int

    @property
    def first(self) -> str:
        return f"{letters(self.left)}{self.top}"

    def __str__(self) -> str:
        return f"{self.first}:{letters(self.right)}{self.bottom}"


def merged_by_title(data: bytes) -> dict[str, tuple[Merged, ...]]:
    """The ranges of each sheet, by its title. Raises what the zip reader or the XML reader raises."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        by_part: dict[str, tuple[Merged, ...]] = {}  # two sheets may be one part
        sheets = dict(_sheets(archive))
        for part in dict.fromkeys(sheets.values()):
            with archive.open(part) as stream:
                by_part[part] = merged_in(stream)
        return {title: by_part[part] for title, part in sheets.items()}


def merged_in(stream: IO[bytes]) -> tuple[Merged, ...]:
    """The ranges of a sheet's XML, in order, each once."""
    return tuple(dict.fromkeys(_found(stream)))[:MOST_MERGED]


def hiding(ranges: Collection[Merged], rows: Sequence[int], columns: Collection[int]) -> Iterator[Merged]:
    """Those that leave blank what is read: in a lower row that is filled, or in a column farther right.

    `rows`: numbers of the rows that are filled, in order, the headings first. `columns`: those that are read.
    """
    heading = rows[0]
    for one in ranges:
        after = bisect_right(rows, max(heading, one.top))
        below = after < len(rows) and rows[after] <= one.bottom
        beside = one.top > heading
        if (below and any(one.left <= column <= one.right for column in columns)) or (
            beside and any(one.left < column <= one.right for column in columns)
        ):
            yield one


def _found(stream: IO[bytes]) -> Iterator[Merged]:
    tail, count = b"", 0
    while (piece := stream.read(_CHUNK)) and count < MOST_MERGED:
        for match in _MERGED.finditer(tail + piece):
            count += 1
            yield _merged(*match.groups())
        tail = (tail + piece)[-_LONGEST:]


def _merged(left: bytes, top: bytes, right: bytes, bottom: bytes) -> Merged:
    columns, rows = sorted((_position(left), _position(right))), sorted((int(top), int(bottom)))
    return Merged(columns[0], rows[0], columns[1], rows[1])


def _sheets(archive: zipfile.ZipFile) -> Iterator[tuple[str, str]]:
    """Title and member of each sheet."""
    book = next((part for kind, part in _related(archive, "").values() if kind == "officeDocument"), "")
    parts = _related(archive, book)
    for sheet in _elements(archive, book, "sheet"):
        ids = [value for name, value in sheet.items() if name.rpartition("}")[2] == "id"]
        for kind, part in filter(None, map(parts.get, ids)):
            if kind == "worksheet":
                yield sheet.get("name", ""), part


def _related(archive: zipfile.ZipFile, part: str) -> dict[str, tuple[str, str]]:
    """What a part, or the package itself (""), leads to: kind and member, by id."""
    folder, name = posixpath.split(part)
    relations = _elements(archive, posixpath.join(folder, "_rels", f"{name}.rels"), "Relationship")
    return {
        one.get("Id", ""): (
            one.get("Type", "").rpartition("/")[2],
            posixpath.normpath(posixpath.join("/", folder, one.get("Target", ""))).lstrip("/"),
        )
        for one in relations
    }


def _elements(archive: zipfile.ZipFile, part: str, tag: str) -> list[ElementTree.Element]:
    """The elements of a small part by name, in either edition's namespace; none of a large part."""
    if part not in archive.namelist() or archive.getinfo(part).file_size > _LARGEST:
        return []
    return [one for one in ElementTree.fromstring(archive.read(part)).iter() if one.tag.endswith(f"}}{tag}")]


def _position(name: bytes) -> int:
    """A is 0, AA is 26."""
    found = 0
    for letter in name:
        found = found * 26 + letter - 64
    return found - 1
