"""Digests of pages and of the other parts of a document, by what they hold and not by how it is numbered.

A digest goes over the canonical text of an object and of all it refers to, in order of first mention, with
references replaced by that order and pages by their number; streams count as decoded. Two documents that
show the same thing the same way have the same digests whatever else is in the file (attachments, signature).
Bounded: streams are decoded in pieces up to the limits. Not done here: saying which of two is right.
"""

from __future__ import annotations

import hashlib
import re
import zlib
from collections.abc import Iterator

from dossier.container.said import unreadable
from dossier.container.scan import Objects, Piece
from dossier.container.structure import Look, look_at_pages
from dossier.container.values import Name, Ref, Value, parse, serialize
from dossier.container.window import Window
from dossier.errors import NotCanonicalError

CHUNK = 1 << 16
_TAIL = 5  # bytes: the last of the codes, and the checksum (RFC 1950, 2.2)
_REF = re.compile(rb"\((?:[^()\\]|\\.)*\)|([1-9]\d{0,9}) 0 R")
_NODE = ("/Kids", "/Count", "/Parent")
# Parts of the catalogue with a digest of their own; what belongs to attachments and signing has none.
_PARTS = {
    "outline": "/Outlines",
    "structure": "/StructTreeRoot",
    "metadata": "/Metadata",
    "output intent": "/OutputIntents",
    "form": "/AcroForm",
}
_APART = frozenset(_PARTS.values()) | {"/AF", "/Names", "/Extensions", "/Pages"}


class Document:
    """The parts of a document as digests."""

    def __init__(self, objects: Objects) -> None:
        self._objects = objects
        look = Look(objects)
        self._root = look.root
        self._names = look.follow(self._root.get(Name("/Names")))
        self.pages = look_at_pages(look)
        self._labels = {number: b"page %d" % n for n, number in enumerate(self.pages, 1)}
        self._streams: dict[int, bytes] = {}
        self._decoded = 0

    def page_digests(self) -> list[str]:
        """SHA-256 (hex) of each page: its content, resources, annotations and what it inherits."""
        return [self._page(number) for number in self.pages]

    def part_digests(self) -> dict[str, str]:
        """SHA-256 (hex) of each part of the catalogue, and of the information dictionary."""
        parts = {part: self._digest(self._root.get(Name(key))) for part, key in _PARTS.items()}
        rest: dict[Name, Value] = {key: value for key, value in self._root.items() if key not in _APART}
        rest[Name("/Names")] = {k: v for k, v in self._names.items() if k != "/EmbeddedFiles"}
        # What a viewer shows as the file's title stands in the trailer (ISO 32000-1 14.3.3).
        information = self._digest(self._objects.trailer().get(Name("/Info")))
        return {**parts, "catalogue": self._digest(rest), "information": information}

    @property
    def identifier(self) -> Value:
        """The first half of /ID; the second is of the version (ISO 32000-1 14.4), by how it is packed too."""
        both = self._objects.trailer().get(Name("/ID"))
        return both[0] if isinstance(both, list) and both else None

    def reached(self, number: int) -> set[int]:
        """The objects that make up page `number` (from 1)."""
        page = self._objects.dictionary(self.pages[number - 1])
        reached = {self.pages[number - 1]}
        todo = [_without(page, ("/Parent",))]
        while todo:
            for ref in _references(serialize(todo.pop())):
                if ref not in reached and ref not in self._labels and ref <= self._objects.count:
                    reached.add(ref)
                    todo.append(self._objects.dictionary(ref))
        return reached

    def _page(self, number: int) -> str:
        page = self._objects.dictionary(number)
        levels: list[Value] = [_without(page, ("/Parent",))]
        parent = page.get(Name("/Parent"))
        while isinstance(parent, Ref) and len(levels) <= self._objects.limits.depth:
            node = self._objects.dictionary(parent.number)
            levels.append(_without(node, _NODE))
            parent = node.get(Name("/Parent"))
        return self._digest(levels)

    def _digest(self, value: Value) -> str:
        digest = hashlib.sha256()
        order: dict[int, int] = {}
        queue: list[int] = []

        def say(match: re.Match[bytes]) -> bytes:
            if match[1] is None:
                return match[0]  # a string
            number = int(match[1])
            if number in self._labels:
                return self._labels[number]
            if number not in order:
                order[number] = len(order)
                queue.append(number)
            return b"=%d" % order[number]

        digest.update(_REF.sub(say, serialize(value)))
        for number in queue:  # grows while it is walked
            digest.update(b"\n" + _REF.sub(say, self._text(number)) + b"\n" + self._stream(number))
        return digest.hexdigest()

    def _text(self, number: int) -> bytes:
        """The object's text without what only says how it is packed, or that it is signed."""
        try:
            piece = self._objects.piece(number)
            if piece.is_slot:
                return b"signature"
            if piece.is_stream:
                return serialize(_unpacked(piece))
        except NotCanonicalError:
            return b"unreadable"
        return _unsigned(piece) if b"/FT /Sig" in piece.text else piece.text

    def _stream(self, number: int) -> bytes:
        """The digest of the object's decoded stream; empty when it has none."""
        if number not in self._streams:
            try:
                self._streams[number] = self._hash_stream(self._objects.piece(number))
            except NotCanonicalError:
                self._streams[number] = b""
        return self._streams[number]

    def _hash_stream(self, piece: Piece) -> bytes:
        if not piece.is_stream:
            return b""
        if piece.stream_length > self._objects.limits.stream_bytes:
            raise unreadable("stream-too-large")
        digest, limit = hashlib.sha256(), self._objects.limits.stream_bytes
        for chunk in _decoded(self._objects.window, piece):
            digest.update(chunk)
            limit -= len(chunk)
            self._decoded += len(chunk)
            if limit < 0 or self._decoded > self._objects.limits.decoded_bytes:
                raise unreadable("stream-too-large")
        return digest.digest()


