"""A picture's bytes to upright sRGB pixels at about the size wanted.

Not done here: files, encoding. Invariants: only the decoder for the kind seen runs; pixels are counted before
they are decoded; a picture cut short is refused, never shown with a grey foot; what leaves is 8-bit sRGB in
red-green-blue order, upright, and nothing of the file but its pixels.

Memory: the file's bytes, and of a PNG, TIFF, HEIC or large progressive JPEG up to 9 bytes a pixel, of one at
a time; of any other JPEG at most twice what it is decoded to, and what it is brought to.

Scaling: a JPEG is decoded at a fraction (1/2, 1/4, 1/8) of its size, then brought to size by averaging areas
or by interpolation: where little is left to go, or much, once it is softened. Against averaging every pixel
of the full picture that is 40 dB or better on a camera's photograph (test_pictures_quality.py).
"""

from __future__ import annotations

import ctypes
import logging
import threading
import warnings
import zlib
from contextlib import nullcontext, suppress
from functools import cache, lru_cache
from io import BytesIO
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL import Image, JpegImagePlugin, _imaging

from dossier.errors import PictureError
from dossier.model import dng, heif_work, picture_start, tiff
from dossier.pictures import colour, flat, heic_stream, jpeg_stream, png_colour
from dossier.words import Catalogue

Pixels = NDArray[np.uint8]
Full = tuple[str, Pixels, bytes, int]

_TAIL = 65_536  # bytes in which the end of a PNG is sought
_ONE_AT_A_TIME = threading.Lock()  # full-size decodes are large: memory stays flat with any number of workers
_WORDS = Catalogue()

logging.getLogger("PIL").addHandler(logging.NullHandler())
warnings.filterwarnings("ignore", module=r"PIL\..*")  # odd tags are no news here; broken pixels raise

WHOLE_UP_TO = 4_500_000  # pixels
IN_ONE_UP_TO = 24_000_000  # pixels; larger ones are taken over at a whole fraction, or one at a time
_BAND = 512  # rows
_LEAST_ACROSS = 100  # px left of the shorter side: what is no whole pixel more is cut, and stays below 1 %
CUBIC_BELOW = 1.3  # a smaller step than this is sharper and truer by cubic interpolation
LINEAR_BELOW = 1.9  # as true by linear interpolation, in a fraction of the time; below 2 it misses no pixel
# Steps where what was decoded at a fraction is softened first: 45 dB and more, in less than half the time of
# averaging areas. At shorter ones a weave of one or two pixels would shimmer.
_SOFT_FROM, _SOFT_BELOW = 2.6, 4.0
_SOFT_UP_TO = 8_000_000  # pixels; it takes a second copy


class Decoded(NamedTuple):
    """Upright sRGB pixels (height, width, 3): as wanted, and as they were before the last step down to that.

    `finer` is left out where it would take work of its own, or where that step was long.
    """

    pixels: Pixels
    finer: Pixels | None = None


def problem(key: str, **fields: object) -> PictureError:
    words = _WORDS.say(f"pictures.problem.{key}", **fields)
    return PictureError(words, hint=_WORDS.say("pictures.problem.hint"))


def decode(data: bytes, orientation: int, long_side: int, *, thrifty: bool = False) -> Pixels:
    """Upright sRGB pixels (height, width, 3), the long side at most `long_side`, never enlarged.

    `orientation` is EXIF's 1-8 for JPEG, PNG, TIFF and DNG; a HEIC file turns itself. `thrifty`: with less
    memory and less truly, where nobody is shown it. Raises PictureError.
    """
    return _guarded(data, orientation, long_side, thrifty=thrifty).pixels


def decode_both(data: bytes, orientation: int, long_side: int) -> Decoded:
    """As `decode`, with what it was made from."""
    return _guarded(data, orientation, long_side, thrifty=False)


def _guarded(data: bytes, orientation: int, long_side: int, *, thrifty: bool) -> Decoded:
    try:
        return _decode(data, orientation, long_side, thrifty)
    except PictureError:
        raise
    except Exception as error:  # a hostile picture can raise anything inside three native libraries
        raise problem("undecodable") from error


