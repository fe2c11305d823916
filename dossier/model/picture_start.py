"""Whether what a picture's bytes ask of a picture library is little enough to hand them to it.

Libraries read what a header says there is: a JPEG of nothing but comments, or of EXIF blocks that are joined
one by one, a PNG of small chunks, a TIFF of a million entries take minutes or gigabytes. Real headers are far
below every limit here: one EXIF block has 64 kB (EXIF 2.32, 4.7.2), a profile 255 segments (ICC.1, B.4). And
a JPEG may draw its picture any number of times (ITU-T T.81, G.1.1): a scan of a hundred bytes, millions of
pixels. Of one within a TIFF libtiff itself takes 100 scans and no more.

Not done here: whether anything in it is right, which is the library's to say. Pure: bytes are asked for
through `read`. Invariants: time and memory are bounded for any bytes; nothing is raised.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Iterator

from dossier.model import tiff
from dossier.model.tiff import Read

MOST_BYTES = 400_000_000  # of a photograph
MOST_PIXELS = 100_000_000  # opened at full size: PNG, TIFF, HEIC
MOST_PIXELS_JPEG = 250_000_000  # a JPEG opens at a fraction of its size; phones reach 200 million
# Of one side: as many as a JPEG can say (ITU-T T.81, B.2.2); a library keeps places for every row besides.
MOST_ACROSS = 65_535
MOST_SEGMENTS = 4000  # of a JPEG before its first scan; a depth map of 16 MB in XMP has 256
MOST_EXIF = 1_000_000  # bytes of a JPEG's EXIF blocks together
MOST_HEADER = 64_000_000  # bytes before the pixels
MOST_CHUNKS = 1000  # of a PNG before its pixels
MOST_ENTRIES = 4096  # of a directory of a TIFF
# Of a JPEG. Programs write 10 (libjpeg's jpeg_simple_progression), those that try for the shortest file about
# 20; each takes a tenth of a second of a picture of 100 million pixels, though it may be 100 bytes.
MOST_SCANS = 50
_MOST_MARKERS = 10_000  # of a JPEG, but those that a scan has within
_MOST_FILL = 1000  # bytes between segments
_MOST_DIRECTORIES = 32
ALL_CHUNKS = 200_000  # of a PNG: 400 MB in the 8 kB that are usual have a quarter of it
_SCAN, _APP1, _END = 0xDA, 0xE1, 0xD9
_MARKER = re.compile(rb"\xff[^\x00\xff\xd0-\xd7]")
_BARE = {0x01, *range(0xD0, 0xD9)}  # markers without a length (ITU-T T.81, table B.1)


def bounded(read: Read, size: int) -> bool:
    """Of a file of `size` bytes; True for what is none of the three."""
    head = read(0, 8)
    if head[:2] == b"\xff\xd8":
        return _jpeg(read, size)
    if head == b"\x89PNG\r\n\x1a\n":
        return _png(read, size)
    form = tiff.form_of(head)
    return form is None or _tiff(read, size, form)


def _jpeg(read: Read, size: int) -> bool:
    at, fill, exif = 2, 0, 0
    for _ in range(MOST_SEGMENTS + _MOST_FILL):
        part = read(at, 10)
        if len(part) < 4 or part[0] != 0xFF or part[1] == _SCAN:
            return True
        if part[1] in {0xFF, 0x00}:
            at, fill = at + (1 if part[1] else 2), fill + 1
        else:
            bare = part[1] in _BARE
            length = 0 if bare else int(struct.unpack(">H", part[2:4])[0])
            exif += length if part[1] == _APP1 and part[4:10] == b"Exif\0\0" else 0
            at += 2 + length
        if at >= size:  # cut short: the library says so
            return True
        if fill > _MOST_FILL or exif > MOST_EXIF or at > MOST_HEADER:
            return False
    return False


def few_scans(data: bytes) -> bool:
    """Whether a JPEG draws over itself no more often than programs write it; the bytes are gone through.

    What comes after its end, as a video that a phone appends, is no part of it.
    """
    if data.count(bytes((0xFF, _SCAN))) <= MOST_SCANS:
        return True
    at, scans = 2, 0
    for _ in range(_MOST_MARKERS):
        found = _MARKER.search(data, at)
        if found is None or data[found.end() - 1] == _END:
            return True
        at, kind = found.end(), data[found.end() - 1]
        scans += kind == _SCAN
        if scans > MOST_SCANS:
            return False
        at += 0 if kind in _BARE else int.from_bytes(data[at : at + 2])
    return False


def _png(read: Read, size: int) -> bool:
    for number, (kind, place, length) in enumerate(png_chunks(read, size)):
        if kind == b"IDAT":
            return True
        if number >= MOST_CHUNKS or place + length > MOST_HEADER:
            return False
    return True


def png_chunks(read: Read, size: int) -> Iterator[tuple[bytes, int, int]]:
    """Kind, place of the content and its length of each chunk of a PNG, to its end or the file's."""
    at = 8
    for _ in range(ALL_CHUNKS):
        head = read(at, 8)
        if len(head) < 8 or at > size:
            return
        length, kind = int(struct.unpack(">I", head[:4])[0]), head[4:]
        yield kind, at + 8, length
        if kind == b"IEND":
            return
        at += 12 + length


def _tiff(read: Read, size: int, form: tiff.Form) -> bool:
    """Few entries in each directory, which claim no more than the file: nothing stands there twice."""
    place = tiff.start(read, form)
    wide, entry = (8, 20) if form.big else (2, 12)
    seen: set[int] = set()
    while 0 < place < size and place not in seen and len(seen) < _MOST_DIRECTORIES:
        seen.add(place)
        head = read(place, wide)
        if len(head) < wide:
            return True
        count = form.whole(head, "Q" if form.big else "H")
        if count > MOST_ENTRIES:
            return False
        body = read(place + wide, count * entry + 8)
        if sum(tiff.claims(form, body[at : at + entry]) for at in range(0, count * entry, entry)) > size:
            return False
        end = body[count * entry :][: 8 if form.big else 4]
        place = form.whole(end, "Q" if form.big else "I") if len(end) == (8 if form.big else 4) else 0
    return True
