"""`pictures.heic_stream`: what is whole for two encoders is whole; what a card lost in the middle is told.

`mirrorless-grey.heic`: a camera's (tests/data/photographs/README.md). The others are pieces of `rockery.jpg`,
coded by x265 through pillow-heif.
"""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pillow_heif
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from dossier.errors import PictureError
from dossier.model import heif
from dossier.pictures import decode, heic_stream

CAMERAS = Path(__file__).resolve().parents[2] / "data" / "photographs" / "mirrorless-grey.heic"


@pytest.fixture(scope="module")
def coded(data):
    with Image.open(data / "rockery.jpg") as image:
        piece = image.crop((0, 0, 640, 480))
    out = BytesIO()
    pillow_heif.from_pillow(piece).save(out, quality=80, thumbnails=[128])
    return out.getvalue()


def test_what_encoders_wrote_is_whole(coded):
    assert heic_stream.whole(CAMERAS.read_bytes())
    assert heic_stream.whole(coded)
    assert decode.decode(coded, 1, 640).shape == (480, 640, 3)


def main_picture(content):
    """Where the larger of the two coded pictures starts and ends; boxes as libheif laid them."""
    places = heif.places(content, meta(content))
    return max((spans[0] for spans in places.values() if spans), key=lambda span: span[1] - span[0])


def meta(content):
    start, end = heif.first(content, b"meta", (0, len(content)))
    return start + 4, end


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_a_lost_part_is_told(coded, share):
    """ISO/IEC 23008-2, 7.4.2: no three zeros in a row. The decoder itself gives a picture without a word."""
    start, end = main_picture(coded)
    at = start + int(share * (end - start))
    damaged = coded[:at] + bytes(512) + coded[at + 512 :]
    with pytest.raises(PictureError, match="damaged"):
        decode.decode(damaged, 1, 640)


def test_bytes_that_are_gone_are_told_by_the_next_unit(coded):
    """ISO/IEC 14496-15, 8.3.3.1: a unit behind its length; a telephone's picture has some fifty of them."""
    start, end = main_picture(coded)
    units = coded[start:end] * 2
    assert heic_stream._units(units, 4)
    assert not heic_stream._units(units[:1000] + units[1512:], 4)


def test_a_broken_thumbnail_is_no_matter(coded):
    """The picture that is shown has nothing of it."""
    places = heif.places(coded, meta(coded))
    start, end = min((spans[0] for spans in places.values()), key=lambda span: span[1] - span[0])
    broken = coded[: start + 40] + bytes(end - start - 40) + coded[end:]
    assert broken != coded
    assert heic_stream.whole(broken)


@settings(deadline=None, max_examples=60)
@given(st.data())
def test_no_bytes_raise(draw):
    content = bytearray(CAMERAS.read_bytes())
    for _ in range(draw.draw(st.integers(1, 6))):
        content[draw.draw(st.integers(0, min(900, len(content) - 1)))] = draw.draw(st.integers(0, 255))
    cut = draw.draw(st.integers(0, len(content)))
    assert heic_stream.whole(bytes(content[:cut])) in {True, False}
