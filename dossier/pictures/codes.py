"""Reads QR codes from a picture or scan: what they say, nothing about whether it is true.

Bounded like every picture: the pixels are counted before they are decoded. Not here: what a code means.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from dossier import ordinary
from dossier.errors import PictureError
from dossier.pictures import decode

MAX_BYTES = 60_000_000
LONG_SIDES = (2400, 1400, 3600)  # the usual size first; a small code in a large picture wants the last
_LEAST_ACROSS = 21  # pixels: as many as the smallest code has modules (ISO/IEC 18004, 5.3.1)

Grey = NDArray[np.uint8]


def read_codes(path: Path) -> list[str]:
    """The texts of the QR codes in the picture at `path`, each once. Raises PictureError."""
    largest = decode.decode(_read(path), 1, max(LONG_SIDES), thrifty=True)
    if min(largest.shape[:2]) < _LEAST_ACROSS:
        return []
    for long_side in LONG_SIDES:
        found: dict[str, None] = {}
        for grey in _readings(decode.shrink(largest, long_side)):
            found.update(dict.fromkeys(_codes(grey)))
            if found:
                return list(found)
    return []


def codes_in(pixels: decode.Pixels) -> list[str]:
    """The texts of the QR codes in a picture that is decoded already, looked at once as it is."""
    return _codes(decode.opencv().cvtColor(pixels, decode.opencv().COLOR_RGB2GRAY))


def _read(path: Path) -> bytes:
    try:
        data = ordinary.read(path, MAX_BYTES + 1)
    except OSError as error:
        if path.exists() and not path.is_file():
            raise decode.problem("not_a_file") from None
        raise PictureError(f"{path}: {error.strerror}") from error
    if len(data) > MAX_BYTES:
        raise decode.problem("too_large")
    return data


def _readings(pixels: decode.Pixels) -> Iterator[Grey]:
    """The picture as it is, then with uneven light evened out, then a little sharpened."""
    cv2 = decode.opencv()
    grey: Grey = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    yield grey
    yield cv2.createCLAHE(clipLimit=3.0, tileGridSize=(8, 8)).apply(grey)
    soft = cv2.GaussianBlur(grey, (0, 0), 2.0)
    yield cv2.addWeighted(grey, 1.8, soft, -0.8, 0)


def _codes(grey: Grey) -> list[str]:
    import zxingcpp  # noqa: PLC0415 - only where a picture of a code is given

    # QR alone: other formats are found in any texture. The library takes one format or several.
    only: Any = zxingcpp.BarcodeFormat.QRCode
    found = zxingcpp.read_barcodes(grey, formats=only)
    return [code.text for code in found if code.text]
