"""Where the picture that a DNG file can show lies in it: the largest JPEG preview beside its raw data.

By the DNG specification 1.7 (previews stand in the first directory or below SubIFDs, NewSubfileType 1, or
10001 hex for another rendering). Also whether a TIFF is another camera's raw file.

Not done here: raw data is never developed; whether the preview opens is its decoder's to say. Pure, and
bounded as `tiff` is.
"""

from __future__ import annotations

import msgspec

from dossier.model import tiff
from dossier.model.tiff import Directory, Read, Said

_PREVIEWS = {1, 0x10001}
_JPEG = {6, 7}  # DNG 1.7 asks for 7; 6 is what TIFF 6.0 called it
_SHOWN = {1, 2, 6}  # grey, RGB, YCbCr: not a filter array, not linear raw, not depth
_RAW = {32803, 34892}  # a filter array (TIFF/EP: ISO 12234-2), and one with every colour at each place (DNG)


class Preview(msgspec.Struct, frozen=True, kw_only=True):
    """A JPEG of `length` bytes from `offset`; the size in pixels is what the directory claims."""

    offset: int
    length: int
    width: int
    height: int


class Dng(Said, frozen=True, kw_only=True):
    """What its directories say, and the largest preview if there is any."""

    preview: Preview | None


def find(read: Read, size: int) -> Dng | None:
    """Of a file of `size` bytes; None where it is no DNG."""
    found = tiff.directories(read, size)
    if not found or tiff.VERSION not in found[0]:
        return None
    previews = [preview for one in found if (preview := _preview(read, size, one))]
    by = tiff.said(read, size)
    preview = max(previews, key=lambda one: one.width * one.height, default=None)
    return Dng(root=by.root, exif=by.exif, gps=by.gps, preview=preview)


def is_raw(read: Read, size: int) -> bool:
    """Whether a TIFF of `size` bytes holds what the sensor saw; its first picture is then a small preview."""
    return any(one.get(tiff.MEANING) in _RAW for one in tiff.directories(read, size))


def _preview(read: Read, size: int, directory: Directory) -> Preview | None:
    if (
        directory.get(tiff.KIND) not in _PREVIEWS
        or directory.get(tiff.COMPRESSION) not in _JPEG
        or directory.get(tiff.MEANING) not in _SHOWN
    ):
        return None
    width, height = directory.get(tiff.WIDTH), directory.get(tiff.HEIGHT)
    if not isinstance(width, int) or not isinstance(height, int):
        return None
    for offsets, counts in tiff.PLACES:
        place, length = directory.get(offsets), directory.get(counts)
        if isinstance(place, int) and isinstance(length, int) and 0 < place <= place + length <= size:
            whole = read(place, 3) == b"\xff\xd8\xff"
            return Preview(offset=place, length=length, width=width, height=height) if whole else None
    return None
