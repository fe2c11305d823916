"""What is attached to a PDF that is not laid out as a dossier: each stream that calls itself embedded.

Another program that saves a dossier again keeps what is attached, packed anew and in an order of its own.
Here no object is followed and nothing is believed but the bytes that a stream unpacks to; whoever uses them
has to have them signed. Not done here: names, pages, which stream is what. Invariants: what is read and
unpacked is bounded by the size of the file, what is kept of all of them by `most`.
"""

from __future__ import annotations

import hashlib
import re
import zlib
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import NamedTuple

from dossier.container.read import DEFAULT_LIMITS
from dossier.container.window import Window, opened
from dossier.model.container import Limits

_CHUNK = 1 << 20
_ROOM = 4096  # bytes of a stream's dictionary before its type, and after
_OVERLAP = 256
_UNPACKED = 64 << 20  # bytes that may be read and unpacked beyond three times the file's size
# ISO 32000-2, table 44: the type is optional there, and is written by every program that is known.
_TYPE = re.compile(rb"/EmbeddedFile(?![A-Za-z])")
_DATA = re.compile(rb"stream\r?\n")
_END = re.compile(rb"\r?\n?endstream")
# One of qpdf's ways of saving says the length in the next object, after comments; see `_end_of_data`.
_LENGTH_AFTER = re.compile(
    rb"\s{0,2}endstream\s{1,2}endobj\s{1,3}(?:%[^\r\n]{0,80}\s{1,2}){0,3}\d{1,9} 0 obj\s{1,2}(\d{1,12})\s"
)
_LENGTH = re.compile(rb"/Length\s{1,9}+(\d{1,12}+)(?!\s{1,9}\d{1,9}\s{1,9}R)")
_FLATE = re.compile(rb"/Filter\s{0,9}+\[?\s{0,9}+/FlateDecode\s{0,9}+\]?\s{0,9}+(?=/|>|$)")
_OTHER = re.compile(rb"/(?:Filter|F)\b")


class Embedded(NamedTuple):
    """`content`: its bytes where they begin as was asked for, and are not too many; else none of them."""

    sha256: str
    content: bytes


class _Stream(NamedTuple):
    at: int
    length: int  # -1: not said beside it
    packed: bool


class _TooMuchError(Exception):
    """More is read or unpacked than the file's size accounts for."""


class _Budget:
    """Bytes read and unpacked: streams may overlap, and one may unpack to a thousand times its size."""

    def __init__(self, size: int) -> None:
        self.left = 3 * size + _UNPACKED

    def spent(self, piece: bytes) -> bytes:
        self.left -= len(piece)
        if self.left < 0:
            raise _TooMuchError
        return piece


def embedded(
    path: Path, begins: tuple[bytes, ...], most: int, limits: Limits = DEFAULT_LIMITS
) -> list[Embedded]:
    """Every embedded file that can be unpacked, in the order in which they lie; none where that is too much.

    Kept are those that begin with one of `begins`.

    Raises UnreadableError where the file cannot be opened.
    """
    with opened(path, limits) as window:
        budget = _Budget(window.size)
        found: list[Embedded] = []
        try:
            for stream in _streams(window, limits, budget):
                if one := _embedded(window, stream, begins, most, budget):
                    found.append(one)
                    most -= len(one.content)
        except _TooMuchError:
            return []
        return found


def _embedded(
    window: Window, stream: _Stream, begins: tuple[bytes, ...], most: int, budget: _Budget
) -> Embedded | None:
    digest, content, kept = hashlib.sha256(), bytearray(), True
    try:
        for piece in filter(None, _unpacked(window, stream, budget)):
            digest.update(piece)
            if kept:
                content += piece
                kept = len(content) <= most and any(map(content.startswith, begins))
    except zlib.error:
        return None
    return Embedded(digest.hexdigest(), bytes(content) if kept else b"")


def _streams(window: Window, limits: Limits, budget: _Budget) -> Iterator[_Stream]:
    """Those that can be unpacked here, no two at one place; of as many places as a dossier may have."""
    last = 0
    for at in islice(_places(window), limits.attachments):
        start = max(0, at - _ROOM)
        text = budget.spent(window.read(start, at - start + _ROOM))
        data = _DATA.search(text, at - start)
        if data is None or b"endobj" in text[at - start : data.start()]:
            continue
        place = start + data.end()
        entries = text[text.rfind(b"obj", 0, at - start) + 1 : data.start()]
        packed = bool(_FLATE.search(entries))
        if place <= last or (_OTHER.search(entries) and not packed):
            continue
        last = place
        length = _LENGTH.search(entries)
        yield _Stream(place, int(length[1]) if length else -1, packed)


def _places(window: Window) -> Iterator[int]:
    """Where the type stands, in order."""
    for start in range(0, window.size, _CHUNK):
        chunk = window.read(start, _CHUNK + _OVERLAP)
        yield from (start + found.start() for found in _TYPE.finditer(chunk) if found.start() < _CHUNK)


def _unpacked(window: Window, stream: _Stream, budget: _Budget) -> Iterator[bytes]:
    """In pieces of a bounded size. Raises zlib.error, _TooMuchError."""
    end = window.size if stream.length < 0 else min(window.size, stream.at + stream.length)
    if not stream.packed:
        end = end if stream.length >= 0 else _end_of_data(window, stream.at, budget)
        for at in range(stream.at, end, _CHUNK):
            yield budget.spent(window.read(at, min(_CHUNK, end - at)))
        return
    unpack = zlib.decompressobj()
    for at in range(stream.at, end, _CHUNK):
        packed = budget.spent(window.read(at, min(_CHUNK, end - at)))
        while packed and not unpack.eof:
            yield budget.spent(unpack.decompress(packed, _CHUNK))
            packed = unpack.unconsumed_tail
        if unpack.eof:
            return
    raise zlib.error


def _end_of_data(window: Window, start: int, budget: _Budget) -> int:
    """Where a stream ends whose length stands elsewhere: as the next object says, else before its keyword; or
    where it starts, when there is none.
    """
    for at in range(start, window.size, _CHUNK):
        chunk = budget.spent(window.read(at, _CHUNK + _OVERLAP))
        if found := _END.search(chunk):
            end = at + found.start()
            said = _LENGTH_AFTER.match(budget.spent(window.read(end, _OVERLAP)))
            length = int(said[1]) if said else 0
            return start + length if end - start <= length <= end - start + 2 else end
    return start
