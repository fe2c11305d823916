"""How many pixels a HEIC has a library decode for the picture it shows, by what it says itself.

A grid (ISO/IEC 23008-12, 6.6.2.3) may name one coded picture of a few kB again and again, each time as large
as the whole: half a minute for 5 kB. Sizes are those of the item properties, which libheif holds a coded
picture to. Pure. Not done here: decoding. Invariants: an item is reckoned once; what a file does not say, or
says in more boxes than are read, counts as more than any may have; nothing is raised.
"""

from __future__ import annotations

import struct

from dossier.model import heif
from dossier.model.heif import Span
from dossier.model.picture_start import MOST_PIXELS

# The picture, what it is put together from, which reaches a little beyond its edges, and half as much beside
# it: an alpha, a map of depth or of tones.
MOST_DRAWN = 3 * MOST_PIXELS
_MOST_DEEP = 8  # a grid of turned pictures has 2


def little(data: bytes) -> bool:
    """Whether it is what a picture of at most `MOST_PIXELS` takes; True for a file that shows nothing."""
    try:
        return _drawn(data) <= MOST_DRAWN
    except (struct.error, IndexError):  # a box that ends too soon: the library says so
        return True


def _drawn(data: bytes) -> int:
    meta = heif.first(data, b"meta", (0, len(data)))
    primary = heif.primary(data, (meta[0] + 4, meta[1])) if meta else None
    if meta is None or primary is None:
        return 0
    inside = meta[0] + 4, meta[1]
    work = _Work(_sizes(data, inside), heif.references(data, inside, b"dimg"))
    beside = heif.references(data, inside, b"auxl")  # alpha, depth: each is of a picture
    return sum(work.of(item) for item in (primary, *beside))


class _Work:
    def __init__(self, sizes: dict[int, int], parts: dict[int, list[int]]) -> None:
        self.sizes, self.parts = sizes, parts
        self.known: dict[int, int] = {}

    def of(self, item: int, deep: int = 0) -> int:
        if deep > _MOST_DEEP:  # or in a circle
            return MOST_DRAWN + 1
        if item not in self.known:
            parts = sum(self.of(part, deep + 1) for part in self.parts.get(item, ()))
            self.known[item] = parts + self.sizes.get(item, MOST_PIXELS)
        return self.known[item]


def _sizes(data: bytes, meta: Span) -> dict[int, int]:
    """Pixels of each item, the most where it is said twice (ISO/IEC 23008-12, 6.5.3 and 9.3)."""
    properties = heif.first(data, b"iprp", meta)
    shared = heif.first(data, b"ipco", properties) if properties else None
    if properties is None or shared is None:
        return {}
    said = [
        struct.unpack(">II", data[start + 4 : start + 12]) if kind == b"ispe" else (0, 0)
        for kind, (start, _) in heif.boxes(data, shared)
    ]
    sizes: dict[int, int] = {}
    for kind, span in heif.boxes(data, properties):
        for item, number in _associated(data, span) if kind == b"ipma" else ():
            width, height = said[number - 1] if 0 < number <= len(said) else (0, 0)
            if width * height:
                sizes[item] = max(sizes.get(item, 0), width * height)
    return sizes


def _associated(data: bytes, span: Span) -> list[tuple[int, int]]:
    """Items and the numbers of their properties, as one box associates them (ISO/IEC 14496-12, 8.11.14)."""
    at, end = span
    version, wide = data[at], 2 if data[at + 3] & 1 else 1
    of_item = 4 if version else 2
    count, at = int.from_bytes(data[at + 4 : at + 8]), at + 8
    found = []
    for _ in range(count):
        if at >= end:
            raise IndexError
        item, at = int.from_bytes(data[at : at + of_item]), at + of_item
        number, at = data[at], at + 1
        for _ in range(number):
            found.append((item, int.from_bytes(data[at : at + wide]) & (0x7F if wide == 1 else 0x7FFF)))
            at += wide
    return found