def _without(entries: dict[Name, Value], keys: tuple[str, ...]) -> dict[Name, Value]:
    return {key: value for key, value in entries.items() if key not in keys}


def _references(text: bytes) -> Iterator[int]:
    return (int(match[1]) for match in _REF.finditer(text) if match[1] is not None)


def _is_deflated(entries: dict[Name, Value]) -> bool:
    return entries.get(Name("/Filter")) in (Name("/FlateDecode"), [Name("/FlateDecode")])


def _entries(piece: Piece) -> dict[Name, Value]:
    value = parse(piece.text)
    return value if isinstance(value, dict) else {}


def _unpacked(piece: Piece) -> dict[Name, Value]:
    """A stream's dictionary as its decoded bytes would have it."""
    entries = _entries(piece)
    return _without(entries, ("/Length", "/Filter") if _is_deflated(entries) else ("/Length",))


def _unsigned(piece: Piece) -> bytes:
    """A field's text without the signature in it; of anything else, whatever its texts say, all of it."""
    try:
        entries = _entries(piece)
    except NotCanonicalError:
        return b"unreadable"
    is_field = entries.get(Name("/FT")) == Name("/Sig") and isinstance(entries.get(Name("/V")), Ref)
    return serialize(_without(entries, ("/V",))) if is_field else piece.text


def _decoded(window: Window, piece: Piece) -> Iterator[bytes]:
    """A stream's bytes in pieces, inflated where it says so; what does not inflate comes marked."""
    engine = zlib.decompressobj() if _is_deflated(_entries(piece)) else None
    body = max(0, piece.stream_length - _TAIL) if engine else piece.stream_length
    for at in range(0, body, CHUNK):
        raw = window.read(piece.stream_at + at, min(CHUNK, body - at))
        yield from _inflated(engine, raw) if engine else (raw,)
    if engine is None:
        return
    tail = window.read(piece.stream_at + body, piece.stream_length - body)
    if _has_free_bits(engine, tail):
        yield b"\0free bits"
    yield from _inflated(engine, tail)
    if not engine.eof:
        # A reader shows what comes of it all the same, and may be left with more than was given here.
        yield b"\0cut short"


def _has_free_bits(engine: zlib._Decompress, tail: bytes) -> bool:
    """Whether a bit is set between the last code of a stream and its checksum, where zeros are written.

    Codes fill a byte from its lowest bit on (RFC 1951, 3.1.1): with all bits from its highest one on turned
    round it then says the same. Without that one alone it may also where it is part of a match and the end of
    the block is zeros: what is copied can stand at two distances.
    """
    if engine.eof or not tail or not tail[0]:
        return False
    other = bytes([tail[0] ^ 0xFF << tail[0].bit_length() - 1 & 0xFF]) + tail[1:]
    one, two = engine.copy(), engine.copy()
    try:
        return one.decompress(tail, CHUNK) == two.decompress(other, CHUNK) and two.eof
    except zlib.error:
        return False


def _inflated(engine: zlib._Decompress, raw: bytes) -> Iterator[bytes]:
    try:
        while raw and not engine.eof:
            yield engine.decompress(raw, CHUNK)
            raw = engine.unconsumed_tail or engine.unused_data
    except zlib.error:
        yield b"\0damaged"
    if raw:
        yield b"\0not inflated" + raw
