"""What an original photograph carries besides its picture: the place, a number, an older picture.

Only what is known to be harmless is let pass: the picture, its colours, how and when it was taken, the
camera's model. Everything else has a name here, so that something nobody thought of goes nowhere.

Not done here: clearing, judging what may go. Invariants: nothing is raised for any bytes; what cannot be
looked into counts as carrying everything. Segments: ITU-T T.81, B.1.1.3; tags: EXIF 2.32, 4.6, TIFF 6.0.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Literal

from dossier.intake import photo_header
from dossier.intake.photo_header import HeaderError
from dossier.model import picture_start, tiff

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
_OF_PNG = frozenset(
    b"IHDR PLTE IDAT IEND tRNS cHRM gAMA iCCP sBIT sRGB cICP mDCV cLLI bKGD hIST pHYs tIME".split()
)
_NEXT = re.compile(rb"\xff[\x01-\xcf\xd8-\xfe]")  # a marker, neither a stuffed byte nor a restart
_END, _SCAN, _COMMENT, _APP = 0xD9, 0xDA, 0xFE, range(0xE0, 0xF0)


def carried(path: Path) -> tuple[Carried, ...]:
    """What the original at `path` carries, in the order of `ALL`; () where it is cleared."""
    try:
        data = path.read_bytes()
        found = set(_LOOKS[photo_header.sniff(data[:32])](data))
    except (OSError, HeaderError, KeyError, IndexError, struct.error):
        return ALL
    except Exception:  # a hostile file can raise anything inside the picture library
        return ALL
    return tuple(kind for kind in ALL if kind in found)


def _jpeg(data: bytes) -> Iterator[Carried]:
    at = 2
    while found := _NEXT.search(data, at):
        at, kind = found.end(), found.group()[-1]
        if kind == _END:
            break
        length = struct.unpack(">H", data[at : at + 2])[0]
        if kind == _COMMENT:
            yield "words"
        elif kind in _APP:
            yield from _segment(kind, data[at + 2 : at + length])
        at += length
    if data[at:].strip(b"\0"):
        yield "pictures"  # a film, a second picture, whatever a telephone lays behind the first


def _segment(kind: int, body: bytes) -> Iterator[Carried]:
    if kind == 0xE1 and body.startswith(b"Exif\0"):
        yield from _exif(body[6:])
    elif kind == 0xE1:
        yield "words"  # XMP, which holds anything
    elif kind == 0xE0 and body.startswith(b"JFIF\0"):
        if body[12:14] != b"\0\0":
            yield "pictures"
    elif body.startswith((b"JFXX\0", b"MPF\0", b"Photoshop")):
        yield "pictures"
    elif not (body.startswith(b"ICC_PROFILE\0") or (kind == 0xEE and body.startswith(b"Adobe"))):
        yield "notes"


def _exif(block: bytes) -> Iterator[Carried]:
    listed = tiff.listed(tiff.reader(block), len(block))
    yield from _tags(listed)
    if listed.following:
        yield "pictures"  # its small picture stands in the second directory


def _tags(listed: tiff.Listed) -> Iterator[Carried]:
    if listed.gps - {0}:  # a version alone says no place
        yield "position"
    both = listed.root | listed.exif
    if both & _NUMBERS:
        yield "number"
    if _NOTES in both:
        yield "notes"
    if (listed.root - _PLAIN | listed.exif - _TAKEN) - _NUMBERS - {_NOTES}:
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
    yield from _exif(data)


def _heif(data: bytes) -> Iterator[Carried]:
    import pillow_heif  # noqa: PLC0415 - start-up cost: a native library few jobs need

    pictures = pillow_heif.open_heif(BytesIO(data))
    said = pictures.info
    if len(pictures) > 1 or said.get("thumbnails") or said.get("depth_images") or said.get("aux"):
        yield "pictures"
    if said.get("exif"):
        yield from _exif(said["exif"].removeprefix(b"Exif\0\0"))
    if said.get("xmp") or any(one.get("type") != "Exif" for one in said.get("metadata") or ()):
        yield "words"


_LOOKS = {
    photo_header.JPEG: _jpeg,
    photo_header.PNG: _png,
    photo_header.TIFF: _tiff,
    photo_header.HEIC: _heif,
    photo_header.HEIF: _heif,
}
