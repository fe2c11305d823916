"""The objects of a dossier's file, found by its bytes alone.

Objects follow each other with nothing between, in order of number, so that where each stands can be found
twice: from the table and by walking from one to the next. Not done here: what the objects mean (`structure`).
Bounded: nothing is read but one object's text at a time; attachments' bytes are stepped over.
"""

from __future__ import annotations

import itertools
import re
from array import array
from typing import NamedTuple

from dossier.container import layout
from dossier.container.said import unreadable
from dossier.container.values import Name, Value, parse
from dossier.container.window import Window
from dossier.errors import NotCanonicalError
from dossier.model import signature_slot
from dossier.model.container import Limits

_HEAD = 4096
_ENTRY = re.compile(rb"(\d{10}) 00000 n \n")
_XREF_HEAD = re.compile(rb"xref\n0 ([1-9]\d{0,7})\n" + re.escape(layout.XREF_FREE))
_SLOT = b"<< /Type /Sig "
TAIL = 64
_VISIT = 100  # what looking at an object costs beside its text, in bytes of text
_LENGTH = Name("/Length")


class Piece(NamedTuple):
    """One object: its text (of a stream, its dictionary's), and where its stream's bytes stand."""

    text: bytes
    stream_at: int = 0  # 0: no stream
    stream_length: int = 0
    is_slot: bool = False

    @property
    def is_stream(self) -> bool:
        return self.stream_at > 0


class Objects:
    """The objects 1, 2, 3 ... of one revision, which ends with the table at `xref_at`."""

    def __init__(self, window: Window, limits: Limits, offsets: array[int], xref_at: int) -> None:
        self.window = window
        self.limits = limits
        self.offsets = offsets
        self.xref_at = xref_at
        self._work = 0

    @property
    def count(self) -> int:
        return len(self.offsets)

    def piece(self, number: int) -> Piece:
        """Object `number`. Raises NotCanonicalError when it does not fill its place exactly."""
        if not 1 <= number <= self.count:
            raise NotCanonicalError(f"there is no object {number}")
        start = self.offsets[number - 1]
        end = self.offsets[number] if number < self.count else self.xref_at
        piece = _piece(self.window, self.limits, number, start, end)
        self._work += len(piece.text) + _VISIT
        if self._work > self.limits.work_bytes:  # objects that refer to each other many times over
            raise unreadable("too-large")
        return piece

    def trailer(self) -> dict[Name, Value]:
        """What stands after the table; empty where that is not in the form that is written."""
        at = self.xref_at + layout.xref_length(self.count)
        text = self.window.read(at, _HEAD)
        try:
            entries = parse(text[len(b"trailer\n") : text.find(b"\nstartxref\n")])
        except NotCanonicalError:
            return {}
        return entries if isinstance(entries, dict) else {}

    def fill_the_file(self) -> bool:
        """Whether each object starts and ends where the table says."""
        try:
            for number in range(1, self.count + 1):
                self.piece(number)
        except NotCanonicalError:
            return False
        return True

    def value(self, number: int) -> Value:
        """The value of object `number` (of a stream, its dictionary). Raises NotCanonicalError."""
        return value_of(self.piece(number))

    def dictionary(self, number: int) -> dict[Name, Value]:
        """The same where a dictionary is wanted; empty where it is none or cannot be read."""
        try:
            value = self.value(number)
        except NotCanonicalError:
            return {}
        return value if isinstance(value, dict) else {}


def value_of(piece: Piece) -> Value:
    """The value in `piece`; None for the signature's slot. Raises NotCanonicalError."""
    if piece.is_slot:
        return None
    value = parse(piece.text)
    if piece.is_stream and not (isinstance(value, dict) and value.get(_LENGTH) == piece.stream_length):
        raise NotCanonicalError("a stream whose length is not what it says")
    return value


def by_table(window: Window, limits: Limits) -> Objects | None:
    """The objects as the table at the end of the file says; None when it is not of a dossier's form."""
    xref_at = layout.read_tail(window.read(window.size - TAIL, TAIL))
    head = _XREF_HEAD.match(window.read(xref_at, _HEAD)) if xref_at else None
    if xref_at is None or head is None:
        return None
    count = int(head[1]) - 1
    if count > limits.objects:
        raise unreadable("too-large")
    text = window.read(xref_at + head.end(), count * layout.ENTRY_LENGTH)
    offsets = array("Q", map(int, _ENTRY.findall(text)))
    ascending = all(a < b for a, b in itertools.pairwise(offsets))
    if len(offsets) != count or not count or not ascending or offsets[-1] >= xref_at:
        return None
    if offsets[0] != len(layout.HEADER):
        return None
    return Objects(window, limits, offsets, xref_at)


