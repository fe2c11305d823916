"""What a PNG says of its colours in chunks of its own (PNG 3, 4.3 and 11.3.2), as an ICC profile.

Not done here: pixels. Invariants: nothing is raised for any bytes; a chunk that cannot be is as good as none.
Of several that speak the spec's order decides: cICP, iCCP, sRGB, then gAMA with cHRM.
"""

from __future__ import annotations

import struct
from contextlib import suppress

import numpy as np

from dossier.model import picture_start, tiff
from dossier.pictures import colour
from dossier.pictures.profile import D65, SRGB, matrix_profile

_LENGTHS = {b"cICP": 4, b"sRGB": 1, b"gAMA": 4, b"cHRM": 32}
_UNIT = 100_000  # of gAMA and cHRM
_GAMMAS = (0.1, 10.0)
# What a writer of sRGB puts into gAMA for old readers (11.3.2.5), so that alone it means sRGB's curve.
_SRGB_GAMMA = 45_455
_ROUNDING = 1e-4


def stated(data: bytes) -> dict[bytes, bytes]:
    """The first of each kind of chunk before the pixels that says something of colour."""
    found: dict[bytes, bytes] = {}
    for kind, place, length in picture_start.png_chunks(tiff.reader(data), len(data)):
        if kind == b"IDAT":
            break
        if length == _LENGTHS.get(kind):
            found.setdefault(kind, data[place : place + length])
    return found


def has_high_range(chunks: dict[bytes, bytes]) -> bool:
    """Whether its tones are for a screen of high range: taken for sRGB's they would be pale."""
    return colour.is_high_range(chunks[b"cICP"][1]) if b"cICP" in chunks else False


def profile(chunks: dict[bytes, bytes], embedded: bytes) -> bytes:
    """The ICC profile that counts; `embedded`: the one in iCCP. b"" for sRGB."""
    if b"cICP" in chunks:
        return colour.named(chunks[b"cICP"][0], chunks[b"cICP"][1])
    if embedded or b"sRGB" in chunks:
        return embedded
    with suppress(ArithmeticError, ValueError, struct.error):
        return _by_numbers(chunks.get(b"gAMA", b""), chunks.get(b"cHRM", b""))
    return b""


def _by_numbers(gama: bytes, chrm: bytes) -> bytes:
    numbers = [n / _UNIT for n in struct.unpack(">8I", chrm)] if chrm else [*D65, *sum(SRGB, ())]
    white, *primaries = zip(numbers[::2], numbers[1::2], strict=True)
    usual = np.allclose([white, *primaries], [D65, *SRGB], rtol=0, atol=_ROUNDING)
    whole = struct.unpack(">I", gama)[0] if gama else _SRGB_GAMMA
    gamma = _UNIT / whole
    if not _GAMMAS[0] < gamma < _GAMMAS[1] or (usual and whole == _SRGB_GAMMA):
        return b""
    red, green, blue = primaries
    return matrix_profile((red, green, blue), gamma if gama else None, white)
