"""The printed code is read by two decoders of others: zxing-cpp and OpenCV's.

From the page as a screen or printer draws it at 150 dpi, and from made-up pictures of a print as a telephone
takes them: perspective, blur, uneven light, a crease, a lamp's glare, noise and JPEG. Seeds are fixed; the
pictures are the same on every run (OpenCV's warp and NumPy's PCG64 generator).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from functools import cache
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt
import pypdfium2
import pytest
import zxingcpp

from dossier.errors import OutputError
from dossier.pages import fonts
from dossier.pages.code import matrix, qr_figure
from dossier.pages.tagging import Document, Meta

Picture = npt.NDArray[np.uint8]
# The longest code there is: 450 characters, base64url after the page (seal.code).
ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
DRAWN = np.random.default_rng(7).integers(0, 64, 450)
LONGEST = ("https://check.example.org/r#" + "".join(ALPHABET[n] for n in DRAWN))[:450]
SMALLEST = 40.0  # mm, the smallest it is printed


@cache
def page(text: str, size_mm: float) -> bytes:
    made = dt.datetime(2026, 11, 25, tzinfo=dt.UTC)
    meta = Meta("A code", "en", made, bytes(16))
    return Document(meta, (300, 300), (30, 30, 30, 30), fonts.fonts()).build([qr_figure(text, size_mm)])


@cache
def rendered(text: str, size_mm: float, dpi: int) -> Picture:
    [first] = pypdfium2.PdfDocument(page(text, size_mm))
    return np.asarray(first.render(scale=dpi / 72, grayscale=True).to_numpy()).squeeze()


def by_zxing(picture: Picture) -> str:
    found = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
    return found[0].text if found else ""


def by_opencv(picture: Picture) -> str:
    """OpenCV's two finders, each on the picture and on one twice as large (its decoder wants big modules)."""
    doubled = cv2.resize(picture, None, fx=2, fy=2, interpolation=cv2.INTER_CUBIC)
    for seen in (picture, doubled):
        for finder in (cv2.QRCodeDetector(), cv2.QRCodeDetectorAruco()):
            if text := finder.detectAndDecode(seen)[0]:
                return str(text)
    return ""


@cache
def photographed(
    tilt: float, blur: float, light: float, crease: float, seed: int, turn: float = 0.1, glare: float = 0.0
) -> Picture:
    """A grey picture of the print on a table, the code about 650 pixels wide (7 pixels a module).

    `tilt` is how much shorter the far edge is, `blur` the Gaussian sigma in pixels, `light` how much darker
    the dark side is, `crease` how far the print is shifted along a fold in pixels, `glare` the radius in
    pixels of what a lamp burns out of it.
    """
    side = round((60 + SMALLEST / 25.4 * 72) / 72 * 600)  # the code and 30 points of paper around it
    paper = rendered(LONGEST, SMALLEST, 600)[:side, :side]
    seen = _warped(_creased(paper, crease), tilt, turn)
    seen = cv2.GaussianBlur(seen, (0, 0), blur) * _light(seen.shape, light)
    seen = seen + _glare(seen.shape, glare)
    noise = np.random.default_rng(seed).normal(0, 4, seen.shape)
    grey = np.clip(seen * 0.85 + 20 + noise, 0, 255).astype(np.uint8)
    return cv2.imdecode(cv2.imencode(".jpg", grey, [cv2.IMWRITE_JPEG_QUALITY, 80])[1], cv2.IMREAD_GRAYSCALE)


def _creased(paper: Picture, shift: float) -> Picture:
    """A fold right across the code: the paper beyond it lies `shift` lower, with a shadow along it."""
    height, width = paper.shape
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    beyond = (y > 0.55 * height + 0.1 * (x - width / 2)).astype(np.float32)
    moved = cv2.remap(paper, x, y - beyond * shift, cv2.INTER_LINEAR, borderValue=255)
    away = np.abs(y - (0.55 * height + 0.1 * (x - width / 2)))
    return (moved * (1 - 0.5 * np.exp(-((away / 4) ** 2)) * (shift > 0))).astype(np.uint8)


def _warped(paper: Picture, tilt: float, turn: float) -> npt.NDArray[np.float32]:
    height, width = paper.shape
    corners = np.array([[tilt / 2, 0], [1 - tilt / 2, tilt / 3], [1, 1], [0, 1 - tilt / 4]]) - 0.5
    rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    target = (corners @ rotation.T * 1000 + [800, 700]).astype(np.float32)
    source = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    matrix_ = cv2.getPerspectiveTransform(source, target)
    return cv2.warpPerspective(paper, matrix_, (1600, 1400), flags=cv2.INTER_AREA, borderValue=120).astype(
        np.float32
    )


