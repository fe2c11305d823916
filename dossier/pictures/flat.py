"""Every way a PNG, TIFF or HEIC can hold its pixels, as one of four plain modes: L, RGB, CMYK, LAB.

Not done here: colour. Invariants: what is transparent shows white, as on paper; 16 bits become 8 by rounding
to the nearest; a mode whose range is not known (32-bit, floating point) is refused, not guessed.
"""

from __future__ import annotations

import numpy as np
from PIL import Image

from dossier.errors import PictureError
from dossier.words import Catalogue

_PLAIN = ("L", "RGB", "CMYK", "LAB")
_GREY_16 = ("I;16", "I;16L", "I;16B", "I;16N")


def plain(image: Image.Image) -> Image.Image:
    """`image` decoded, in a plain mode. Raises PictureError for tones of unknown range."""
    if image.mode in _GREY_16:
        return _eight_bits(image)
    if image.has_transparency_data:
        return _over_white(image.convert("LA" if image.mode in ("1", "L", "LA", "La") else "RGBA"))
    if image.mode in _PLAIN:
        image.load()
        return image
    if image.mode in ("1", "P", "YCbCr", "RGBX"):
        return image.convert("L" if image.mode == "1" else "RGB")
    raise PictureError(Catalogue().say("pictures.problem.tones"))


def _eight_bits(image: Image.Image) -> Image.Image:
    """v * 255 / 65535, rounded, without leaving 32-bit integers."""
    wide = np.asarray(image).astype(np.uint32)
    return Image.fromarray(((wide * 255 + 32895) >> 16).astype(np.uint8))


def _over_white(image: Image.Image) -> Image.Image:
    colours = image.convert("L" if image.mode == "LA" else "RGB")
    paper = Image.new(colours.mode, image.size, "white")
    paper.paste(colours, mask=image.getchannel("A"))
    return paper
