"""What a HEIC has decoded is reckoned from its boxes, laid here by ISO/IEC 14496-12 and 23008-12."""

from __future__ import annotations

import struct
from io import BytesIO
from pathlib import Path
from unittest.mock import MagicMock

import pillow_heif
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from dossier.errors import PictureError
from dossier.model import heif, heif_work
from dossier.pictures import decode

CAMERAS = Path(__file__).resolve().parents[2] / "data" / "photographs" / "mirrorless-grey.heic"
TILE = 64
_GRID, _CODED = 1, 2
Refers = tuple[bytes, int, list[int]]


def box(kind: bytes, content: bytes, full: int | None = None) -> bytes:
    head = b"" if full is None else struct.pack(">I", full)
    return struct.pack(">I4s", 8 + len(head + content), kind) + head + content


def heic(rows: int, columns: int, said: int = TILE, refers: list[Refers] | None = None) -> bytes:
    """A grid of one coded picture again and again, which is said to be `said` pixels high and wide."""
    out = BytesIO()
    pillow_heif.from_pillow(Image.new("RGB", (TILE, TILE), (40, 90, 20))).save(out, quality=30)
    plain = out.getvalue()
    start, end = heif.first(plain, b"meta", (0, len(plain))) or (0, 0)
    ((at, to),) = heif.places(plain, (start + 4, end)).popitem()[1]
    shared = heif.first(plain, b"ipco", heif.first(plain, b"iprp", (start + 4, end)) or (0, 0)) or (0, 0)
    setup = slice(*(heif.first(plain, b"hvcC", shared) or (0, 0)))
    size = TILE * columns, TILE * rows
    grid = struct.pack(">BBBBII", 0, 1, rows - 1, columns - 1, *size)
    some = refers or [(b"dimg", _GRID, [_CODED] * rows * columns)]

    def meta(place: int) -> bytes:
        spans = ((_GRID, place, len(grid)), (_CODED, place + len(grid), to - at))
        lies = b"".join(struct.pack(">HHHII", item, 0, 1, where, long) for item, where, long in spans)
        kinds = (
            box(b"infe", struct.pack(">HH", item, 0) + kind + b"\0", 2 << 24)
            for item, kind in ((_GRID, b"grid"), (_CODED, b"hvc1"))
        )
        ref = (box(kind, struct.pack(f">HH{len(to)}H", item, len(to), *to)) for kind, item, to in some)
        sizes = (box(b"ispe", struct.pack(">II", *one), 0) for one in ((said, said), size))
        properties = box(b"ipco", box(b"hvcC", plain[setup]) + b"".join(sizes))
        of_items = struct.pack(">IHBBHBBB", 2, _GRID, 1, 3, _CODED, 2, 0x81, 2)
        inside = (
            box(b"hdlr", struct.pack(">I4s", 0, b"pict") + bytes(13), 0),
            box(b"pitm", struct.pack(">H", _GRID), 0),
            box(b"iloc", b"\x44\0" + struct.pack(">H", 2) + lies, 0),
            box(b"iinf", struct.pack(">H", 2) + b"".join(kinds), 0),
            box(b"iref", b"".join(ref), 0),
            box(b"iprp", properties + box(b"ipma", of_items, 0)),
        )
        return box(b"meta", b"".join(inside), 0)

    kind = box(b"ftyp", b"heic\0\0\0\0mif1heic")
    place = len(kind) + len(meta(0)) + 8
    return kind + meta(place) + box(b"mdat", grid + plain[at:to])


def test_a_grid_as_telephones_write_it_is_little() -> None:
    assert heif_work.little(heic(2, 3))
    assert decode.decode(heic(2, 3), 1, 192).shape == (128, 192, 3)
    assert heif_work._drawn(heic(2, 3)) == TILE * TILE * 6 * 2  # each of them, and the canvas


def test_what_cameras_and_others_write_is_little() -> None:
    assert heif_work.little(CAMERAS.read_bytes())
    out = BytesIO()
    pillow_heif.from_pillow(Image.new("RGBA", (640, 480))).save(out, thumbnails=[128])
    assert heif_work.little(out.getvalue())


@pytest.mark.parametrize(
    "content",
    [
        heic(16, 16, said=4096),
        heic(200, 200, said=512),
        heic(1, 1, refers=[(b"dimg", 1, [3]), (b"dimg", 3, [1])]),
        heic(1, 1, refers=[(b"dimg", 1, [2, 3, 3, 3])]),
        heic(1, 1, refers=[(b"dimg", n, [n + 1] * 9) for n in range(1, 40)]),
        heic(1, 1, refers=[(b"dimg", 1, [2]), (b"auxl", 9, [1]), (b"auxl", 8, [1]), (b"auxl", 7, [1])]),
        heic(1, 1, said=4096, refers=[(b"dimg", 1, [2] * 4)] * 5),
    ],
    ids=["large", "many", "circle", "no size", "deep", "beside", "in parts"],
)
def test_what_names_its_parts_again_and_again_is_not_decoded(
    content: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pillow_heif, "open_heif", MagicMock(side_effect=AssertionError))
    assert not heif_work.little(content)
    with pytest.raises(PictureError, match="too many pixels"):
        decode.decode(content, 1, 100)


def test_references_are_read_up_to_a_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(heif, "_MOST_REFERENCES", 5)
    content = heic(2, 4)
    start, end = heif.first(content, b"meta", (0, len(content))) or (0, 0)
    assert heif.references(content, (start + 4, end), b"dimg") == {_GRID: [_CODED] * 5}


@settings(deadline=None, max_examples=100)
@given(st.integers(0, 600), st.binary(max_size=6), st.integers(0, 900))
def test_any_bytes_are_answered(at: int, put: bytes, length: int) -> None:
    content = heic(2, 3)
    assert heif_work.little(content[:at] + put + content[at + len(put) :][:length]) in (True, False)
