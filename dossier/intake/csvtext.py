"""Text of a table to rows of cells with line and column, as RFC 4180 and spreadsheet programs write it.

Comma, semicolon or tab; quoted cells with newlines; CRLF, CR or LF. Blank rows are passed over.
Rows are given one by one, so that memory stays bounded whatever the text. Not done here: headings.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import msgspec

SEPARATORS = ",;\t"
MOST_CELLS = 40  # of one row; what stands further right is reported as one surplus cell

_QUOTED = re.compile(r'"((?:[^"]++|"")*+)"')
_NEWLINE = re.compile(r"\r\n|\r|\n")
_SEP_LINE = re.compile(r"sep=([,;\t])(?:\r\n|\r|\n)", re.IGNORECASE)


class TextCell(msgspec.Struct, frozen=True):
    text: str
    line: int
    column: int


Row = dict[int, TextCell]  # by position from 0


class QuoteNotClosedError(ValueError):
    """A quotation mark opens a cell and is never closed; the place of the mark from 1."""

    def __init__(self, line: int, column: int) -> None:
        super().__init__(f"{line}:{column}")
        self.line = line
        self.column = column


def rows(text: str, separator: str) -> Iterator[Row]:
    """The rows of `text` that are not blank. Raises QuoteNotClosedError after the rows before it."""
    reader = _Reader(text, separator)
    match = _SEP_LINE.match(text)
    if match:  # a spreadsheet's own first line that names the separator
        reader.skip(match.end())
    while reader.at < len(text):
        row = reader.row()
        if any(cell.text.strip() for cell in row.values()):
            yield row


def named_separator(text: str) -> str:
    """The separator that the text names in a first line "sep=;"; "" when it does not."""
    match = _SEP_LINE.match(text)
    return match[1] if match else ""


class _Reader:
    def __init__(self, text: str, separator: str) -> None:
        self.text = text
        self.at = 0
        self.line = 1
        self.line_start = 0
        self.separator = separator
        self._plain = re.compile(f"[^{separator}\r\n]*")

    def skip(self, to: int) -> None:
        self.at = to
        self.line, self.line_start = 2, to

    def row(self) -> Row:
        cells: Row = {}
        position = 0
        while True:
            cell = self._cell()
            if position < MOST_CELLS or cell.text.strip():
                cells.setdefault(min(position, MOST_CELLS), cell)
            if not self.text.startswith(self.separator, self.at):
                self._newline()
                return cells
            self.at += 1
            position += 1

    def _cell(self) -> TextCell:
        line, column = self.line, self.at - self.line_start + 1
        start = self.at
        quoted = ""
        if self.text.startswith('"', start):
            quoted = self._quoted(line, column)
        match = self._plain.match(self.text, self.at)
        assert match is not None  # the pattern takes the empty text
        self.at = match.end()
        return TextCell(quoted + match[0], line, column)

    def _quoted(self, line: int, column: int) -> str:
        match = _QUOTED.match(self.text, self.at)
        if match is None:
            raise QuoteNotClosedError(line, column)
        self.at = match.end()
        self._count_lines(match.start(), match.end())
        return match[1].replace('""', '"')

    def _count_lines(self, start: int, end: int) -> None:
        for newline in _NEWLINE.finditer(self.text, start, end):
            self.line += 1
            self.line_start = newline.end()

    def _newline(self) -> None:
        match = _NEWLINE.match(self.text, self.at)
        if match:
            self.at = match.end()
            self.line += 1
            self.line_start = self.at
