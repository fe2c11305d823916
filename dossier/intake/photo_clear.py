"""What an original photograph carries besides its picture: the place, a number, an older picture.

Only what is known to be harmless is let pass: the picture, its colours, how and when it was taken, the
camera's model. Everything else has a name here, so that something nobody thought of goes nowhere.

Not done here: clearing, judging what may go. Invariants: nothing is raised for any bytes; what cannot be
looked into counts as carrying everything. Segments: ITU-T T.81, B.1.1.3; tags: EXIF 2.32, 4.6, TIFF 6.0;
boxes: ISO/IEC 14496-12 and 23008-12. Not found: what hides in the coded picture.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Literal

from dossier.intake import photo_header, photo_profile
from dossier.intake.photo_header import HeaderError
from dossier.model import heif, picture_start, tiff
from dossier.model.heif import Span

Carried = Literal["position", "number", "notes", "pictures", "words"]
ALL: tuple[Carried, ...] = ("position", "number", "notes", "pictures", "words")

_NUMBERS = {0xA430, 0xA431, 0xA435, 0xA420, 0x013B, 0x8298}  # owner, body, lens, picture; artist, copyright
_NOTES = 0x927C
_POINTERS = {0x8769, 0x8825, 0xA005}
# Of the first directory: how the picture is coded and shown, and which camera and program wrote it and when.
_PLAIN = {
    *range(254, 260),
    *(262, 263, 266, 271, 272, 273, 274, 277, 278, 279, 280, 281, 282, 283, 284, 296, 301, 305, 306),
    *(317, 318, 319, 320, 322, 323, 324, 325, 338, 339, 347, 529, 530, 531, 532, 34675, 0x882A),
    *_POINTERS,
}
# Of the Exif directory: when and how it was taken.
_TAKEN = {
    *(0x829A, 0x829D, 0x8822, 0x8827, *range(0x8830, 0x8836), 0x9000, 0x9003, 0x9004, *range(0x9010, 0x9013)),
    *(0x9101, 0x9102, *range(0x9201, 0x920B), 0x9214, *range(0x9290, 0x9293), *range(0xA000, 0xA004)),
    *(0xA20B, 0xA20E, 0xA20F, 0xA210, 0xA214, 0xA215, 0xA217, *range(0xA300, 0xA303), *range(0xA401, 0xA40B)),
    *(0xA40C, 0xA432, 0xA433, 0xA434, 0xA460, 0xA461, 0xA500, 0xA005),
}
_SHARED = {1, 2, *range(0x1000, 0x1003)}  # by which rules files are exchanged, and the picture's size
_OF_PNG = frozenset(
    b"IHDR PLTE IDAT IEND tRNS cHRM gAMA iCCP sBIT sRGB cICP mDCV cLLI bKGD hIST pHYs tIME".split()
)
_OF_HEIF = frozenset(b"ftyp meta mdat".split())
_OF_META = frozenset(b"hdlr dinf pitm iinf iref iprp iloc idat grpl".split())
_OF_ITEMS = frozenset(b"hvc1 grid iden iovl".split())
_OF_PROPERTIES = frozenset(
    b"hvcC ispe colr pixi pasp clap irot imir rloc auxC lsel clli mdcv cclv amve".split()
)
_EMPTY = {b"free", b"skip"}
_NEXT = re.compile(rb"\xff[\x01-\xcf\xd8-\xfe]")  # a marker, neither a stuffed byte nor a restart
_END, _SCAN, _COMMENT, _APP = 0xD9, 0xDA, 0xFE, range(0xE0, 0xF0)
_CODED = {*range(0xC0, 0xC8), *range(0xC9, 0xD0), *range(0xDA, 0xE0), 0xDB}  # the picture (T.81, table B.1)
_JFIF, _ADOBE = 14, 12  # bytes
_BARE = {0x01, 0xD8}  # markers without a length, which no camera sets within


def carried(path: Path) -> tuple[Carried, ...]:
    """What the original at `path` carries, in the order of `ALL`; () where it is cleared."""
    try:
        data = path.read_bytes()
        found = set(_LOOKS[photo_header.sniff(data[:32])](data))
        if not photo_profile.well_known(_profile(data)):
            found.add("words")
    except (OSError, HeaderError, KeyError, IndexError, struct.error):
        return ALL
    except Exception:  # a hostile file can raise anything inside the picture library
        return ALL
    return tuple(kind for kind in ALL if kind in found)


def _profile(data: bytes) -> bytes:
    try:
        return photo_header.read(BytesIO(data), len(data)).icc
    except HeaderError:  # such a picture is in no record
        return b""


def _jpeg(data: bytes) -> Iterator[Carried]:
    at, coded = 2, False
    while found := _NEXT.search(data, at):
        if not coded and data[at : found.start()].strip(b"\xff"):
            yield "words"  # between two segments, where nothing belongs
        at, kind = found.end(), found.group()[-1]
        if kind == _END:
            break
        if kind in _BARE:
            yield "words"
            continue
        length = struct.unpack(">H", data[at : at + 2])[0]
        if kind == _COMMENT:
            yield "words"
        elif kind in _APP:
            yield from _segment(kind, data[at + 2 : at + length])
        elif kind not in _CODED:
            yield "notes"
        coded = kind == _SCAN
        at += length
    if data[at:].strip(b"\0"):
        yield "pictures"  # a film, a second picture, whatever a telephone lays behind the first


def _segment(kind: int, body: bytes) -> Iterator[Carried]:
    if kind == 0xE1 and body.startswith(b"Exif\0"):
        yield from _exif(body[6:])
    elif kind == 0xE1:
        yield "words"  # XMP, which holds anything
    elif kind == 0xE0 and body.startswith(b"JFIF\0"):
        if len(body) != _JFIF or body[12:] != b"\0\0":
            yield "pictures"
    elif kind == 0xED and body.startswith(b"Photoshop"):
        yield from ("pictures", "words")  # an editor's block, which has room for both
    elif body.startswith((b"JFXX\0", b"MPF\0")):
        yield "pictures"
    elif not (body.startswith(b"ICC_PROFILE\0") or (kind == 0xEE and _is_adobe(body))):
        yield "notes"


def _is_adobe(body: bytes) -> bool:
    """The segment that says how the colours are coded, and no more (ITU-T T.872, 6.5.3; from memory)."""
    return len(body) == _ADOBE and body.startswith(b"Adobe")


def _exif(block: bytes) -> Iterator[Carried]:
    listed = tiff.listed(tiff.reader(block), len(block))
    yield from _tags(listed)
    if listed.following:
        yield "pictures"  # its small picture stands in the second directory
    elif (rest := tiff.unnamed(block)).strip(b"\0"):
        yield (
            "pictures" if b"\xff\xd8\xff" in rest else "notes"
        )  # left behind where only its name was taken out


def _tags(listed: tiff.Listed) -> Iterator[Carried]:
    if listed.gps - {0}:  # a version alone says no place
        yield "position"
    both = listed.root | listed.exif
    if both & _NUMBERS:
        yield "number"
    if _NOTES in both:
        yield "notes"
    if (listed.root - _PLAIN | listed.exif - _TAKEN) - _NUMBERS - {_NOTES} or listed.shared - _SHARED:
        yield "words"


def _png(data: bytes) -> Iterator[Carried]:
    end = 8
    for kind, place, length in picture_start.png_chunks(tiff.reader(data), len(data)):
        if kind == b"eXIf":
            yield from _exif(data[place : place + length])
        elif kind not in _OF_PNG:
            yield "words"
        end = place + length + 4
    if data[end:].strip(b"\0"):
        yield "pictures"


def _tiff(data: bytes) -> Iterator[Carried]:
    """Where its data lie is free (TIFF 6.0, section 2), so what no tag names is not looked for."""
    listed = tiff.listed(tiff.reader(data), len(data))
    yield from _tags(listed)
    if listed.following:
        yield "pictures"


def _heif(data: bytes) -> Iterator[Carried]:
    tops = list(heif.boxes(data, (0, len(data))))
    for kind, (start, end) in tops:
        if kind == b"mpvd":
            yield "pictures"  # a film, as telephones lay it behind
        elif _unknown(data, kind, (start, end), _OF_HEIF):
            yield "words"
    if data[max(end for _, (_, end) in tops) :].strip(b"\0"):
        yield "pictures"
    start, end = heif.first(data, b"meta", (0, len(data))) or (0, 0)
    inside = start + 4, end
    if any(_unknown(data, kind, span, _OF_META) for kind, span in heif.boxes(data, inside)):
        yield "words"
    properties = heif.first(data, b"ipco", heif.first(data, b"iprp", inside) or (0, 0)) or (0, 0)
    if any(_unknown(data, kind, span, _OF_PROPERTIES) for kind, span in heif.boxes(data, properties)):
        yield "words"
    yield from _items(data, inside)
    if _unnamed(data, tops, heif.places(data, inside)):
        yield "notes"


def _unknown(data: bytes, kind: bytes, span: Span, known: frozenset[bytes]) -> bool:
    if kind in _EMPTY:
        return bool(data[slice(*span)].strip(b"\0"))
    return kind not in known


def _items(data: bytes, meta: Span) -> Iterator[Carried]:
    """Its EXIF; any picture that the one shown is not made of: a small one, a depth, light's range."""
    places, shown = heif.places(data, meta), heif.shown(data, meta)
    for item, kind in heif.kinds(data, meta).items():
        if kind == b"Exif":
            block = b"".join(data[slice(*span)] for span in places[item])
            yield from _exif(block[4 + struct.unpack(">I", block[:4])[0] :])
        elif kind in {b"mime", b"uri "}:
            yield "words"
        elif kind not in _OF_ITEMS or item not in shown:
            yield "pictures"


def _unnamed(data: bytes, tops: list[tuple[bytes, Span]], places: dict[int, list[Span]]) -> bool:
    """Whether anything lies among the items' bytes that belongs to none of them."""
    rest = bytearray(data)
    for start, end in (span for spans in places.values() for span in spans):
        rest[start:end] = bytes(max(0, end - start))
    return any(rest[start:end].strip(b"\0") for kind, (start, end) in tops if kind == b"mdat")


_LOOKS = {
    photo_header.JPEG: _jpeg,
    photo_header.PNG: _png,
    photo_header.TIFF: _tiff,
    photo_header.HEIC: _heif,
    photo_header.HEIF: _heif,
}
