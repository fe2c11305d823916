"""Whether the coded pictures in a HEIC are whole, as far as their own bytes tell.

The decoder fills what is damaged with something and says nothing. But a coded picture is a row of units,
each behind its length, that fill it to the last byte (ISO/IEC 14496-15, 8.3.3.1); and no unit holds three
bytes 0, 0 and 0 to 2 in a row or ends with 0 (ISO/IEC 23008-2, 7.3.1.1 and 7.4.2). So what comes back from a
card as zeros is found, and what is gone or lies over the start of a unit. Not found: other bytes within one.

Not done here: decoding. Pure. Invariants: nothing is raised, each byte is looked at a few times at most; what
has no form that is read here counts as whole, since its decoder speaks for it.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

_MOST_BOXES = 10_000
_MOST_EXTENTS = 20_000
_NEVER = (b"\0\0\0", b"\0\0\1", b"\0\0\2")
_HEVC = b"hvc1"

Span = tuple[int, int]
_Error = (struct.error, IndexError)


def whole(data: bytes) -> bool:
    """Of a HEIC's bytes: False where a coded picture in it is surely damaged."""
    try:
        return _whole(data)
    except _Error:  # a box that ends too soon
        return True


def _whole(data: bytes) -> bool:
    meta = _first(data, b"meta", (0, len(data)))
    if meta is None:
        return True
    inside = meta[0] + 4, meta[1]
    kinds, places = _kinds(data, inside), _places(data, inside)
    wide = _length_of_lengths(data, inside)
    seen = 0
    for item in _shown(data, inside):
        extents = places.get(item, []) if kinds.get(item) == _HEVC else []
        seen += sum(end - start for start, end in extents)
        if seen > 2 * len(data):  # the same bytes again and again: no camera's
            return True
        if not _units(b"".join(data[start:end] for start, end in extents), wide):
            return False
    return True


def _shown(data: bytes, meta: Span) -> list[int]:
    """The items that the picture is made of; its thumbnail and its depth are not (8.11.4 and 8.11.12)."""
    primary = _first(data, b"pitm", meta)
    if primary is None:
        return []
    wide = 2 if data[primary[0]] == 0 else 4
    waiting = [int.from_bytes(data[primary[0] + 4 : primary[0] + 4 + wide])]
    parts = _parts(data, meta)
    shown: dict[int, None] = {}
    while waiting:  # what a grid or a turned picture is made of may itself be made of others
        item = waiting.pop()
        if item not in shown:
            shown[item] = None
            waiting += parts.get(item, ())
    return list(shown)


def _parts(data: bytes, meta: Span) -> dict[int, list[int]]:
    """What each item is derived from (ISO/IEC 23008-12, 6.6: "dimg")."""
    found = _first(data, b"iref", meta)
    if found is None:
        return {}
    wide = 2 if data[found[0]] == 0 else 4
    parts: dict[int, list[int]] = {}
    for kind, (start, end) in _boxes(data, (found[0] + 4, found[1])):
        numbers = [int.from_bytes(data[at : at + wide]) for at in range(start + wide + 2, end, wide)]
        if kind == b"dimg":
            parts[int.from_bytes(data[start : start + wide])] = list(dict.fromkeys(numbers))
    return parts


def _units(coded: bytes, wide: int) -> bool:
    at = 0
    while at < len(coded):
        length = int.from_bytes(coded[at : at + wide])
        start, end = at + wide, at + wide + length
        if length < 2 or end > len(coded) or coded[start] & 0x80 or coded[end - 1] == 0:
            return False
        if any(coded.find(never, start, end) >= 0 for never in _NEVER):
            return False
        at = end
    return True


def _boxes(data: bytes, within: Span) -> Iterator[tuple[bytes, Span]]:
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


def _first(data: bytes, kind: bytes, within: Span) -> Span | None:
    return next((span for found, span in _boxes(data, within) if found == kind), None)


def _kinds(data: bytes, meta: Span) -> dict[int, bytes]:
    """What each item is (8.11.6)."""
    found = _first(data, b"iinf", meta)
    if found is None:
        return {}
    entries = found[0] + (6 if data[found[0]] == 0 else 8), found[1]
    kinds = {}
    for kind, (start, _) in _boxes(data, entries):
        version = data[start]
        if kind == b"infe" and version in {2, 3}:
            wide = 2 if version == 2 else 4
            item = int.from_bytes(data[start + 4 : start + 4 + wide])
            kinds[item] = data[start + 6 + wide : start + 10 + wide]
    return kinds


def _places(data: bytes, meta: Span) -> dict[int, list[Span]]:
    """Where each item lies, of those that lie in this file as they are (8.11.3)."""
    found = _first(data, b"iloc", meta)
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


def _length_of_lengths(data: bytes, meta: Span) -> int:
    """As the decoder configuration says (ISO/IEC 14496-15, 8.3.3.1.2: lengthSizeMinusOne)."""
    properties = _first(data, b"iprp", meta)
    shared = _first(data, b"ipco", properties) if properties else None
    found = _first(data, b"hvcC", shared) if shared else None
    return (data[found[0] + 21] & 3) + 1 if found else 4