def _decode(data: bytes, orientation: int, long_side: int, thrifty: bool) -> Decoded:
    if found := dng.find(tiff.reader(data), len(data)):
        data = _preview(data, found)
    if not picture_start.bounded(tiff.reader(data), len(data)):
        raise problem("undecodable")
    if data[:3] == b"\xff\xd8\xff":
        return _jpeg(data, orientation, long_side)
    with _ONE_AT_A_TIME:
        mode, pixels, profile, turn = _full_size(data, orientation, long_side, thrifty)
        pixels = shrink(pixels, long_side)
    return Decoded(_finish(pixels, mode, profile, turn))


def _preview(data: bytes, found: dng.Dng) -> bytes:
    """The largest JPEG preview of a DNG; raw data are never developed here."""
    if found.preview is None:
        raise problem("no_preview")
    return data[found.preview.offset : found.preview.offset + found.preview.length]


def _jpeg(data: bytes, orientation: int, long_side: int) -> Decoded:
    if not picture_start.few_scans(data):
        raise problem("too_many_scans", limit=picture_start.MOST_SCANS)
    # The plug-in's class itself, not Image.open: only the first of several pictures, and no plug-in search.
    with JpegImagePlugin.JpegImageFile(BytesIO(data)) as header:
        _check_jpeg(header, data)
        profile, mode = colour.embedded(header), header.mode
        if mode == "CMYK":  # OpenCV knows no ink
            header.draft(mode, _at_least(header.size, long_side))
            return Decoded(_finish(shrink(np.asarray(header), long_side), mode, profile, orientation))
        size, progressive = header.size, "progressive" in header.info
    # Its coefficients are all held until the last scan (ITU-T T.81, G.1.1).
    large = progressive and size[0] * size[1] > IN_ONE_UP_TO
    with _ONE_AT_A_TIME if large else nullcontext():
        pixels = _reduced(data, size, _reduction(size, long_side), mode)
    softly = max(pixels.shape) < max(size)
    shown = _finish(shrink(pixels, long_side, softly=softly), mode, profile, orientation)
    near = long_side < max(pixels.shape) < LINEAR_BELOW * long_side
    plain = mode == "RGB" and not profile
    return Decoded(shown, upright(pixels, orientation) if near and plain else None)


def _check_jpeg(header: JpegImagePlugin.JpegImageFile, data: bytes) -> None:
    full = "progressive" in header.info
    check_pixels(header.size, picture_start.MOST_PIXELS if full else picture_start.MOST_PIXELS_JPEG)
    # The header ends where the first scan starts; an end mark must follow (ITU-T T.81 B.1.1.3). An
    # interrupted copy often has the full length, its rest all zeros. Sought from the end, where it stands.
    if header.fp is None or data.rfind(b"\xff\xd9", header.fp.tell()) < 0:
        raise problem("cut_short")


def _reduced(data: bytes, size: tuple[int, int], factor: int, mode: str) -> Pixels:
    try:
        return jpeg_stream.pixels(data, size, factor, grey=mode == "L", other=_by_pillow)
    except jpeg_stream.DamagedError as error:
        raise problem("damaged") from error