def _light(shape: tuple[int, ...], darker: float) -> npt.NDArray[np.float32]:
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float32)
    return 1 - darker * (0.6 * x / shape[1] + 0.4 * y / shape[0])


def _glare(shape: tuple[int, ...], radius: float) -> npt.NDArray[np.float32]:
    """A lamp in the middle of the code: white within `radius`, fading over half as far again."""
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float32)
    away = np.hypot(x - 830, y - 740) / max(radius, 1e-6)
    return 255 * np.clip(3 - 2 * away, 0, 1)


@pytest.mark.parametrize("size_mm", [SMALLEST, 44.0, 50.0])
@pytest.mark.parametrize("read", [by_zxing, by_opencv])
def test_read_from_the_page_at_150_dpi(read: Callable[[Picture], str], size_mm: float) -> None:
    assert read(rendered(LONGEST, size_mm, 150)) == LONGEST


PHOTOGRAPHS: dict[str, dict[str, Any]] = {
    "straight": {"tilt": 0.0, "blur": 0.8, "light": 0.0, "crease": 0, "seed": 1},
    "perspective": {"tilt": 0.25, "blur": 1.0, "light": 0.1, "crease": 0, "seed": 2},
    "upside down": {"tilt": 0.1, "blur": 1.0, "light": 0.1, "crease": 0, "seed": 3, "turn": 3.0},
    "blur": {"tilt": 0.05, "blur": 2.5, "light": 0.1, "crease": 0, "seed": 4},
    "uneven light": {"tilt": 0.05, "blur": 1.0, "light": 0.7, "crease": 0, "seed": 5},
    "crease": {"tilt": 0.05, "blur": 1.0, "light": 0.1, "crease": 6, "seed": 6},
    "glare": {"tilt": 0.1, "blur": 1.0, "light": 0.1, "crease": 0, "seed": 8, "glare": 110},
    "all of it": {"tilt": 0.15, "blur": 1.5, "light": 0.5, "crease": 4, "seed": 7, "turn": 0.3},
}


@pytest.mark.parametrize("read", [by_zxing, by_opencv])
@pytest.mark.parametrize("name", PHOTOGRAPHS)
def test_read_from_a_photograph_of_the_print(name: str, read: Callable[[Picture], str]) -> None:
    assert read(photographed(**PHOTOGRAPHS[name])) == LONGEST


def test_a_glare_over_more_than_can_be_restored_is_not_read() -> None:
    """Most of the code, and level M restores 15 % of its code words (ISO/IEC 18004 section 6.5.1)."""
    seen = photographed(**(PHOTOGRAPHS["glare"] | {"glare": 300}))
    assert (by_zxing(seen), by_opencv(seen)) == ("", "")


def test_too_blurred_is_not_read() -> None:
    """The pictures are hard enough to fail: at twice the blur (sigma of most of a module) nothing is read."""
    seen = photographed(**(PHOTOGRAPHS["blur"] | {"blur": 5.0}))
    assert (by_zxing(seen), by_opencv(seen)) == ("", "")


def test_level_and_version_are_as_stated() -> None:
    """450 bytes are just what version 16 holds at level M (ISO/IEC 18004, table 7): 81 modules a side."""
    assert len(LONGEST) == 450
    assert len(matrix(LONGEST)) == 81
    found = zxingcpp.read_barcodes(rendered(LONGEST, SMALLEST, 300))[0]
    assert found.ec_level == "M"


def test_quiet_zone_is_four_modules_and_within_the_size() -> None:
    """ISO/IEC 18004, 6.3.8. The figure stands at 30 points from the left; 89 modules are 40 mm."""
    dark = np.argwhere(rendered(LONGEST, SMALLEST, 600) < 128)
    module = SMALLEST / 25.4 * 600 / 89
    left = 30 / 72 * 600
    assert dark[:, 1].min() == pytest.approx(left + 4 * module, abs=1.5)
    assert dark[:, 1].max() == pytest.approx(left + 85 * module, abs=1.5)


def test_every_module_is_drawn_where_it_belongs() -> None:
    """The middle of each module on the page is dark exactly where the code says so."""
    picture, modules = rendered(LONGEST, SMALLEST, 600), np.array(matrix(LONGEST))
    module, left = SMALLEST / 25.4 * 600 / 89, 30 / 72 * 600
    middles = (left + (np.arange(81) + 4.5) * module).astype(int)
    assert ((picture[np.ix_(middles, middles)] < 128) == modules).all()


def test_a_text_that_no_code_holds_is_refused() -> None:
    """2331 bytes are the most at level M (ISO/IEC 18004, table 7, version 40)."""
    assert len(matrix("a" * 2331)) == 177
    with pytest.raises(OutputError, match="2332 characters"):
        matrix("a" * 2332)


def test_the_page_conforms(assert_conforming: Any) -> None:
    assert_conforming(page(LONGEST, SMALLEST))
