"""ICC profiles for colour spaces that a file names without carrying the profile.

Not done here: reading profiles. Pure. A profile made here is version 4 (ICC.1:2022), matrix and curve; the
same arguments give the same bytes.
"""

from __future__ import annotations

import struct
from functools import cache

import numpy as np
from numpy.typing import NDArray

Primaries = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]  # x, y of red, green, blue
Matrix = NDArray[np.float64]

# Adobe RGB (1998) Color Image Encoding, 4.3.1; SMPTE EG 432-1 (Display P3: its primaries with sRGB's curve).
ADOBE_RGB: Primaries = ((0.64, 0.33), (0.21, 0.71), (0.15, 0.06))
ADOBE_RGB_GAMMA = 563 / 256
P3: Primaries = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))
SRGB: Primaries = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))  # ITU-R BT.709-6 too
BT2020: Primaries = ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046))  # ITU-R BT.2020-2, table 3

D65 = (0.3127, 0.3290)
_D50 = (0.9642, 1.0, 0.8249)  # the connection space's white, ICC.1:2022 7.2.16
_BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
_SRGB_CURVE = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)  # IEC 61966-2-1


@cache
def matrix_profile(primaries: Primaries, gamma: float | None, white: tuple[float, float] = D65) -> bytes:
    """An ICC display profile; `gamma` None is the sRGB curve, `white` the x and y of 1, 1, 1.

    Raises ArithmeticError, ValueError or struct.error where no such display can be.
    """
    columns = _to_d50(primaries, white)
    curve = _curve(gamma)
    tags = [(b"desc", _text("made from the primaries named in the file")), (b"cprt", _text("no copyright"))]
    tags += [(b"wtpt", _xyz(_D50)), (b"chad", _numbers(b"sf32", _adaptation(white).ravel()))]
    tags += [(b"rgb"[n : n + 1] + b"XYZ", _xyz(columns[:, n])) for n in range(3)]
    tags += [(b"rgb"[n : n + 1] + b"TRC", curve) for n in range(3)]
    return _assembled(tags)


def _to_d50(primaries: Primaries, white: tuple[float, float]) -> Matrix:
    """RGB to XYZ with white D50: columns are the primaries scaled so that they add up to white."""
    columns = np.array([_xyz_of(x, y) for x, y in primaries]).T
    scale = np.linalg.solve(columns, _xyz_of(*white))
    adapted: Matrix = _adaptation(white) @ (columns * scale)
    return adapted


def _adaptation(white: tuple[float, float]) -> Matrix:
    """Linear Bradford from `white` to D50 (ICC.1:2022 annex E)."""
    ratio = (_BRADFORD @ np.array(_D50)) / (_BRADFORD @ np.array(_xyz_of(*white)))
    matrix: Matrix = np.linalg.inv(_BRADFORD) @ np.diag(ratio) @ _BRADFORD
    return matrix


def _xyz_of(x: float, y: float) -> tuple[float, float, float]:
    return x / y, 1.0, (1 - x - y) / y


def _curve(gamma: float | None) -> bytes:
    """parametricCurveType: function 0 is a power, function 3 the sRGB curve (ICC.1:2022 10.18)."""
    function, values = (3, _SRGB_CURVE) if gamma is None else (0, (gamma,))
    return b"para" + bytes(4) + struct.pack(">HH", function, 0) + _fixed(values)


def _xyz(value: tuple[float, ...] | Matrix) -> bytes:
    return _numbers(b"XYZ ", value)


def _numbers(kind: bytes, values: tuple[float, ...] | Matrix) -> bytes:
    return kind + bytes(4) + _fixed(values)


def _fixed(values: tuple[float, ...] | Matrix) -> bytes:
    """s15Fixed16Number (ICC.1:2022 4.6)."""
    return b"".join(struct.pack(">i", round(float(v) * 65536)) for v in values)


def _text(words: str) -> bytes:
    """multiLocalizedUnicodeType with one record, en-US (ICC.1:2022 10.15)."""
    encoded = words.encode("utf-16-be")
    return b"mluc" + bytes(4) + struct.pack(">II2s2sII", 1, 12, b"en", b"US", len(encoded), 28) + encoded


def _assembled(tags: list[tuple[bytes, bytes]]) -> bytes:
    """Header, tag table, tag data, each on a boundary of four bytes (ICC.1:2022 7.1)."""
    offset = 128 + 4 + 12 * len(tags)
    table, data = struct.pack(">I", len(tags)), b""
    for name, body in tags:
        table += struct.pack(">4sII", name, offset + len(data), len(body))
        data += body + bytes(-len(body) % 4)
    size = 128 + len(table) + len(data)
    head = struct.pack(">I4sI4s4s4s", size, b"", 0x04400000, b"mntr", b"RGB ", b"XYZ ")
    head += struct.pack(">6H", 2026, 1, 1, 0, 0, 0) + b"acsp" + bytes(28) + _fixed(_D50)
    return head + bytes(128 - len(head)) + table + data
