"""Whether a workbook's bytes may be opened at all: a zip of bounded size, its XML without entities.

The standard library's zip reader never gives more than a member's declared size, so the declared sizes bound
the real ones. Not done here: parsing XML.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Iterator

import msgspec

MOST_MEMBERS = 2_000
MOST_UNPACKED = 32_000_000  # bytes of XML, pictures in the file left aside
MOST_ROWS = 100_000  # in the file, blank ones too: the library takes a minute over a million
_CHUNK = 1 << 20
_OLE = b"\xd0\xcf\x11\xe0"  # the older format, and how a password is put on the newer one
# ECMA-376 part 1, 12.3.3: a part of comments; its name is the program's own choice, and these are the usual.
_COMMENTS = re.compile(
    r"(?:^|/)(?:comments?\d*|comments/comment\d*|threadedComments?\d*)\.xml$", re.IGNORECASE
)
_FORBIDDEN = (b"<!DOCTYPE", b"<!ENTITY")


class Bounds(msgspec.Struct, frozen=True):
    problem: str = ""  # a finding code
    why: str = ""  # key of its reason in the catalogue
    formulas: bool = False  # some cell has one
    comments: bool = False  # a note stands at some cell, or somebody's reply to one


def bounds_of(data: bytes) -> Bounds:
    """What may be said of the workbook before it is opened."""
    if data.startswith(_OLE):
        return Bounds("workbook-unreadable", "old_or_locked")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return _archive_bounds(archive)
    except (zipfile.BadZipFile, zlib.error, OSError, ValueError, RuntimeError, NotImplementedError, EOFError):
        return Bounds("workbook-unreadable", "broken")


def _archive_bounds(archive: zipfile.ZipFile) -> Bounds:
    members = [info for info in archive.infolist() if not info.filename.startswith("xl/media/")]
    if len(members) > MOST_MEMBERS or sum(info.file_size for info in members) > MOST_UNPACKED:
        return Bounds("workbook-too-big", "too_big")
    formulas = False
    rows = 0
    for info in members:
        for chunk in _chunks(archive, info):
            if any(word in chunk for word in _FORBIDDEN) or b"\0" in chunk[:200]:
                return Bounds("workbook-unreadable", "strange")
            rows += chunk.count(b"<row ")
            formulas = formulas or b"<f>" in chunk or b"<f " in chunk
    if rows > MOST_ROWS:
        return Bounds("workbook-too-big", "too_big")
    comments = any(_COMMENTS.search(info.filename) for info in members)
    return Bounds(formulas=formulas, comments=comments)


def _chunks(archive: zipfile.ZipFile, info: zipfile.ZipInfo) -> Iterator[bytes]:
    """The member's bytes; each piece begins with the end of the one before, so that no word is cut."""
    if not info.filename.endswith((".xml", ".rels", ".vml")):
        return
    tail = b""
    with archive.open(info) as stream:
        while piece := stream.read(_CHUNK):
            yield tail + piece
            tail = piece[-16:]
