"""The pixels of a JPEG at a fraction of its size, where its scans are whole.

The same library (libjpeg-turbo) stands behind both decoders here and gives the same pixels; the first also
says what it met. Damage in a scan it fills with grey or with what is no part of the picture: that is refused.

Not done here: the header, limits, turning, colour. Not found: damage that happens to decode, as a few changed
bytes may, and zeros in a picture that is nearly all grain, which end too early and leave bytes over, as some
cameras leave them. Invariant: what is odd outside the scans, as cameras write it, is no reason to refuse.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import numpy as np
import simplejpeg
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]
Factor = Literal[1, 2, 4, 8]

# What libjpeg says of entropy-coded data that breaks off, is out of step or is none (ITU-T T.81, F.2.2).
_DAMAGED = ("premature end", "bad huffman", "bad arithmetic", "instead of rst", "unsupported marker")


class DamagedError(Exception):
    """A scan is not whole."""


def pixels(
    data: bytes, size: tuple[int, int], factor: int, *, grey: bool, other: Callable[[], Pixels | None]
) -> Pixels | None:
    """RGB (height, width, 3) or grey (height, width) at 1/`factor` of `size` (width, height).

    `other` decodes what the first decoder has no name for; None where it cannot either. Raises DamagedError.
    """
    try:
        return _decoded(data, size, factor, grey=grey, strict=True)
    except ValueError as error:
        if any(word in str(error).casefold() for word in _DAMAGED):
            raise DamagedError from error
    try:
        return _decoded(data, size, factor, grey=grey, strict=False)
    except ValueError:
        return other()


def _decoded(data: bytes, size: tuple[int, int], factor: int, *, grey: bool, strict: bool) -> Pixels:
    width, height = (-(-side // factor) for side in size)
    found: Pixels = simplejpeg.decode_jpeg(
        data, "GRAY" if grey else "RGB", min_width=width, min_height=height, min_factor=factor, strict=strict
    )
    return found[..., 0] if grey else found
