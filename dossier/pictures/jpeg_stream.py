"""The pixels of a JPEG at a fraction of its size, where its scans are whole.

The same library (libjpeg-turbo) stands behind both decoders here and gives the same pixels; the first also
says what it met. Damage in a scan it fills with grey or with what is no part of the picture: that is refused.

A hole of zeros decodes where a code of zeros has a meaning; it is told where that meaning is none that so
long a row can have (`_even`), and where bytes are left over besides. Not done here: the header, limits,
turning, colour, four inks. Not found: damage that happens to decode, as a few changed bytes may, and some
holes in a progressive picture. Invariant: what is odd outside the scans, as cameras write it, is no reason to
refuse, nor are bytes left over alone or zeros that fill a scan up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
import simplejpeg
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]

# What libjpeg says of entropy-coded data that breaks off, is out of step or is none (ITU-T T.81, F.2.2).
_DAMAGED = ("premature end", "bad huffman", "bad arithmetic", "instead of rst", "unsupported marker")
_LEFT_OVER = "extraneous bytes"
_HOLE = bytes(512)  # a sector
_END = b"\xff\xd9"
_SEQUENTIAL = {0xC0, 0xC1}
_TABLES, _SCAN = 0xC4, 0xDA


class DamagedError(Exception):
    """A scan is not whole."""


def pixels(
    data: bytes, size: tuple[int, int], factor: int, *, grey: bool, other: Callable[[bytes, int], Pixels]
) -> Pixels:
    """RGB (height, width, 3) or grey (height, width) at 1/`factor` of `size` (width, height).

    `other` decodes what the first decoder has no name for. Raises DamagedError, and what `other` raises.
    """
    holed = _holed(data)
    if holed and not _even(data):
        raise DamagedError
    signs = (*_DAMAGED, _LEFT_OVER) if holed else _DAMAGED
    try:
        return _decoded(data, size, factor, grey=grey, strict=True)
    except ValueError as error:
        if any(word in str(error).casefold() for word in signs):
            raise DamagedError from error
    try:
        return _decoded(data, size, factor, grey=grey, strict=False)
    except ValueError:
        return other(data, factor)


def _decoded(data: bytes, size: tuple[int, int], factor: int, *, grey: bool, strict: bool) -> Pixels:
    width, height = (-(-side // factor) for side in size)
    found: Pixels = simplejpeg.decode_jpeg(
        data, "GRAY" if grey else "RGB", min_width=width, min_height=height, min_factor=factor, strict=strict
    )
    return found[..., 0] if grey else found


def _holed(data: bytes) -> bool:
    """Whether a sector of zeros lies in the scans, other than at their end, where they only fill up."""
    start = next((end for kind, _, end in _segments(data) if kind == _SCAN), len(data))
    hole = data.find(_HOLE, start)
    if hole < 0 or data.find(_END, start, hole) >= 0:
        return False
    return not data[hole:].lstrip(b"\0").startswith(_END)


def _even(data: bytes) -> bool:
    """Whether zeros can go on for long in the scans.

    The code of zeros is the first of each table (ITU-T T.81, annex C). In the one scan of a sequential
    picture only "as light as the block before" of every component, and "nothing more in this block", can: an
    even area. Else they are the same coefficients in every block, or a picture that grows darker for ever.
    Of other pictures this is not known.
    """
    first: dict[int, int] = {}
    components = 0
    for kind, start, end in _segments(data):
        if kind in _SEQUENTIAL:
            components = (end - start - 6) // 3
        elif kind == _TABLES:
            first |= _first_symbols(data[start:end])
        elif kind == _SCAN:
            tables = data[start + 2 : end - 3 : 2]
            return len(tables) != components or all(
                first.get(t >> 4) == 0 and first.get(16 | t & 15) == 0 for t in tables
            )
    return True


def _segments(data: bytes) -> Iterator[tuple[int, int, int]]:
    """Marker, start and end of what it holds, as far as they follow each other."""
    at = 2
    while at + 4 <= len(data) and data[at] == 0xFF:
        length = int.from_bytes(data[at + 2 : at + 4])
        if data[at + 1] == 0xFF:  # may stand before any marker (B.1.1.2)
            at += 1
            continue
        if length < 2 or at + 2 + length > len(data):
            return
        yield data[at + 1], at + 4, at + 2 + length
        at += 2 + length


def _first_symbols(body: bytes) -> dict[int, int]:
    """Of each table (B.2.4.2; class and number in one byte) the symbol whose code is all zeros."""
    found = {}
    at = 0
    while at + 18 <= len(body):
        found[body[at]] = body[at + 17]
        at += 17 + sum(body[at + 1 : at + 17])
    return found
