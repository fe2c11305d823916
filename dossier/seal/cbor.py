"""The few kinds of CBOR that a code is made of, read strictly (RFC 8949 sections 3 and 4.2.1).

Unsigned integers, byte strings, text strings and arrays, each with its shortest head and a definite length.
Tags, maps, floats and everything else are refused, so hostile bytes reach no other decoder.
"""

from __future__ import annotations

from typing import Any

MAX_DEPTH = 4


class NotCborError(ValueError):
    """Bytes that are not one value of these kinds in deterministic encoding."""


def decode(data: bytes) -> Any:
    """The one value that `data` holds: int, bytes, str or list. Raises NotCborError."""
    value, end = _value(data, 0, MAX_DEPTH)
    if end != len(data):
        raise NotCborError("more than one value")
    return value


def decode_two(data: bytes) -> tuple[Any, Any]:
    """The two values that `data` holds, one after the other."""
    first, middle = _value(data, 0, MAX_DEPTH)
    return first, decode(data[middle:])


def _value(data: bytes, at: int, depth: int) -> tuple[Any, int]:
    major, number, at = _head(data, at)
    if major == 0:
        return number, at
    if major in (2, 3):
        return _string(data, at, number, text=major == 3)
    if major == 4 and depth:
        return _array(data, at, number, depth - 1)
    raise NotCborError("a kind that has no place here")


def _head(data: bytes, at: int) -> tuple[int, int, int]:
    """Major type, argument and where it ends; the shortest form only."""
    if at >= len(data):
        raise NotCborError("cut short")
    major, short = data[at] >> 5, data[at] & 31
    if short < 24:
        return major, short, at + 1
    if short > 27:
        raise NotCborError("no definite length")
    size = 1 << (short - 24)
    number = int.from_bytes(data[at + 1 : at + 1 + size])
    if at + 1 + size > len(data) or number < (24, 1 << 8, 1 << 16, 1 << 32)[short - 24]:
        raise NotCborError("cut short, or not the shortest form")
    return major, number, at + 1 + size


def _string(data: bytes, at: int, size: int, *, text: bool) -> tuple[Any, int]:
    end = at + size
    if end > len(data):
        raise NotCborError("cut short")
    try:
        return (data[at:end].decode("utf-8") if text else data[at:end]), end
    except UnicodeDecodeError:
        raise NotCborError("text that is not UTF-8") from None


def _array(data: bytes, at: int, size: int, depth: int) -> tuple[list[Any], int]:
    items: list[Any] = []
    while len(items) < size:  # each item takes at least one byte, so the data bound the loop
        item, at = _value(data, at, depth)
        items.append(item)
    return items, at
