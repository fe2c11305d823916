"""Which objects of a signed revision the bytes behind it change: define anew, free, or leave out.

A reader goes by the tables that the last bytes lead to (ISO 32000-1 7.5.4 to 7.5.8): as text or as a stream,
and objects may stand in streams of their own. Here all of these are read, wherever they stand. A help, not a
verdict: with such bytes a file is never in order. Invariants: what is read and unpacked is bounded; `certain`
is said only where every table and every stream of objects was read, and no table leads anywhere else.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable
from functools import partial
from itertools import islice
from typing import NamedTuple

from dossier.container import layout
from dossier.container.later_values import ENTRY_COST, Budget, Entries, dictionary, held, rows, whole
from dossier.container.scan import Objects
from dossier.errors import NotCanonicalError

_ROOM = 64  # bytes before "obj" that its numbers stand in
_MOST_TABLES = 100
_W = rb"[\0\t\n\f\r ]"
# A word by itself; it is looked for first, and then what stands before it, which is fifty times faster.
_OBJECT = re.compile(rb"obj(?<![A-Za-z]obj)(?![A-Za-z])")
_NUMBER = re.compile(rb"(?<!\d)(\d{1,10})" + _W + rb"{1,20}\d{1,10}" + _W + rb"{0,20}$")
_XREF = re.compile(rb"xref(?<![A-Za-z]xref)(?![A-Za-z])")
_TRAILER = re.compile(rb"trailer(?<![A-Za-z]trailer)(?![A-Za-z])")
_START = re.compile(rb"startxref(?:" + _W + rb"{1,20}(\d{1,12})(?!\d))?")
_SECTION = re.compile(_W + rb"{0,20}(\d{1,10})" + _W + rb"{1,20}(\d{1,10})" + _W + rb"{1,20}")
_ENTRY = re.compile(rb"(\d{1,10})" + _W + rb"{1,20}(\d{1,5})" + _W + rb"{1,20}([nf])" + _W + rb"{0,20}")
_BEFORE_TRAILER = re.compile(_W + rb"{0,20}trailer")
_STREAM = re.compile(_W + rb"{0,20}stream(?:\r\n|\n|\r)")
_FREED, _IN_PLACE = 0, 1

_Listed = Iterable[tuple[int, int, int]]  # number, kind of its entry, where it stands


class Later(NamedTuple):
    """`numbers`: of the objects. `certain`: whether there are no others."""

    numbers: frozenset[int] = frozenset()
    certain: bool = True


def look(objects: Objects, end: int, tables: Collection[int]) -> Later:
    """What stands from `end` on; `tables`: where those stand that lead to the objects as they were signed."""
    window, most = objects.window, objects.limits.tail_bytes
    if end >= window.size:
        return Later()
    reading = _Reading(objects, window.read(end, most), end)
    steps: tuple[Callable[[], None], ...] = (
        reading.read_objects,
        reading.read_tables,
        lambda: reading.follow(tables),
    )
    for step in steps:  # each says what it found up to where it could go no further
        reading.trying(step)
    return Later(frozenset(reading.numbers), reading.certain and end + most >= window.size)


def is_revision(text: bytes) -> bool:
    """Whether bytes behind the end may be taken for a revision by a reader."""
    return b"xref" in text or bool(_OBJECT.search(text))


class _Table(NamedTuple):
    entries: Entries
    unchanged: frozenset[int]  # listed where they stood


class _Reading:
    """What was read so far of `text`, which stands at `start` of the file."""

    def __init__(self, objects: Objects, text: bytes, start: int) -> None:
        self._objects, self._text, self._start = objects, text, start
        self.numbers: set[int] = set()
        self.certain = True
        self._tables: dict[int, _Table] = {}
        self._budget = Budget()

    def trying(self, step: Callable[[], None]) -> None:
        try:
            step()
        except NotCanonicalError:
            self.certain = False

    def read_objects(self) -> None:
        """Every object by its number, and what streams of objects and tables among them list."""
        most = self._objects.limits.objects
        for count, found in enumerate(islice(_OBJECT.finditer(self._text), most + 1)):
            at, after = found.span()
            number = _NUMBER.search(self._text, max(0, at - _ROOM), at)
            if number is None or count == most:
                self.certain = False
                continue
            self.numbers.add(int(number[1]))
            stands_at = self._start + number.start()
            self.trying(partial(self._read_stream, stands_at, after))

    def _read_stream(self, at: int, after: int) -> None:
        entries, end = dictionary(self._text, after, self._budget)
        begin = _STREAM.match(self._text, end) if entries else None
        if begin is None:
            return
        if entries.get(b"/Type") == (b"/XRef",) or b"/W" in entries:
            self._take(at, entries, rows(entries, self._text, begin.end(), self._budget))
        elif entries.get(b"/Type") == (b"/ObjStm",) or b"/First" in entries:
            self.numbers.update(held(entries, self._text, begin.end(), self._budget))

    def read_tables(self) -> None:
        """Every table that is text, with the trailer behind it."""
        found = list(islice(_XREF.finditer(self._text), _MOST_TABLES))
        trailers = sum(1 for _ in islice(_TRAILER.finditer(self._text), _MOST_TABLES + 1))
        self.certain &= trailers == len(found)
        for one in found:
            listed, at = self._listed(one.end())
            entries, _ = dictionary(self._text, at, self._budget)
            self._take(self._start + one.start(), entries, listed)

    def _listed(self, at: int) -> tuple[list[tuple[int, int, int]], int]:
        """The entries of a table and where its trailer's dictionary begins. Raises NotCanonicalError."""
        listed: list[tuple[int, int, int]] = []
        while section := _SECTION.match(self._text, at):
            at = section.end()
            self._budget.spend((1 + int(section[2])) * ENTRY_COST)
            for number in range(int(section[1]), int(section[1]) + int(section[2])):
                entry = _ENTRY.match(self._text, at)
                if entry is None or (number and entry[2] == b"65535"):  # some readers count from 0 then
                    raise NotCanonicalError("no entry")
                listed.append((number, _IN_PLACE if entry[3] == b"n" else _FREED, int(entry[1])))
                at = entry.end()
        trailer = _BEFORE_TRAILER.match(self._text, at)
        if trailer is None:
            raise NotCanonicalError("a table without a trailer")
        return listed, trailer.end()

    def _take(self, at: int, entries: Entries, listed: _Listed) -> None:
        if len(self._tables) == _MOST_TABLES:
            raise NotCanonicalError("more tables than are followed")
        unchanged = set()
        for number, kind, offset in listed:
            if kind == _IN_PLACE and self._stood_at(number) == offset:
                unchanged.add(number)
            elif number:
                self.numbers.add(number)
        self._tables[at] = _Table(entries, frozenset(unchanged))

    def _stood_at(self, number: int) -> int:
        return self._objects.offsets[number - 1] if 1 <= number <= self._objects.count else -1

    def follow(self, tables: Collection[int]) -> None:
        """Where the tables lead, and what one leaves out that leads to no other."""
        places = {*self._tables, *tables}
        starts = list(islice(_START.finditer(self._text), _MOST_TABLES + 1))
        self.certain &= len(starts) <= _MOST_TABLES and all(
            one[1] and int(one[1]) in places for one in starts
        )
        besides = {whole(one.entries, b"/XRefStm") for one in self._tables.values()}
        for at, table in self._tables.items():
            self._follow(table, places, alone=at not in besides)

    def _follow(self, table: _Table, places: Collection[int], *, alone: bool) -> None:
        entries = table.entries
        leads = {whole(entries, key) for key in (b"/Prev", b"/XRefStm") if key in entries}
        reaches = (whole(entries, b"/Size") or 0) > self._objects.count  # others count as not there
        self.certain &= reaches and b"/Encrypt" not in entries and leads <= set(places)
        if entries.get(b"/Root", ())[:1] != (b"%d" % layout.ROOT,):
            self.numbers.add(layout.ROOT)
        if b"/Prev" not in entries and alone:
            self.numbers.update(set(range(1, self._objects.count + 1)) - table.unchanged)
