"""CFF fonts whose glyphs are named by number: CID and place are made the same.

A PDF that embeds a CID-keyed font names glyphs by CID (ISO 32000-1, 9.7.4.2), which its charset gives them;
some programs take the place of the glyph instead. Where both are one number, all draw the same. Works on the
bytes of an OpenType font with a `CFF ` table (Adobe Technical Note #5176, 13 and 18; OpenType, "font file").
"""

from __future__ import annotations

import struct
from itertools import pairwise

_CHARSET, _ROS = 15, 0x0C1E  # operators of the Top DICT
_MAGIC = 0xB1B0AFBA  # of the checksum in `head`


def with_glyph_numbers(font: bytes) -> bytes:
    """The font with CID = glyph number. Raises ValueError for a font that is not CID-keyed."""
    data = bytearray(font)
    at, length = _table(font, b"CFF ")
    table = font[at : at + length]
    top = _top_dict(table)
    if _ROS not in top:
        raise ValueError("a CFF font whose glyphs have names and no CIDs")
    maxp, _ = _table(font, b"maxp")
    count = int.from_bytes(font[maxp + 4 : maxp + 6], "big")
    charset = _one_range(count)
    place = at + int(top[_CHARSET][0])
    data[place : place + len(charset)] = charset
    return _summed(data)


def _one_range(count: int) -> bytes:
    """A charset that is one range from 1 on, or one number; never longer than the one it replaces."""
    if count < 3:
        return b"\0\0\1"[: 1 + 2 * (count - 1)]
    return b"\2" + (1).to_bytes(2, "big") + (count - 2).to_bytes(2, "big")


def _table(font: bytes | bytearray, tag: bytes) -> tuple[int, int]:
    """Offset and length of a table."""
    for entry in _directory(font):
        if font[entry : entry + 4] == tag:
            offset, length = (int.from_bytes(font[entry + n : entry + n + 4], "big") for n in (8, 12))
            return offset, length
    raise ValueError(f"a font without {tag!r}")


def _directory(font: bytes | bytearray) -> range:
    return range(12, 12 + 16 * int.from_bytes(font[4:6], "big"), 16)


def _summed(data: bytearray) -> bytes:
    """With the checksums of the tables and of the whole font as they should be."""
    head, _ = _table(data, b"head")
    data[head + 8 : head + 12] = b"\0\0\0\0"
    for entry in _directory(data):
        offset, length = (int.from_bytes(data[entry + n : entry + n + 4], "big") for n in (8, 12))
        data[entry + 4 : entry + 8] = _checksum(data[offset : offset + length]).to_bytes(4, "big")
    data[head + 8 : head + 12] = ((_MAGIC - _checksum(data)) % 2**32).to_bytes(4, "big")
    return bytes(data)


def _checksum(data: bytes | bytearray) -> int:
    padded = bytes(data) + bytes(-len(data) % 4)
    words: tuple[int, ...] = struct.unpack(f">{len(padded) // 4}I", padded)
    return sum(words) % 2**32


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
