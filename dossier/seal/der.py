"""Just enough DER (ITU-T X.690) to take a fixed frame apart and to put one together, strictly.

Tags of one byte, definite and shortest lengths, nothing after the end: so one value has one form. Not done
here: what the values mean. Raises ValueError for anything else.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

SEQUENCE, SET = 0x30, 0x31
INTEGER, OCTETS, OID = 0x02, 0x04, 0x06
CONTEXT_0 = 0xA0
MOST_LENGTH = 4  # bytes of a length


class Item(NamedTuple):
    """One value: its tag, its content, and both as they stand."""

    tag: int
    body: bytes
    raw: bytes


def items(data: bytes) -> Iterator[Item]:
    """The values that stand one behind the other."""
    at = 0
    while at < len(data):
        start, end = _content(data, at)
        yield Item(data[at], data[start:end], data[at:end])
        at = end


def one(data: bytes, tag: int) -> Item:
    """The one value that `data` is, which has this tag."""
    (found,) = fields(data, (tag,))
    return found


def fields(data: bytes, tags: tuple[int, ...]) -> tuple[Item, ...]:
    """The values that `data` is, which have exactly these tags."""
    found = tuple(items(data))
    if tuple(item.tag for item in found) != tags:
        raise ValueError("other fields than expected")
    return found


def tlv(tag: int, *content: bytes) -> bytes:
    """A value from its tag and content."""
    body = b"".join(content)
    if len(body) < 0x80:
        return bytes([tag, len(body)]) + body
    length = len(body).to_bytes((len(body).bit_length() + 7) // 8)
    return bytes([tag, 0x80 | len(length)]) + length + body


def _content(data: bytes, at: int) -> tuple[int, int]:
    """Where the content of the value at `at` starts and ends."""
    if data[at] & 0x1F == 0x1F or at + 2 > len(data):
        raise ValueError("a tag that is not expected, or no length")
    first, start = data[at + 1], at + 2
    length = first
    if first >= 0x80:
        start += first & 0x7F
        spelled = data[at + 2 : start]
        length = int.from_bytes(spelled)
        if not 1 <= len(spelled) <= MOST_LENGTH or length < 0x80 or not spelled[0]:
            raise ValueError("a length that is not the shortest")
    if start + length > len(data):
        raise ValueError("ends too early")
    return start, start + length