def by_walking(window: Window, limits: Limits) -> Objects | None:
    """The objects of the first revision, each starting where the one before it ends; None when that fails."""
    offsets, at = array("Q"), len(layout.HEADER)
    while True:
        head = window.read(at, _HEAD)
        if head.startswith(b"xref\n"):
            return Objects(window, limits, offsets, at) if offsets else None
        if len(offsets) >= limits.objects:
            raise unreadable("too-large")
        end = _end(window, limits, len(offsets) + 1, at, head)
        if end is None:
            return None
        offsets.append(at)
        at = end


def _end(window: Window, limits: Limits, number: int, at: int, head: bytes) -> int | None:
    """Where the object that starts at `at` ends, from what it says itself."""
    start = layout.object_start(number)
    if not head.startswith(start):
        return None
    if head.startswith(_SLOT, len(start)):
        return at + len(start) + signature_slot.LENGTH
    line = head.find(b"\n", len(start))
    if line < 0:
        head = window.read(at, limits.object_bytes)
        line = head.find(b"\n", len(start))
    after = window.read(at + line, len(layout.OBJECT_END))
    if after == layout.OBJECT_END:
        return at + line + len(after)
    return _stream_end(window, at + line, head[len(start) : line]) if after == layout.STREAM else None


def _stream_end(window: Window, line_end: int, text: bytes) -> int | None:
    try:
        value = parse(text)
    except NotCanonicalError:
        return None
    length = value.get(_LENGTH) if isinstance(value, dict) else None
    if type(length) is not int or length < 0:
        return None
    end = line_end + len(layout.STREAM) + length
    wanted = layout.stream_end(window.read(end - 1, 1) if length else b"")
    return end + len(wanted) if window.read(end, len(wanted)) == wanted else None


def _piece(window: Window, limits: Limits, number: int, start: int, end: int) -> Piece:
    length, begin = end - start, layout.object_start(number)
    head = window.read(start, min(length, _HEAD))
    if not head.startswith(begin):
        raise NotCanonicalError("does not start as an object does")
    if head.startswith(_SLOT, len(begin)) and length == len(begin) + signature_slot.LENGTH:
        return Piece(window.read(start + len(begin), signature_slot.LENGTH), is_slot=True)
    last = head[-18:] if length <= len(head) else window.read(end - 18, 18)
    if last.endswith(layout.STREAM_END):
        return _stream_piece(window, limits, start, len(begin), end)
    if not last.endswith(layout.OBJECT_END):
        raise NotCanonicalError("does not end as an object does")
    if length > limits.object_bytes:
        raise unreadable("too-large")
    whole = head if length <= len(head) else window.read(start, length)
    return Piece(whole[len(begin) : -len(layout.OBJECT_END)])


def _stream_piece(window: Window, limits: Limits, start: int, begin: int, end: int) -> Piece:
    """Canonical text holds no line break, so that the first one ends the dictionary."""
    head = window.read(start, _HEAD)
    line = head.find(b"\n", begin)
    if line < 0:
        head = window.read(start, limits.object_bytes)
        line = head.find(b"\n", begin)
    at = line + len(layout.STREAM)
    length = end - len(layout.STREAM_END) - start - at
    length -= _is_parted(window, start + at, length)
    if head[line:at] != layout.STREAM or length < 0:
        raise NotCanonicalError("a stream that does not fill its place")
    return Piece(head[begin:line], start + at, length)


def _is_parted(window: Window, start: int, length: int) -> bool:
    """Whether the last of these bytes belongs to the end of line, as `layout.stream_end` writes it."""
    last = window.read(start + max(length - 2, 0), min(length, 2)) if length > 0 else b""
    if not last.endswith(layout.CARRIAGE_RETURN):
        return False
    if last != layout.CARRIAGE_RETURN * 2:
        raise NotCanonicalError("a stream that ends in a carriage return and one line feed")
    return True
