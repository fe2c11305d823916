"""The numbers (CIDs) that a CID-keyed CFF font gives its glyphs (Adobe Technical Note #5176, 13 and 18).

A PDF that embeds such a font names glyphs by CID and not by their place (ISO 32000-1, 9.7.4.2). Only what is
needed for that is read, from font files that come with a package. Raises ValueError for anything else.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice, pairwise

_CHARSET, _ROS = 15, 0x0C1E  # operators of the Top DICT


def glyph_cids(table: bytes, glyph_count: int) -> list[int]:
    """CID by glyph number, for a `CFF ` table of a font with `glyph_count` glyphs."""
    top = _top_dict(table)
    if _ROS not in top:
        raise ValueError("a CFF font whose glyphs have names and no CIDs")
    return _charset(table, int(top[_CHARSET][0]), glyph_count)


def _index(table: bytes, at: int) -> tuple[list[tuple[int, int]], int]:
    """Places of an INDEX's items, and where it ends."""
    count = int.from_bytes(table[at : at + 2], "big")
    if not count:
        return [], at + 2
    size, start = table[at + 2], at + 3
    offsets = [
        int.from_bytes(table[start + n * size : start + (n + 1) * size], "big") for n in range(count + 1)
    ]
    data = start + (count + 1) * size - 1
    return [(data + a, data + b) for a, b in pairwise(offsets)], data + offsets[-1]


def _top_dict(table: bytes) -> dict[int, list[float]]:
    _, after_names = _index(table, table[2])
    [(start, end)], _ = _index(table, after_names)
    return _dict(table[start:end])


def _dict(data: bytes) -> dict[int, list[float]]:
    found: dict[int, list[float]] = {}
    operands: list[float] = []
    at = 0
    while at < len(data):
        byte = data[at]
        if byte <= 21:
            operator = byte if byte != 12 else 0x0C00 | data[at + 1]
            found[operator], operands = operands, []
            at += 1 if byte != 12 else 2
            continue
        value, at = _operand(data, at)
        operands.append(value)
    return found


def _operand(data: bytes, at: int) -> tuple[float, int]:
    byte = data[at]
    if byte == 28:
        return int.from_bytes(data[at + 1 : at + 3], "big", signed=True), at + 3
    if byte == 29:
        return int.from_bytes(data[at + 1 : at + 5], "big", signed=True), at + 5
    if byte == 30:  # a real number: two digits a byte, ends with the digit F
        end = at + 1
        while data[end] & 15 != 15:
            end += 1
        return 0.0, end + 1
    if byte <= 246:
        return byte - 139, at + 1
    sign = 1 if byte <= 250 else -1
    return sign * ((byte - (247 if sign > 0 else 251)) * 256 + data[at + 1] + 108), at + 2


def _charset(table: bytes, at: int, glyph_count: int) -> list[int]:
    kind, at = table[at], at + 1
    if kind == 0:
        codes = (int.from_bytes(table[n : n + 2], "big") for n in range(at, at + 2 * (glyph_count - 1), 2))
        return [0, *codes]
    return [0, *islice(_ranges(table, at, 1 if kind == 1 else 2), glyph_count - 1)]


def _ranges(table: bytes, at: int, size: int) -> Iterator[int]:
    while at < len(table):
        first = int.from_bytes(table[at : at + 2], "big")
        left = int.from_bytes(table[at + 2 : at + 2 + size], "big")
        yield from range(first, first + left + 1)
        at += 2 + size
