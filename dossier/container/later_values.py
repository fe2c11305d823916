"""Values as any program writes them behind a signed revision: dictionaries, tables and streams of objects.

No more is understood than says which objects there are (`later`); what is written otherwise raises
NotCanonicalError. Invariant: one budget bounds all that is read, unpacked and listed.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Mapping

from dossier.errors import NotCanonicalError

_BUDGET = 32 << 20  # bytes unpacked; what is dear counts for more
_TEXT_COST = 8  # of a byte of a dictionary
ENTRY_COST = 100  # of an entry of a table
_MOST_TEXT = 1 << 20  # bytes of one dictionary
_MOST_WIDTH = 100
_CHUNK = 1 << 14
_STRING = rb"\((?:[^()\\]|\\.|\((?:[^()\\]|\\.|\((?:[^()\\]|\\.)*+\))*+\))*+\)"
_TOKEN = re.compile(
    rb"(?:[\0\t\n\f\r ]|%[^\r\n]*+)*+"
    rb"(<<|>>|[\[\]]|/[^\0\t\n\f\r ()<>\[\]{}/%]*|" + _STRING + rb"|<[0-9A-Fa-f\s]*+>"
    rb"|[^\0\t\n\f\r ()<>\[\]{}/%]+)",
    re.DOTALL,
)
_ESCAPE = re.compile(rb"#([0-9A-Fa-f]{2})")
_FROM_ABOVE = 2  # how a row's differences are written (PNG, 9.2)

Entries = Mapping[bytes, tuple[bytes, ...]]  # the tokens of each value


class Budget:
    """What may still be read, unpacked and listed."""

    def __init__(self) -> None:
        self.left = _BUDGET

    def spend(self, count: int) -> None:
        """Raises NotCanonicalError where there is no more."""
        self.left -= count
        if self.left < 0:
            raise NotCanonicalError("more than is read")


def dictionary(text: bytes, at: int, budget: Budget) -> tuple[Entries, int]:
    """The entries of a dictionary at `at` and where it ends; none where another value stands there.

    Raises NotCanonicalError where it does not end, or has a name twice.
    """
    budget.spend(0)
    end = min(len(text), at + _MOST_TEXT)
    first = _TOKEN.match(text, at, end)
    budget.spend(_TEXT_COST * ((first.end() if first else end) - at))
    if first is None or first[1] != b"<<":
        return {}, at
    try:
        entries, after = _entries(text, first.end(), end)
    except NotCanonicalError:
        budget.spend(_TEXT_COST * (end - at))
        raise
    budget.spend(_TEXT_COST * (after - at))
    return entries, after


def _entries(text: bytes, at: int, end: int) -> tuple[Entries, int]:
    entries: dict[bytes, tuple[bytes, ...]] = {}
    name, value, depth = b"", list[bytes](), 1
    while depth and (token := _TOKEN.match(text, at, end)):
        at, said = token.end(), token[1]
        is_key = depth == 1 and said.startswith(b"/") and (not name or bool(value))
        depth += (said in (b"<<", b"[")) - (said in (b">>", b"]"))
        if is_key or not depth:
            if name in entries:
                break
            if name:
                entries[name] = tuple(value)
            name, value = _plain(said), []
        else:
            value.append(_plain(said))
    if depth:
        raise NotCanonicalError("no dictionary")
    return entries, at


def _plain(said: bytes) -> bytes:
    """A name without escapes; anything else as it stands."""
    if not said.startswith(b"/"):
        return said
    return _ESCAPE.sub(lambda found: bytes.fromhex(found[1].decode()), said)


def whole(entries: Entries, key: bytes) -> int | None:
    """A whole number; None where it is none."""
    value = entries.get(key, ())
    return int(value[0]) if len(value) == 1 and value[0].isdigit() and len(value[0]) < 13 else None


def rows(entries: Entries, text: bytes, at: int, budget: Budget) -> list[tuple[int, int, int]]:
    """What a table lists that is a stream (ISO 32000-1 7.5.8). Raises NotCanonicalError."""
    widths, size = _numbers(entries, b"/W"), whole(entries, b"/Size")
    index = _numbers(entries, b"/Index") if b"/Index" in entries else [0, size or 0]
    count, width = sum(index[1::2]), sum(widths)
    if len(widths) != 3 or len(index) % 2 or not 0 < width < _MOST_WIDTH:
        raise NotCanonicalError("no table")
    budget.spend(count * ENTRY_COST)
    data = _without_differences(entries, text, at, count, width, budget)
    sections = zip(index[::2], index[1::2], strict=True)
    numbers = [number for first, many in sections for number in range(first, first + many)]
    one, two = widths[0], widths[0] + widths[1]
    listed = [data[n : n + width] for n in range(0, len(data), width)]
    return [
        (number, int.from_bytes(row[:one]) if one else 1, int.from_bytes(row[one:two]))
        for number, row in zip(numbers, listed, strict=True)
    ]


def held(entries: Entries, text: bytes, at: int, budget: Budget) -> list[int]:
    """The numbers of the objects in a stream (ISO 32000-1 7.5.7). Raises NotCanonicalError."""
    count, first = whole(entries, b"/N"), whole(entries, b"/First")
    if count is None or first is None:
        raise NotCanonicalError("no stream of objects")
    said = _data(entries, text, at, first, budget).split()
    budget.spend(len(said) * ENTRY_COST)
    if len(said) != 2 * count or not all(one.isdigit() and len(one) < 11 for one in said):
        raise NotCanonicalError("no stream of objects")
    return [int(one) for one in said[::2]]


def _numbers(entries: Entries, key: bytes) -> list[int]:
    """An array of whole numbers. Raises NotCanonicalError."""
    value = entries.get(key, ())
    if value[:1] != (b"[",) or not all(one.isdigit() and len(one) < 13 for one in value[1:-1]):
        raise NotCanonicalError("no array of numbers")
    return [int(one) for one in value[1:-1]]


def _without_differences(
    entries: Entries, text: bytes, at: int, count: int, width: int, budget: Budget
) -> bytes:
    """The rows of a table, where they stand as they are or as differences from the row above."""
    said = [one for one in entries.get(b"/DecodeParms", ()) if one not in (b"[", b"]", b"<<", b">>", b"null")]
    parameters = dict(zip(said[::2], said[1::2], strict=False))
    if parameters.get(b"/Predictor", b"1") == b"1":
        return _data(entries, text, at, count * width, budget)
    if parameters.get(b"/Columns") != b"%d" % width or parameters.keys() & {b"/Colors", b"/BitsPerComponent"}:
        raise NotCanonicalError("other differences")
    packed, found, above = _data(entries, text, at, count * (width + 1), budget), list[bytes](), bytes(width)
    for n in range(0, len(packed), width + 1):
        row = packed[n + 1 : n + 1 + width]
        if packed[n] not in (0, _FROM_ABOVE):
            raise NotCanonicalError("other differences")
        if packed[n]:
            row = bytes((a + b) & 0xFF for a, b in zip(row, above, strict=True))
        found.append(row)
        above = row
    return b"".join(found)


def _data(entries: Entries, text: bytes, at: int, length: int, budget: Budget) -> bytes:
    """The first bytes of a stream, unpacked. Raises NotCanonicalError."""
    packing = [one for one in entries.get(b"/Filter", ()) if one not in (b"[", b"]")]
    if packing not in ([], [b"/FlateDecode"]) or b"/F" in entries:
        raise NotCanonicalError("packed otherwise")
    budget.spend(length)
    data = _unpacked(text, at, length, budget) if packing else text[at : at + length]
    if len(data) < length:
        raise NotCanonicalError("cut short")
    return data


def _unpacked(text: bytes, at: int, length: int, budget: Budget) -> bytes:
    engine, data, packed = zlib.decompressobj(), bytearray(), b""
    try:
        while len(data) < length and not engine.eof:
            if not packed:
                packed = text[at : at + _CHUNK]
                at += _CHUNK
                budget.spend(_CHUNK)
            if not packed:
                break
            data += engine.decompress(packed, length - len(data))
            packed = engine.unconsumed_tail
    except zlib.error as error:
        raise NotCanonicalError("damaged") from error
    return bytes(data)
