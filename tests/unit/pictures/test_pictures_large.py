"""A large PNG or TIFF is brought down band by band: as good as averaging all, in a third of the memory."""

from __future__ import annotations

import zlib
from collections.abc import Callable
from io import BytesIO
from unittest.mock import MagicMock

import numpy as np
import pytest
from PIL import Image

from dossier.errors import PictureError
from dossier.pictures import decode, flat

LONG = 100
MODES = ["L", "RGB", "RGBA", "LA", "P", "1", "I;16", "CMYK", "LAB"]


def content(scene: Image.Image, mode: str) -> bytes:
    """The scene at 901 x 601 in `mode`, part of it transparent where the mode can be."""
    image = scene.convert("RGB").resize((901, 601))
    if mode in ("RGBA", "LA"):
        image = image.convert(mode)
        image.putalpha(Image.linear_gradient("L").resize(image.size))
    elif mode == "I;16":
        image = Image.fromarray(np.asarray(image.convert("L")).astype(np.uint16) * 257)
    elif mode == "LAB":
        image = decode.colour.ImageCms.profileToProfile(
            image,
            decode.colour.ImageCms.createProfile("sRGB"),
            decode.colour.ImageCms.createProfile("LAB"),
            outputMode="LAB",
        )
    else:
        image = image.convert(mode)
    out = BytesIO()
    image.save(out, "TIFF" if mode in ("CMYK", "LAB") else "PNG")
    return out.getvalue()


@pytest.mark.parametrize("mode", MODES)
def test_bands_give_what_the_whole_gives(
    scene: Image.Image,
    decibels: Callable[[np.ndarray, np.ndarray], float],
    monkeypatch: pytest.MonkeyPatch,
    mode: str,
) -> None:
    """Against averaging every pixel of the whole (OpenCV's areas): 40 dB, as for the JPEG of a camera."""
    data = content(scene, mode)
    whole = decode.decode(data, 1, LONG)
    monkeypatch.setattr(decode, "IN_ONE_UP_TO", 1000)
    monkeypatch.setattr(decode, "_BAND", 64)
    heights: list[int] = []
    plain = flat.plain

    def counted(image: Image.Image) -> Image.Image:
        heights.append(image.size[1])
        return plain(image)

    monkeypatch.setattr(flat, "plain", counted)
    banded = decode.decode(data, 1, LONG)
    assert banded.shape == whole.shape
    assert decibels(banded, whole) > (36 if mode == "1" else 40)  # black and white alone is all grain
    assert len(heights) > 5
    assert max(heights) <= 64


def test_one_that_is_hardly_larger_than_what_is_wanted_stays_whole(
    scene: Image.Image, monkeypatch: pytest.MonkeyPatch
) -> None:
    data = content(scene, "RGB")
    whole = decode.decode(data, 1, 400)
    monkeypatch.setattr(decode, "IN_ONE_UP_TO", 1000)
    assert np.array_equal(decode.decode(data, 1, 400), whole)


@pytest.mark.parametrize(
    ("size", "wanted", "step", "thrifty"),
    [
        ((6000, 4000), 1400, 1, 1),
        ((7000, 5000), 1400, 2, 5),
        ((7001, 6999), 2400, 1, 2),
        ((10_000, 9_999), 1400, 3, 7),
        ((10_000, 9_999), 3600, 1, 2),
        ((65_535, 520), 1400, 5, 5),  # cut by no more than a hundredth of its width
    ],
)
def test_pixels_are_taken_over_at_a_whole_step(
    size: tuple[int, int], wanted: int, step: int, thrifty: int
) -> None:
    """With room left to average, but for what is looked at by a program alone."""
    assert decode._whole_step(size, wanted) == step
    assert decode._whole_step(size, wanted, thrifty=True) == thrifty


@pytest.mark.parametrize("orientation", range(1, 9))
def test_bands_are_turned_as_the_whole(
    scene: Image.Image,
    decibels: Callable[[np.ndarray, np.ndarray], float],
    monkeypatch: pytest.MonkeyPatch,
    orientation: int,
) -> None:
    data = content(scene, "RGB")
    whole = decode.decode(data, orientation, LONG)
    monkeypatch.setattr(decode, "IN_ONE_UP_TO", 1000)
    banded = decode.decode(data, orientation, LONG)
    assert banded.shape == whole.shape
    assert decibels(banded, whole) > 40


@pytest.mark.parametrize("size", [(2400, 119), (119, 2400), (7, 3000)])
def test_a_long_narrow_one_keeps_its_width(
    scene: Image.Image,
    decibels: Callable[[np.ndarray, np.ndarray], float],
    monkeypatch: pytest.MonkeyPatch,
    size: tuple[int, int],
) -> None:
    """A panorama: in steps as its length would allow, up to all of its width would be cut off."""
    out = BytesIO()
    scene.convert("RGB").resize(size).save(out, "PNG")
    whole = decode.decode(out.getvalue(), 1, LONG)
    monkeypatch.setattr(decode, "IN_ONE_UP_TO", 1000)
    banded = decode.decode(out.getvalue(), 1, LONG)
    assert banded.shape == whole.shape
    assert decibels(banded, whole) > 36


@pytest.mark.parametrize("progressive", [True, False])
def test_a_large_progressive_one_waits_for_its_turn(
    scene: Image.Image, monkeypatch: pytest.MonkeyPatch, progressive: bool
) -> None:
    """Two of 100 million pixels side by side had taken 300 MB each (ITU-T T.81, G.1.1: all is held)."""
    out = BytesIO()
    scene.convert("RGB").save(out, "JPEG", progressive=progressive)
    monkeypatch.setattr(decode, "IN_ONE_UP_TO", 1000)
    turns = MagicMock()
    monkeypatch.setattr(decode, "_ONE_AT_A_TIME", turns)
    assert decode.decode(out.getvalue(), 1, LONG).shape[1] == LONG
    assert turns.__enter__.called is progressive


@pytest.mark.parametrize("mode", ["L", "RGB", "CMYK"])
def test_a_jpeg_that_is_drawn_over_itself_is_not_decoded(mode: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """0.1 s a scan of 100 bytes, where it has 100 million pixels."""
    out = BytesIO()
    Image.new(mode, (64, 48)).save(out, "JPEG", progressive=True)
    picture = out.getvalue()
    last = picture[picture.rfind(b"\xff\xda") : -2]
    assert decode.decode(picture, 1, LONG).shape == (48, 64, 3)
    unused = MagicMock(side_effect=AssertionError)
    monkeypatch.setattr(decode.jpeg_stream, "pixels", unused)
    monkeypatch.setattr(decode.JpegImagePlugin, "JpegImageFile", unused)
    with pytest.raises(PictureError, match="drawn over itself more than 50 times"):
        decode.decode(picture[:-2] + last * 60 + b"\xff\xd9", 1, LONG)


def test_a_png_of_more_chunks_than_any_has_is_not_decoded(monkeypatch: pytest.MonkeyPatch) -> None:
    """What stands after its pixels is read too, a text of one letter as slowly as one of a page."""
    out = BytesIO()
    Image.new("RGB", (64, 48)).save(out, "PNG")
    picture = out.getvalue()
    text = b"\0\0\0\3tEXta\0b" + zlib.crc32(b"tEXta\0b").to_bytes(4)
    several = picture[:-12] + text * 20 + picture[-12:]
    assert decode.decode(several, 1, LONG).shape == (48, 64, 3)
    monkeypatch.setattr(decode.picture_start, "ALL_CHUNKS", 20)
    with pytest.raises(PictureError, match="cannot be decoded"):
        decode.decode(several, 1, LONG)
