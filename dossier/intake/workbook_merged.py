"""Merged cells of a workbook: a spreadsheet program keeps what stands in the first and leaves the rest blank.

A value written once across several rows would count for the first of them alone, and the others would say
nothing; so it is said. Aside are headings, columns that are not read, and rows that hold nothing else.
Ranges are looked for in the XML as text, since the library gives none of a sheet that it reads row by row.
Not done here: reading the value into the other cells, since nobody knows that it was meant for each.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterator, Sequence
from itertools import islice
from typing import Any

import msgspec

from dossier.intake.tables import letters

MOST_MERGED = 1_000  # of one sheet; more than anybody mends
_MERGED = re.compile(
    rb"""<(?:\w+:)?mergeCell\s[^<>]{0,200}?\bref\s*=\s*["']\$?([A-Z]{1,3})\$?(\d{1,7}):\$?([A-Z]{1,3})\$?(\d{1,7})["']"""
)


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


def merged_of(sheet: Any) -> tuple[Merged, ...]:
    """The ranges of a sheet that the library reads row by row, which tells nobody else where its XML lies."""
    with sheet._get_source() as stream:
        return merged_in(stream.read())


def merged_in(xml: bytes) -> tuple[Merged, ...]:
    """The ranges of a sheet's XML, in order, each once."""
    found = islice(_MERGED.finditer(xml), MOST_MERGED)
    return tuple(dict.fromkeys(_merged(*match.groups()) for match in found))


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


def hidden_in(
    ranges: Collection[Merged], rows: Sequence[int], columns: Collection[int]
) -> dict[int, set[int]]:
    """By row, the columns that ranges cover; `rows` are in order, without headings.

    Of ranges that cover each other, as no program writes them, each cell is met once.
    """
    found: dict[int, set[int]] = {}
    for column in columns:
        done = 0
        for top, bottom in sorted((one.top, one.bottom) for one in ranges if one.left <= column <= one.right):
            for row in rows[bisect_left(rows, max(top, done + 1)) : bisect_right(rows, bottom)]:
                found.setdefault(row, set()).add(column)
            done = max(done, bottom)
    return found


def _merged(left: bytes, top: bytes, right: bytes, bottom: bytes) -> Merged:
    columns, rows = sorted((_position(left), _position(right))), sorted((int(top), int(bottom)))
    return Merged(columns[0], rows[0], columns[1], rows[1])


def _position(name: bytes) -> int:
    """A is 0, AA is 26."""
    found = 0
    for letter in name:
        found = found * 26 + letter - 64
    return found - 1
