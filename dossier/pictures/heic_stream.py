"""Whether the coded pictures in a HEIC are whole, as far as their own bytes tell.

The decoder fills what is damaged with something and says nothing. But a coded picture is a row of units,
each behind its length, that fill it to the last byte (ISO/IEC 14496-15, 8.3.3.1); and no unit holds three
bytes 0, 0 and 0 to 2 in a row or ends with 0 (ISO/IEC 23008-2, 7.3.1.1 and 7.4.2). So what comes back from a
card as zeros is found, and what is gone or lies over the start of a unit. Not found: other bytes within one.

Not done here: decoding. Pure. Invariants: nothing is raised, each byte is looked at a few times at most; what
has no form that is read here counts as whole, since its decoder speaks for it.
"""

from __future__ import annotations

import struct

from dossier.model import heif
from dossier.model.heif import Span

_NEVER = (b"\0\0\0", b"\0\0\1", b"\0\0\2")
_HEVC = b"hvc1"

_Error = (struct.error, IndexError)


def whole(data: bytes) -> bool:
    """Of a HEIC's bytes: False where a coded picture in it is surely damaged."""
    try:
        return _whole(data)
    except _Error:  # a box that ends too soon
        return True


def _whole(data: bytes) -> bool:
    meta = heif.first(data, b"meta", (0, len(data)))
    if meta is None:
        return True
    inside = meta[0] + 4, meta[1]
    kinds, places = heif.kinds(data, inside), heif.places(data, inside)
    wide = _length_of_lengths(data, inside)
    seen = 0
    for item in heif.shown(data, inside):
        extents = places.get(item, []) if kinds.get(item) == _HEVC else []
        seen += sum(end - start for start, end in extents)
        if seen > 2 * len(data):  # the same bytes again and again: no camera's
            return True
        if not _units(b"".join(data[start:end] for start, end in extents), wide):
            return False
    return True


def _units(coded: bytes, wide: int) -> bool:
    at = 0
    while at < len(coded):
        length = int.from_bytes(coded[at : at + wide])
        start, end = at + wide, at + wide + length
        if length < 2 or end > len(coded) or coded[start] & 0x80 or coded[end - 1] == 0:
            return False
        if any(coded.find(never, start, end) >= 0 for never in _NEVER):
            return False
        at = end
    return True


def _length_of_lengths(data: bytes, meta: Span) -> int:
    """As the decoder configuration says (ISO/IEC 14496-15, 8.3.3.1.2: lengthSizeMinusOne)."""
    properties = heif.first(data, b"iprp", meta)
    shared = heif.first(data, b"ipco", properties) if properties else None
    found = heif.first(data, b"hvcC", shared) if shared else None
    return (data[found[0] + 21] & 3) + 1 if found else 4
