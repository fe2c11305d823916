"""`pictures.jpeg_stream`: the pixels OpenCV gives, and a JPEG damaged in the middle is told.

Damage as it comes: a part of a card that cannot be read any more comes back as zeros, as another file's, or
not at all. Photograph: `rockery.jpg`, a real camera's (tests/data/photographs/README.md).
"""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dossier.errors import PictureError
from dossier.pictures import decode, jpeg_stream


@pytest.fixture(scope="module")
def photograph(data):
    return (data / "rockery.jpg").read_bytes()


def none():
    raise AssertionError("the first decoder takes it")


@pytest.mark.parametrize("factor", [1, 2, 4, 8])
@pytest.mark.parametrize("grey", [False, True])
def test_the_pixels_are_those_of_opencv(photograph, factor, grey):
    scale = {1: 0, 2: 16, 4: 32, 8: 64}[factor]
    flags = scale | (cv2.IMREAD_GRAYSCALE if grey else cv2.IMREAD_COLOR_RGB)
    expected = cv2.imdecode(np.frombuffer(photograph, np.uint8), flags)
    found = jpeg_stream.pixels(photograph, (2560, 1920), factor, grey=grey, other=none)
    assert np.array_equal(found, expected)


def middle(content, part, drop=0):
    at = len(content) // 2
    return content[:at] + part + content[at + (drop or len(part)) :]


@pytest.mark.parametrize(
    "damage",
    [
        lambda content: middle(content, bytes(8192)),
        lambda content: middle(content, np.random.default_rng(1).bytes(4096)),
        lambda content: middle(content, b"", drop=len(content) // 3),
        lambda content: content[: len(content) // 2] + bytes(len(content) // 2 - 2) + b"\xff\xd9",
    ],
)
def test_damaged_in_the_middle_is_told(photograph, damage):
    """The header says nothing of it, and Pillow and OpenCV give pixels without a word."""
    with pytest.raises(PictureError, match="damaged"):
        decode.decode(damage(photograph), 1, 500)


def test_what_is_odd_in_the_header_is_no_damage(photograph):
    """Bytes of no segment, as some cameras and programs leave behind one: libjpeg skips and mentions them."""
    length = 2 + int.from_bytes(photograph[4:6])
    odd = photograph[: 2 + length] + bytes(5) + photograph[2 + length :]
    assert np.array_equal(decode.decode(odd, 1, 500), decode.decode(photograph, 1, 500))


@pytest.mark.parametrize("colours", [3, 1])
def test_a_subsampling_without_a_name_is_still_decoded(capfd, monkeypatch, colours):
    """Three rows of lightness to one of colour (ITU-T T.81, A.1.1 allows it); libjpeg itself decodes it.

    It then finds the scan too long, of which OpenCV prints a line without a file's name.
    """
    pixels = np.random.default_rng(1).integers(0, 255, (64, 64, colours), np.uint8)
    content = bytearray(cv2.imencode(".jpg", pixels)[1].tobytes())
    frame = content.index(b"\xff\xc0")
    assert content[frame + 11] == (0x22 if colours == 3 else 0x11)  # T.81, B.2.2: of the first component
    content[frame + 11] = 0x13
    asked = []
    by_pillow = decode._by_pillow
    monkeypatch.setattr(decode, "_by_pillow", lambda *given: asked.append(given) or by_pillow(*given))
    assert decode.decode(bytes(content), 1, 500).shape == (64, 64, 3)
    assert len(asked) == (colours == 3)
    assert capfd.readouterr().err == ""


OWN = {
    "fine": (cv2.IMWRITE_JPEG_OPTIMIZE, 1),
    "coarse": (cv2.IMWRITE_JPEG_OPTIMIZE, 1, cv2.IMWRITE_JPEG_QUALITY, 40),
    "progressive": (cv2.IMWRITE_JPEG_PROGRESSIVE, 1),
}


def with_own_codes(photograph, kind):
    pixels = cv2.imdecode(np.frombuffer(photograph, np.uint8), cv2.IMREAD_COLOR)
    return cv2.imencode(".jpg", pixels, OWN[kind])[1].tobytes()


@pytest.mark.parametrize("part", [3, 5, 8])
@pytest.mark.parametrize("kind", OWN)
def test_a_hole_is_told_where_the_codes_are_the_pictures_own(photograph, kind, part):
    """Codes made for the picture decode zeros to something, or to little where it is smooth."""
    made = with_own_codes(photograph, kind)
    at = len(made) * part // 10 // 512 * 512
    with pytest.raises(PictureError, match="damaged"):
        decode.decode(made[:at] + bytes(4096) + made[at + 4096 :], 1, 500)


@pytest.mark.parametrize("kind", OWN)
def test_zeros_that_fill_a_scan_up_are_no_hole(photograph, kind):
    """Before the end mark, up to a length that suits who writes them."""
    made = with_own_codes(photograph, kind)
    whole = decode.decode(made, 1, 500)
    assert np.array_equal(decode.decode(made[:-2] + bytes(2000) + made[-2:], 1, 500), whole)


@pytest.mark.parametrize("colour", [(0, 0, 0), (255, 255, 255), (10, 200, 30)])
def test_zeros_of_an_even_area_are_no_hole(colour):
    """Of one colour a scan is nearly all zeros where its codes are its own."""
    even = np.full((3000, 4000, 3), colour, np.uint8)
    made = cv2.imencode(".jpg", even, [cv2.IMWRITE_JPEG_OPTIMIZE, 1])[1].tobytes()
    assert bytes(4096) in made
    assert decode.decode(made, 1, 500).shape == (375, 500, 3)


@given(st.binary(max_size=200), st.integers(0, 400))
def test_any_header_is_looked_through(photograph, noise, at):
    for content in (
        photograph[:at] + noise + photograph[at + len(noise) : 3000],
        b"\xff\xd8" + noise,
        *(b"\xff\xd8\xff" + marker + b"\0\2" + noise for marker in (b"\xc0", b"\xc4", b"\xda")),
    ):
        jpeg_stream._holed(content)
        jpeg_stream._even(content)
