"""What may be handed to a picture library: never an exception, and every real file may (`tests/data`)."""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from dossier.model import picture_start, tiff

DATA = Path(__file__).resolve().parents[2] / "data" / "photographs"
STARTS = (b"\xff\xd8\xff\xe1", b"\x89PNG\r\n\x1a\n", b"II*\0\x08\0\0\0", b"MM\0+\0\x08\0\0")


@pytest.mark.parametrize("name", sorted(p.name for p in DATA.iterdir() if p.suffix not in (".md", ".txt")))
def test_every_camera_file_is_within_bounds(name: str) -> None:
    content = (DATA / name).read_bytes()
    assert picture_start.bounded(tiff.reader(content), len(content))
    assert picture_start.few_scans(content)


@settings(deadline=None, max_examples=60)
@given(st.sampled_from(STARTS), st.binary(max_size=300))
def test_any_bytes_are_answered(start: bytes, rest: bytes) -> None:
    content = start + rest
    asked = 0

    def read(offset: int, count: int) -> bytes:
        nonlocal asked
        asked += 1
        return content[offset : offset + count]

    assert picture_start.bounded(read, len(content)) in (True, False)
    assert asked <= picture_start.MOST_SEGMENTS + 2000


def _progressive(scans: int) -> bytes:
    """A picture as Pillow writes it, with as many scans besides: its last one again."""
    out = BytesIO()
    Image.new("RGB", (64, 48), (90, 60, 30)).save(out, "JPEG", progressive=True)
    picture = out.getvalue()
    last = picture[picture.rfind(b"\xff\xda") : -2]
    return picture[:-2] + last * (scans - picture.count(b"\xff\xda")) + b"\xff\xd9"


def test_a_jpeg_draws_over_itself_so_often_and_no_more() -> None:
    most = picture_start.MOST_SCANS
    assert _progressive(0).count(b"\xff\xda") == 10  # libjpeg's own way for three colours
    assert picture_start.few_scans(_progressive(most))
    assert not picture_start.few_scans(_progressive(most + 1))


def test_what_follows_a_jpeg_is_none_of_its_scans() -> None:
    assert picture_start.few_scans(_progressive(10) + b"\xff\xda" * 1000)


@pytest.mark.parametrize(
    "between", [b"\xff\xfe\x00\x04\xff\xd9", b"\xff\xd3", b"\xff\xff", b"\xff\x01", b"\xff\x00"]
)
def test_the_end_of_a_jpeg_is_where_a_library_takes_it(between: bytes) -> None:
    """Not in a comment; what stands in a scan or fills up hides none (ITU-T T.81, B.1.1)."""
    scans = _progressive(200)
    head, first, *others = scans.split(mark := b"\xff\xda")
    scans = head + mark + first + b"".join(between + mark + one for one in others)
    assert not picture_start.few_scans(scans)
    with Image.open(BytesIO(scans)) as image:
        image.load()  # to libjpeg all of it is one picture


def test_segments_between_scans_are_gone_through_up_to_a_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    head, tail = b"\xff\xd8" + b"\xff\xfe\x00\x02" * 1_000_000, b"\xff\xda\x00\x02" * 60
    looked = []
    real = picture_start._MARKER

    class Marker:
        def search(self, data: bytes, at: int) -> re.Match[bytes] | None:
            looked.append(at)
            return real.search(data, at)

    monkeypatch.setattr(picture_start, "_MARKER", Marker())
    assert not picture_start.few_scans(head + tail)
    assert len(looked) <= picture_start._MOST_MARKERS


@settings(deadline=None, max_examples=60)
@given(
    st.lists(st.sampled_from([b"\xff\xda", b"\xff\xd9", b"\xff", b"\0", b"\xff\xd0", b"\xff\xfe\0", b"a"]))
)
def test_any_scans_are_answered(parts: list[bytes]) -> None:
    data = b"".join(parts)
    assert picture_start.few_scans(data) in (True, False)
    assert picture_start.few_scans(data) or data.count(b"\xff\xda") > picture_start.MOST_SCANS
