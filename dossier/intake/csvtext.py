"""Text of a table to rows of cells with line and column, as RFC 4180 and spreadsheet programs write it.

Comma, semicolon or tab; quoted cells with newlines; CRLF, CR or LF. Blank rows are passed over.
A quotation mark that is not closed in its cell would swallow the rows after it: what it stands in is left out
up to the next line with as many cells as the first row has.
Rows are given one by one, so that memory stays bounded whatever the text. Not done here: headings.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import msgspec

SEPARATORS = ",;\t"
MOST_CELLS = 40  # of one row; what stands further right is reported as one surplus cell
MOST_OPEN = 500  # quotation marks that are not closed; after them nothing is read

_QUOTED = re.compile(r'"((?:[^"]++|"")*+)"')
_NEWLINE = re.compile(r"\r\n|\r|\n")
_SEP_LINE = re.compile(r"sep=([,;\t])(?:\r\n|\r|\n)", re.IGNORECASE)


class TextCell(msgspec.Struct, frozen=True):
    text: str
    line: int
    column: int


Row = dict[int, TextCell]  # by position from 0


class OpenQuote(msgspec.Struct, frozen=True):
    """A quotation mark that opens a cell and is not closed: its place, and the line read next (0: none)."""

    line: int
    column: int
    goes_on: int = 0


class _OpenQuoteError(ValueError):
    """The reader stands at such a mark."""


def rows(text: str, separator: str) -> Iterator[Row | OpenQuote]:
    """The rows of `text` that are not blank, and in the place of what was left out why."""
    reader = _Reader(text, separator)
    match = _SEP_LINE.match(text)
    if match:  # a spreadsheet's own first line that names the separator
        reader.skip(match.end())
    width = 0
    opened: list[OpenQuote] = []  # since the last row that was read
    marks = 0
    while reader.at < len(text) and marks < MOST_OPEN:
        line = reader.line
        try:
            row = reader.row()
        except _OpenQuoteError:
            opened.append(OpenQuote(reader.line, reader.column))
            marks += 1
            reader.next_line()
            continue
        if opened and len(row) == width:
            yield from (msgspec.structs.replace(one, goes_on=line) for one in opened)
            opened.clear()
        if not opened and any(cell.text.strip() for cell in row.values()):
            width = width or len(row)
            yield row
    yield from opened


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
        self._between = re.compile(f"[{separator}\r\n]")

    @property
    def column(self) -> int:
        return self.at - self.line_start + 1

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
        line, column = self.line, self.column
        quoted = self._quoted() if self.text.startswith('"', self.at) else ""
        match = self._until_separator(self.at)
        self.at = match.end()
        return TextCell(quoted + match[0], line, column)

    def _until_separator(self, at: int) -> re.Match[str]:
        match = self._plain.match(self.text, at)
        assert match is not None  # the pattern takes the empty text
        return match

    def _quoted(self) -> str:
        """Where words follow the mark that closes it, and a separator or newline lies before it, it may well
        open a cell of its own.
        """
        match = _QUOTED.match(self.text, self.at)
        if not match:
            raise _OpenQuoteError
        if self._between.search(match[1]) and self._until_separator(match.end())[0].strip():
            raise _OpenQuoteError
        self.at = match.end()
        self._count_lines(match.start(), match.end())
        return match[1].replace('""', '"')

    def _count_lines(self, start: int, end: int) -> None:
        for newline in _NEWLINE.finditer(self.text, start, end):
            self.line += 1
            self.line_start = newline.end()

    def next_line(self) -> None:
        """Leave out what is left of the line."""
        match = _NEWLINE.search(self.text, self.at)
        self.at = match.start() if match else len(self.text)
        self._newline()

    def _newline(self) -> None:
        match = _NEWLINE.match(self.text, self.at)
        if match:
            self.at = match.end()
            self.line += 1
            self.line_start = self.at
