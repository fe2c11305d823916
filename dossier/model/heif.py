"""What stands in a HEIF or HEIC file: its boxes, its items, where each lies and of what the picture is made.

By ISO/IEC 14496-12 (section 4.2 for boxes, 8.11 for items) and ISO/IEC 23008-12.

Not done here: decoding, judging. Pure. Invariants: at most so many boxes and extents are read; a box that
ends too soon raises IndexError or struct.error, nothing else is raised.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

_MOST_BOXES = 10_000
_MOST_EXTENTS = 20_000
_MOST_REFERENCES = 200_000  # of one kind; a grid has at most 65,536 (ISO/IEC 23008-12, 6.6.2.3.2)

Span = tuple[int, int]


def boxes(data: bytes, within: Span) -> Iterator[tuple[bytes, Span]]:
    """Kind and content of each box (ISO/IEC 14496-12, 4.2)."""
    at, end = within
    for _ in range(_MOST_BOXES):
        if at + 8 > end:
            return
        length, kind = struct.unpack(">I4s", data[at : at + 8])
        head = 8
        if length == 1:
            (length,), head = struct.unpack(">Q", data[at + 8 : at + 16]), 16
        stop = end if length == 0 else at + length
        if not at + head <= stop <= end:
            return
        yield kind, (at + head, stop)
        at = stop


def first(data: bytes, kind: bytes, within: Span) -> Span | None:
    return next((span for found, span in boxes(data, within) if found == kind), None)


def kinds(data: bytes, meta: Span) -> dict[int, bytes]:
    """What each item is (8.11.6)."""
    found = first(data, b"iinf", meta)
    if found is None:
        return {}
    entries = found[0] + (6 if data[found[0]] == 0 else 8), found[1]
    kinds = {}
    for kind, (start, _) in boxes(data, entries):
        version = data[start]
        if kind == b"infe" and version in {2, 3}:
            wide = 2 if version == 2 else 4
            item = int.from_bytes(data[start + 4 : start + 4 + wide])
            kinds[item] = data[start + 6 + wide : start + 10 + wide]
    return kinds


def places(data: bytes, meta: Span) -> dict[int, list[Span]]:
    """Where each item lies, of those that lie in this file as they are (8.11.3)."""
    found = first(data, b"iloc", meta)
    return _Locations(data, *found).read() if found else {}


class _Locations:
    """One item location box, read from its start."""

    def __init__(self, data: bytes, at: int, end: int) -> None:
        self.data, self.at, self.end = data, at, end
        self.left = _MOST_EXTENTS

    def read(self) -> dict[int, list[Span]]:
        version, _ = self._number(1), self._number(3)
        sizes = self._number(2)
        widths = [sizes >> shift & 15 for shift in (12, 8, 4, 0)]
        count = self._number(2 if version < 2 else 4)
        places: dict[int, list[Span]] = {}
        for _ in range(count):
            item = self._number(2 if version < 2 else 4)
            method = self._number(2) & 15 if version else 0
            elsewhere = self._number(2)
            extents = list(self._extents(widths, indexed=version > 0))
            if not method and not elsewhere:
                places[item] = extents
        return places

    def _extents(self, widths: list[int], *, indexed: bool) -> Iterator[Span]:
        offset, length, base, index = widths
        start = self._number(base)
        for _ in range(self._number(2)):
            self.left -= 1
            if indexed:
                self._number(index)
            place = start + self._number(offset)
            yield place, min(place + self._number(length), len(self.data))

    def _number(self, wide: int) -> int:
        if self.at + wide > self.end or self.left < 0:
            raise IndexError
        self.at += wide
        return int.from_bytes(self.data[self.at - wide : self.at])


def shown(data: bytes, meta: Span) -> list[int]:
    """The items that the picture is made of; its thumbnail and its depth are not (8.11.4 and 8.11.12)."""
    shown_first = primary(data, meta)
    if shown_first is None:
        return []
    waiting = [shown_first]
    parts = references(data, meta, b"dimg")
    shown: dict[int, None] = {}
    while waiting:  # what a grid or a turned picture is made of may itself be made of others
        item = waiting.pop()
        if item not in shown:
            shown[item] = None
            waiting += dict.fromkeys(parts.get(item, ()))
    return list(shown)


def primary(data: bytes, meta: Span) -> int | None:
    """The item that is shown (8.11.4)."""
    found = first(data, b"pitm", meta)
    if found is None:
        return None
    return int.from_bytes(data[found[0] + 4 : found[0] + (6 if data[found[0]] == 0 else 8)])


def references(data: bytes, meta: Span, wanted: bytes) -> dict[int, list[int]]:
    """To which items each refers in this way, as often as it does (ISO/IEC 14496-12, 8.11.12).

    What an item is derived from stands under "dimg" (ISO/IEC 23008-12, 6.6).
    """
    found = first(data, b"iref", meta)
    if found is None:
        return {}
    wide = 2 if data[found[0]] == 0 else 4
    refers: dict[int, list[int]] = {}
    left = _MOST_REFERENCES
    for kind, (start, end) in boxes(data, (found[0] + 4, found[1])):
        if kind != wanted or left <= 0:
            continue
        numbers = [int.from_bytes(data[at : at + wide]) for at in range(start + wide + 2, end, wide)][:left]
        refers.setdefault(int.from_bytes(data[start : start + wide]), []).extend(numbers)
        left -= len(numbers)
    return refers
