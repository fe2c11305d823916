"""DNG files made by the specification (1.7; TIFF 6.0 section 2): directories, raw data, previews, camera.

Shared by the tests of the model, of intake and of pictures. No camera's own DNG is among the tests: no
package at hand carries one under a licence to copy. The pictures inside are scikit-image's (public domain:
its `data` documentation).
"""

from __future__ import annotations

import struct
from io import BytesIO

import numpy as np
import skimage.data
from PIL import Image

from dossier.model import tiff

SHORT, LONG, ASCII, BYTE, RATIONAL = 3, 4, 2, 1, 5
FORMS = {SHORT: "H", LONG: "I", BYTE: "B"}
WIDTHS = {SHORT: 2, LONG: 4, BYTE: 1, ASCII: 1, RATIONAL: 8}


class Builder:
    """Directories and data laid one behind the other; `order` is "<" or ">"."""

    def __init__(self, order: str = "<") -> None:
        self.order = order
        self.out = bytearray((b"II" if order == "<" else b"MM") + struct.pack(order + "HI", 42, 0))

    def data(self, content: bytes) -> int:
        self.out += bytes(len(self.out) % 2)
        self.out += content
        return len(self.out) - len(content)

    def directory(self, entries: dict[int, tuple[int, object]], following: int = 0) -> int:
        packed = [self._entry(tag, *entries[tag]) for tag in sorted(entries)]
        body = struct.pack(self.order + "H", len(packed)) + b"".join(packed)
        return self.data(body + struct.pack(self.order + "I", following))

    def _entry(self, tag: int, kind: int, value: object) -> bytes:
        content = self._content(kind, value)
        count = len(content) // WIDTHS[kind]
        if len(content) > 4:
            content = struct.pack(self.order + "I", self.data(content))
        return struct.pack(self.order + "HHI", tag, kind, count) + content.ljust(4, b"\0")

    def _content(self, kind: int, value: object) -> bytes:
        if isinstance(value, bytes):
            return value
        if isinstance(value, str):
            return value.encode() + b"\0"
        numbers = value if isinstance(value, tuple) else (value,)
        return struct.pack(f"{self.order}{len(numbers)}{FORMS[kind]}", *numbers)

    def done(self, first: int) -> bytes:
        self.out[4:8] = struct.pack(self.order + "I", first)
        return bytes(self.out)


def jpeg(name: str, width: int, height: int) -> bytes:
    out = BytesIO()
    Image.fromarray(getattr(skimage.data, name)()).resize((width, height)).save(out, "JPEG", quality=90)
    return out.getvalue()


def picture(place: int, content: bytes, size: tuple[int, int], **other: int) -> dict[int, tuple[int, object]]:
    return {
        254: (LONG, other.get("kind", 1)),
        256: (LONG, size[0]),
        257: (LONG, size[1]),
        258: (SHORT, (8, 8, 8)),
        259: (SHORT, other.get("compression", 7)),
        262: (SHORT, other.get("meaning", 6)),
        273: (LONG, place),
        277: (SHORT, 3),
        278: (LONG, size[1]),
        279: (LONG, len(content)),
    }


def a_dng(order: str = "<", *, previews: bool = True) -> bytes:
    """As cameras write it: a small picture first, raw data and a large preview below it."""
    built = Builder(order)
    raw = np.arange(64 * 48, dtype=np.uint16).tobytes()
    below = [
        built.directory(
            {
                **picture(built.data(raw), raw, (64, 48), kind=0, compression=1, meaning=32803),
                258: (SHORT, 16),
            }
        )
    ]
    small, large = jpeg("astronaut", 160, 120), jpeg("astronaut", 800, 600)
    if previews:
        below.append(built.directory(picture(built.data(large), large, (800, 600))))
        # Lossless raw data is "JPEG" too, and larger: not a preview.
        below.append(built.directory(picture(built.data(small), small, (4000, 3000), kind=0, meaning=34892)))
    exif = built.directory({0x9003: (ASCII, "2026:03:04 10:11:12"), 0x9011: (ASCII, "+02:00")})
    gps = built.directory({2: (RATIONAL, bytes(24))})
    first = picture(built.data(small), small, (160, 120), **({} if previews else {"compression": 1}))
    first |= {
        0x010F: (ASCII, "A Maker"),
        0x0110: (ASCII, "Model 1"),
        0x0112: (SHORT, 6),
        330: (LONG, tuple(below)),
        0x8769: (LONG, exif),
        0x8825: (LONG, gps),
        tiff.VERSION: (BYTE, bytes((1, 7, 0, 0))),
        tiff.SERIAL: (ASCII, "77001"),
    }
    return built.done(built.directory(first))
