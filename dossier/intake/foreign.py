"""A table of one's own in a job folder (prices, an address list): is it one of ours under another name?

Looks at the beginning of a text alone. Not done here: saying it (`odd_files`).
"""

from __future__ import annotations

import stat
from collections.abc import Mapping

from dossier.intake.csvtext import SEPARATORS, OpenQuote, rows
from dossier.intake.desk import Desk
from dossier.intake.letters import decoded
from dossier.intake.schema import TABLES, Fields, plain_word

_TEXTS = (".csv", ".tsv")
_START = 8_192  # bytes


def table_meant(desk: Desk, name: str) -> str:
    """The table of ours whose headings the file has: every needed one, and half of those there or more.

    "parts", or "" for none.
    """
    if not name.casefold().endswith(_TEXTS):
        return ""
    start = _start(desk, name)
    found = (table_under(_headings(start, separator), TABLES) for separator in SEPARATORS)
    return next(filter(None, found), "")


def table_under(headings: set[str], tables: Mapping[str, Fields]) -> str:
    """The first table whose needed headings are all there, and half of what is there or more is its own."""
    return next((table for table, fields in tables.items() if _fits(fields, headings)), "")


def _start(desk: Desk, name: str) -> str:
    path = desk.folder / name
    try:
        if not stat.S_ISREG(path.lstat().st_mode):
            return ""
        with path.open("rb") as stream:
            return decoded(stream.read(_START)) or ""
    except OSError:
        return ""


def _headings(text: str, separator: str) -> set[str]:
    first = next(rows(text, separator), {})
    if isinstance(first, OpenQuote):
        return set()
    return {plain_word(cell.text) for cell in first.values() if cell.text.strip()}


def _fits(fields: Fields, headings: set[str]) -> bool:
    known = {plain_word(field.heading) for field in fields} & headings
    needed = {plain_word(field.heading) for field in fields if field.needed}
    return needed <= known and 2 * len(known) >= len(headings)
