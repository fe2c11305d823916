"""The head of a JPEG file, as far as a PDF needs it to place the bytes unchanged (ITU-T T.81, Annex B).

Nothing is decoded. Refused: CMYK, 12-bit and lossless files, and data that is no JPEG.
"""

from __future__ import annotations

import msgspec

from dossier.errors import PictureError

# Baseline, extended and progressive Huffman frames (T.81 table B.1); these are what DCTDecode must read.
_FRAMES = {0xC0, 0xC1, 0xC2}
_NO_LENGTH = {0x01, *range(0xD0, 0xD9)}


class Jpeg(msgspec.Struct, frozen=True):
    data: bytes
    width: int
    height: int
    components: int  # 1 grey, 3 colour


def read_jpeg(data: bytes) -> Jpeg:
    """Size and components of a JPEG. Raises PictureError for what cannot be placed on a page as it is."""
    if data[:2] != b"\xff\xd8":
        raise PictureError("a picture for the page is no JPEG file")
    at = 2
    while at + 9 < len(data):
        if data[at] != 0xFF:
            break
        marker = data[at + 1]
        if marker == 0xFF or marker in _NO_LENGTH:
            at += 1 if marker == 0xFF else 2
        elif marker in _FRAMES:
            return _frame(data, at + 4)
        else:
            at += 2 + int.from_bytes(data[at + 2 : at + 4])
    raise PictureError("a picture for the page has no JPEG frame that PDF readers show")


def _frame(data: bytes, at: int) -> Jpeg:
    bits, components = data[at], data[at + 5]
    height, width = int.from_bytes(data[at + 1 : at + 3]), int.from_bytes(data[at + 3 : at + 5])
    if bits != 8 or components not in (1, 3) or not width or not height:
        raise PictureError("a picture for the page must be 8-bit grey or RGB with a stated size")
    return Jpeg(data, width, height, components)
