"""DNG files made by the specification (`dng_files`), read again by tifffile and by us, and a camera's own.

Hostile ones are bounded by the number of bytes asked for.
"""

from __future__ import annotations

import struct
from io import BytesIO
from pathlib import Path

import exifread
import numpy as np
import pytest
import tifffile
from dng_files import BYTE, LONG, a_dng, jpeg
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from dossier.intake.photographs import read_facts
from dossier.model import dng, tiff

REAL = Path(__file__).resolve().parents[2] / "data" / "raw" / "camera-2005.dng"


def found(content: bytes) -> dng.Dng | None:
    return dng.find(tiff.reader(content), len(content))


@pytest.mark.parametrize("order", ["<", ">"])
def test_the_largest_preview_is_where_tifffile_has_it(order: str) -> None:
    content = a_dng(order)
    with tifffile.TiffFile(BytesIO(content)) as other:
        pages = [other.pages[0], *other.pages[0].pages]
        previews = [page for page in pages if page.tags[254].value == 1]
        largest = max(previews, key=lambda page: page.imagewidth)
    one = found(content)
    assert one is not None
    assert one.preview is not None
    assert (one.preview.offset,) == tuple(largest.dataoffsets)
    assert (one.preview.length,) == tuple(largest.databytecounts)
    assert (one.preview.width, one.preview.height) == (800, 600)
    shown = content[one.preview.offset : one.preview.offset + one.preview.length]
    with Image.open(BytesIO(shown)) as opened:
        assert opened.size == (800, 600)


def test_what_it_says_of_itself() -> None:
    one = found(a_dng())
    assert one is not None
    assert (one.root[0x0112], one.root[0x010F]) == (6, b"A Maker\0")
    assert one.exif[0x9003] == b"2026:03:04 10:11:12\0"
    assert 2 in one.gps


def test_big_tiff() -> None:
    """DNG 1.7 allows it: written by tifffile, which also says where the data stand."""
    out = BytesIO()
    with tifffile.TiffWriter(out, bigtiff=True) as writer:
        tags = [(tiff.VERSION, 1, 4, bytes((1, 7, 0, 0)), True)]
        writer.write(np.zeros((16, 16, 3), np.uint8), photometric="rgb", subfiletype=1, extratags=tags)
    one = found(out.getvalue())
    assert one is not None
    assert one.preview is None  # its pixels are not JPEG
    assert (one.root[256], one.root[257]) == (16, 16)


def test_a_tiff_is_no_dng_and_a_dng_may_have_no_preview() -> None:
    out = BytesIO()
    tifffile.imwrite(out, np.zeros((8, 8), np.uint8))
    assert found(out.getvalue()) is None
    assert found(b"") is None
    assert found(jpeg("astronaut", 20, 20)) is None
    without = found(a_dng(previews=False))
    assert without is not None
    assert without.preview is None


class Counting:
    def __init__(self, content: bytes) -> None:
        self.content, self.asked = content, 0

    def __call__(self, offset: int, count: int) -> bytes:
        part = self.content[offset : offset + count]
        self.asked += len(part)
        return part


def in_a_circle() -> bytes:
    """Each of 60 directories names all of them below it, and itself as the next."""
    places = tuple(100 + 40 * n for n in range(60))
    body = b"".join(
        struct.pack("<HHHIIHHII", 2, 330, LONG, 60, 3000, 254, LONG, 1, 1)
        + struct.pack("<I", place)
        + bytes(6)
        for place in places
    )
    first = struct.pack("<HHHIIHHI4sI", 2, 330, LONG, 60, 3000, tiff.VERSION, BYTE, 4, b"\1\7\0\0", 100)
    head = b"II" + struct.pack("<HI", 42, 8) + first
    return (head.ljust(100, b"\0") + body).ljust(3000, b"\0") + struct.pack("<60I", *places)


def counts_too_high() -> bytes:
    """Thousands of entries of one tag, each claiming 4,000 million values."""
    entry = struct.pack("<HHII", 330, LONG, 0xFFFFFFFF, 8)
    version = struct.pack("<HHI4s", tiff.VERSION, BYTE, 4, b"\1\7\0\0")
    return b"II" + struct.pack("<HIH", 42, 8, 4001) + version + 4000 * entry + bytes(4)


def outside() -> bytes:
    content = bytearray(a_dng())
    for tag in (273, 330, 0x8769, 0x8825):
        at = content.rindex(struct.pack("<HH", tag, LONG))
        content[at + 8 : at + 12] = struct.pack("<I", 0xFFFFFFF0)
    return bytes(content)


@pytest.mark.parametrize("hostile", [in_a_circle, counts_too_high, outside])
def test_hostile_files_end_soon(hostile: object) -> None:
    content = hostile()  # type: ignore[operator]
    read = Counting(content)
    one = dng.find(read, len(content))
    assert one is not None
    assert one.preview is None
    assert read.asked < 1_000_000


@settings(deadline=None, max_examples=200)
@given(st.lists(st.tuples(st.integers(0, 10**6), st.integers(0, 255)), max_size=12), st.integers(0, 10**6))
def test_no_bytes_raise(changes: list[tuple[int, int]], cut: int) -> None:
    content = bytearray(SAMPLE)
    for place, value in changes:
        content[HEADS[place % len(HEADS)]] = value
    content = content[: len(content) - cut % len(content)] if cut % 3 == 0 else content
    one = found(bytes(content))
    if one and one.preview:
        assert one.preview.offset + one.preview.length <= len(content)


SAMPLE = a_dng()
# Every byte but those of the JPEG streams and raw data: that is where directories are.
HEADS = [n for n in range(len(SAMPLE)) if n < 8 or n > len(SAMPLE) - 700]


def test_a_real_cameras_file_against_exifread() -> None:
    """`tests/data/raw`: time, camera and serial number as exifread has them; it has no JPEG to show."""
    content = REAL.read_bytes()
    told = found(content)
    assert told is not None
    tags = exifread.process_file(BytesIO(content), details=False)
    texts = {
        "EXIF DateTimeOriginal": told.exif[0x9003],
        "Image Make": told.root[0x010F],
        "Image Model": told.root[0x0110],
        "Image Tag 0xC62F": told.root[tiff.SERIAL],
    }
    for name, text in texts.items():
        assert isinstance(text, bytes)
        assert text.rstrip(b"\0").decode("ascii") == str(tags[name])
    assert told.preview is None


def test_a_real_file_without_a_picture_says_so(tmp_path: Path) -> None:
    (tmp_path / "a.dng").write_bytes(REAL.read_bytes())
    assert "holds no JPEG picture" in read_facts(tmp_path, "UTC")[0].problem