def _by_pillow(data: bytes, factor: int) -> Pixels:
    """Takes odd headers and subsamplings, and prints nothing of what it met, as OpenCV does."""
    with JpegImagePlugin.JpegImageFile(BytesIO(data)) as image:
        image.draft(image.mode, (max(1, image.width // factor), max(1, image.height // factor)))
        return np.asarray(image)


def _reduction(size: tuple[int, int], wanted: int) -> int:
    """The fraction to decode at: 1/2 while that still covers the size, 1/4 and 1/8 with room to average.

    Small pictures, often scaled down before and sharp to the last pixel, are decoded whole.
    """
    longest = max(size)
    if size[0] * size[1] <= WHOLE_UP_TO or longest // 2 < wanted:
        return 1
    return next((f for f in (8, 4) if longest // f >= 2 * wanted), 2)


def _at_least(size: tuple[int, int], long_side: int) -> tuple[int, int]:
    """`draft` takes width and height: asked for a square it would keep the full size of a 4:3 picture."""
    scale = min(1.0, long_side / max(size))
    return max(1, int(size[0] * scale)), max(1, int(size[1] * scale))


def shrink(pixels: Pixels, long_side: int, *, softly: bool = False) -> Pixels:
    """`pixels` (height, width[, channels]) with the long side at most `long_side`; never enlarged.

    `softly`: they were decoded at a fraction of their size, so that nothing in them is sharp to the pixel.
    """
    height, width = pixels.shape[:2]
    longest = max(height, width)
    if longest <= long_side:
        return pixels
    cv2 = opencv()
    size = (max(1, round(width * long_side / longest)), max(1, round(height * long_side / longest)))
    step = longest / long_side
    if step < CUBIC_BELOW:
        way = cv2.INTER_CUBIC
    elif step < LINEAR_BELOW:
        way = cv2.INTER_LINEAR
    elif softly and _SOFT_FROM <= step < _SOFT_BELOW and height * width <= _SOFT_UP_TO:
        pixels = cv2.sepFilter2D(pixels, -1, _softening(step), _softening(step))
        way = cv2.INTER_LINEAR
    else:
        way = cv2.INTER_AREA
    small: Pixels = cv2.resize(pixels, size, interpolation=way)
    return small


@lru_cache(64)
def _softening(step: float) -> NDArray[np.float64]:
    """Weights of a pixel and its neighbours in a row: as wide, in their spread, as one pixel `step` apart.

    A pixel of width s spreads s^2 / 12; linear interpolation adds 1/6 on average, a square pixel 1/12. But
    what is decoded at a fraction of its size is sharper than its pixels are wide: 1.5 serves best, where both
    together would be 3.
    """
    spread = (step * step - 1.5) / 12
    of_three = min(spread / 2, 1 / 3)
    three = np.array([of_three, 1 - 2 * of_three, of_three])
    rest = spread / 2 - of_three
    return np.convolve(three, [rest, 1 - 2 * rest, rest]) if rest > 0 else three


def _finish(pixels: Pixels, mode: str, profile: bytes, orientation: int) -> Pixels:
    """Small pixels in their own colours to upright sRGB."""
    if mode != "RGB" or profile:
        image = Image.frombytes(
            mode, (pixels.shape[1], pixels.shape[0]), np.ascontiguousarray(pixels).tobytes()
        )
        pixels = np.asarray(colour.to_srgb(image, profile))
    return np.ascontiguousarray(upright(pixels, orientation))


def upright(pixels: Pixels, orientation: int) -> Pixels:
    """`pixels` turned and mirrored as EXIF orientation 1-8 says (EXIF 2.32, 4.6.4 A)."""
    if orientation >= 5:
        pixels = pixels.swapaxes(0, 1)
    if orientation in (3, 4, 7, 8):
        pixels = pixels[::-1]
    if orientation in (2, 3, 6, 7):
        pixels = pixels[:, ::-1]
    return pixels


def check_pixels(size: tuple[int, int], limit: int) -> None:
    if min(size) < 1 or max(size) > picture_start.MOST_ACROSS or size[0] * size[1] > limit:
        raise problem("too_many_pixels")


def _full_size(data: bytes, orientation: int, long_side: int, thrifty: bool) -> Full:
    """The picture's plain mode (L, RGB, CMYK), its pixels, its profile, and the turn still to be made."""
    if data[:8] == b"\x89PNG\r\n\x1a\n":
        if b"IEND" not in data[-_TAIL:]:
            raise problem("cut_short")
        from PIL import PngImagePlugin  # noqa: PLC0415 - start-up: few photographs are of its kind

        image = PngImagePlugin.PngImageFile(BytesIO(data))
        check_pixels(image.size, picture_start.MOST_PIXELS)
        _check_png(data)
        chunks = png_colour.stated(data)
        if png_colour.has_high_range(chunks):
            raise problem("tones")
        profile = png_colour.profile(chunks, colour.embedded(image))
        return _pillow(image, profile, orientation, _whole_step(image.size, long_side, thrifty))
    if data[:4] in (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"):
        from PIL import TiffImagePlugin  # noqa: PLC0415 - as above

        _hush()
        # Pillow turns a TIFF upright itself when it loads it.
        tiff_image = TiffImagePlugin.TiffImageFile(BytesIO(data))
        step = _whole_step(tiff_image.size, long_side, thrifty)
        return _pillow(tiff_image, colour.embedded(tiff_image), 1, step)
    if data[4:8] == b"ftyp":
        return _heif(data)
    raise problem("no_picture")


@cache
def _hush() -> None:
    """What libtiff prints of a broken TIFF names no file; the error that Pillow raises besides is told."""
    with suppress(OSError, AttributeError):  # where Pillow keeps it to itself, it is printed
        library = ctypes.CDLL(_imaging.__file__)
        library.TIFFSetErrorHandler(None)
        library.TIFFSetWarningHandler(None)


def _check_png(data: bytes) -> None:
    """Each chunk of colours or pixels against its sum (PNG 3, 5.3); Pillow shows what it gets.

    Of more chunks than any PNG has the rest would be read unchecked, however many they are.
    """
    view = memoryview(data)
    chunks = picture_start.png_chunks(tiff.reader(data), len(data))
    for number, (kind, place, length) in enumerate(chunks, 1):
        if number >= picture_start.ALL_CHUNKS:
            raise problem("undecodable")
        end = place + length
        if kind not in {b"PLTE", b"IDAT"}:
            continue
        if zlib.crc32(view[place - 4 : end]) != int.from_bytes(view[end : end + 4]):
            raise problem("damaged")


def _pillow(image: Image.Image, profile: bytes, orientation: int, step: int) -> Full:
    with image:
        check_pixels(image.size, picture_start.MOST_PIXELS)
        image.load()
        mode, pixels = _in_bands(image, step, profile)
    return mode, pixels, b"" if image.mode == "LAB" else profile, orientation


def _whole_step(size: tuple[int, int], long_side: int, thrifty: bool = False) -> int:
    """At which whole fraction pixels are taken over: of a large picture with room left to average."""
    if size[0] * size[1] <= IN_ONE_UP_TO:
        return 1
    room = 1 if thrifty else 2
    return max(1, min(max(size) // (room * long_side), min(size) // _LEAST_ACROSS))


def _plain(image: Image.Image, profile: bytes) -> tuple[str, Pixels]:
    plain = flat.plain(image)
    if plain.mode == "LAB":  # its a and b are signed: they cannot be averaged as they stand
        plain = colour.to_srgb(plain, profile)
    return plain.mode, np.asarray(plain)


def _in_bands(image: Image.Image, factor: int, profile: bytes) -> tuple[str, Pixels]:
    """At 1/`factor` of its size, by averaging; what is made of its pixels on the way is a band high.

    Pillow's own copies of a whole picture come to twice and four times its pixels.
    """
    cv2 = opencv()
    width, height = (side // factor * factor for side in image.size)
    step = factor * max(1, _BAND // factor)
    mode, whole = "", np.empty((0,), np.uint8)
    for top in range(0, height, step):
        mode, band = _plain(image.crop((0, top, width, min(top + step, height))), profile)
        if not top:
            whole = np.empty((height // factor, width // factor, *band.shape[2:]), np.uint8)
        size = (width // factor, band.shape[0] // factor)
        at = top // factor
        smaller = cv2.resize(band, size, interpolation=cv2.INTER_AREA) if factor > 1 else band
        whole[at : at + size[1]] = smaller
    return mode, whole


def _heif(data: bytes) -> Full:
    import pillow_heif  # noqa: PLC0415 - start-up cost: a native library few jobs need

    if not heif_work.little(data):
        raise problem("too_many_pixels")
    if not heic_stream.whole(data):
        raise problem("damaged")
    image = pillow_heif.open_heif(BytesIO(data))
    check_pixels(image.size, picture_start.MOST_PIXELS)
    if colour.has_high_range(image.info):
        raise problem("tones")
    profile = colour.embedded_heif(image.info)
    if image.mode == "RGB":  # the usual one, without a copy of the picture
        return "RGB", np.asarray(image), profile, 1
    plain = flat.plain(image.to_pillow())
    return plain.mode, np.asarray(plain), profile, 1


def opencv() -> Any:
    """OpenCV with one thread of its own: the workers are the threads."""
    import cv2  # noqa: PLC0415 - start-up cost, 0.1 s

    if cv2.getNumThreads() != 1:
        cv2.setNumThreads(1)
    return cv2
