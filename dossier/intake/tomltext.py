"""TOML text to plain values, and the line and column of every key and list item in it.

The standard library reads and judges the text; the scan here only says where things stand, and is given
nothing but text that has been read already. Invariant: a place is missing rather than wrong.
"""

from __future__ import annotations

import contextlib
import re
import tomllib
from bisect import bisect_right
from typing import Any

Path = tuple[str | int, ...]
Places = dict[Path, tuple[int, int]]  # line and column from 1

TOO_DEEP = "too deep or too long"
_PLACE = re.compile(r"\(at (?:line (\d+), column (\d+)|end of document)\)")
# Reading a key of n parts takes the standard library time with the square of n.
_CHAIN = re.compile(r"""(?<![\w-])(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){60}""")
_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_KEY = re.compile(r"""[ \t]*("(?:[^"\\]++|\\.)*+"|'[^']*'|[A-Za-z0-9_-]+)[ \t]*""")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"""(?:"{0,2})|' + r"'''.*?'''(?:'{0,2})|" + r'"(?:[^"\\]++|\\.)*+"|' + r"'[^']*'",
    re.DOTALL,
)
_BARE = re.compile(r"[^,\]}\n#]*")


class TomlTextError(ValueError):
    """The text is not TOML; the message is in plain words, with its place from 1."""

    def __init__(self, message: str, line: int, column: int) -> None:
        super().__init__(message)
        self.message = message
        self.line = line
        self.column = column


def read_toml(text: str) -> tuple[dict[str, Any], Places]:
    """Values and places. Raises TomlTextError."""
    if match := _CHAIN.search(text):
        line = text.count("\n", 0, match.start()) + 1
        raise TomlTextError(TOO_DEEP, line, match.start() - text.rfind("\n", 0, match.start()))
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _problem(str(error), text) from None
    except (RecursionError, ValueError):  # nested a thousand deep; a whole number of 5,000 figures
        raise TomlTextError(TOO_DEEP, 1, 1) from None
    return values, _places(text)


def _problem(message: str, text: str) -> TomlTextError:
    match = _PLACE.search(message)
    plain = _PLACE.sub("", message).strip()
    if match and match[1]:
        return TomlTextError(plain, int(match[1]), int(match[2]))
    lines = text.splitlines() or [""]
    return TomlTextError(plain, len(lines), len(lines[-1]) + 1)


def _places(text: str) -> Places:
    scan = _Scan(text)
    with contextlib.suppress(RecursionError, _LostError):
        scan.document()
    return scan.places


class _LostError(Exception):
    """The scan met something it does not know; the places found so far stand."""


class _Scan:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.places: Places = {}
        self._starts = [0, *(i + 1 for i, c in enumerate(text) if c == "\n")]
        self._counts: dict[Path, int] = {}  # tables met so far of each list of tables

    def document(self) -> None:
        table: Path = ()
        self._blank()
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)
            self._blank()

    def _header(self) -> Path:
        start = self.at
        many = self.text.startswith("[[", self.at)
        self.at += 2 if many else 1
        path = self._resolved(self._keys(), many)
        self.places.setdefault(path, self._here(start))
        self._expect("]]" if many else "]")
        return path

    def _resolved(self, keys: list[str], many: bool) -> Path:
        """The path of a header: each list of tables on the way stands at its last table."""
        path: Path = ()
        for number, key in enumerate(keys, 1):
            path = (*path, key)
            if many and number == len(keys):
                self._counts[path] = self._counts.get(path, 0) + 1
                self.places.setdefault(path, self._here(self.at))
            if path in self._counts:
                path = (*path, self._counts[path] - 1)
        return path

    def _pair(self, table: Path) -> None:
        start = self.at
        path = table
        for key in self._keys():
            path = (*path, key)
            self.places.setdefault(path, self._here(start))
        self._expect("=")
        self._value(path)

    def _keys(self) -> list[str]:
        keys = []
        while True:
            token = self._match(_KEY)[1]
            keys.append(_unquoted(token))
            if not self.text.startswith(".", self.at):
                return keys
            self.at += 1

    def _value(self, path: Path) -> None:
        self._blank()
        first = self.text[self.at : self.at + 1]
        if first == "[":
            self._list(path)
        elif first == "{":
            self._inline(path)
        else:
            self._match(_STRING if first and first in "\"'" else _BARE)

    def _list(self, path: Path) -> None:
        self.at += 1
        number = 0
        while not self._closed("]"):
            self.places[(*path, number)] = self._here(self.at)
            self._value((*path, number))
            number += 1
            self._comma()

    def _inline(self, path: Path) -> None:
        self.at += 1
        while not self._closed("}"):
            self._pair(path)
            self._comma()

    def _comma(self) -> None:
        self._blank()
        if self.text.startswith(",", self.at):
            self.at += 1

    def _closed(self, bracket: str) -> bool:
        self._blank()
        if self.at >= len(self.text):
            raise _LostError
        if self.text[self.at] == bracket:
            self.at += 1
            return True
        return False

    def _blank(self) -> None:
        self._match(_BLANK)

    def _match(self, pattern: re.Pattern[str]) -> re.Match[str]:
        match = pattern.match(self.text, self.at)
        if match is None:
            raise _LostError
        self.at = match.end()
        return match

    def _expect(self, token: str) -> None:
        if not self.text.startswith(token, self.at):
            raise _LostError
        self.at += len(token)

    def _here(self, at: int) -> tuple[int, int]:
        line = bisect_right(self._starts, at)
        return line, at - self._starts[line - 1] + 1


def _unquoted(token: str) -> str:
    if token[0] not in "\"'":
        return token
    if "\\" not in token or token[0] == "'":
        return token[1:-1]
    return next(iter(tomllib.loads(f"{token}=0")))
