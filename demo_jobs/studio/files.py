"""A picture as the file a telephone or camera would have written: rotation, times, place, colour profile."""

from __future__ import annotations

import io
import struct
from pathlib import Path

import numpy as np
from PIL import ExifTags, Image

from studio.shots import Shot

QUALITY = 84
# EXIF orientation -> how an upright picture is stored (Pillow's names of the inverse turns).
STORED = {3: Image.Transpose.ROTATE_180, 6: Image.Transpose.ROTATE_90, 8: Image.Transpose.ROTATE_270}
# Linear sRGB to linear Display P3, both D65 (CSS Color Module Level 4, section 10).
TO_WIDE = np.array(
    [[0.8224621, 0.1775380, 0.0], [0.0331941, 0.9668058, 0.0], [0.0170827, 0.0723974, 0.9105199]]
)
# Display P3 primaries adapted to D50, as an ICC profile states them.
WIDE_COLUMNS = {
    "rXYZ": (0.51512, 0.24120, -0.00105),
    "gXYZ": (0.29198, 0.69225, 0.04189),
    "bXYZ": (0.15710, 0.06657, 0.78407),
}


def save(picture: np.ndarray, shot: Shot, camera: tuple[str, str], folder: Path) -> Path:
    target = folder / shot.file
    target.write_bytes(png(picture) if shot.flat_scan else jpeg(picture, shot, camera))
    return target


def png(picture: np.ndarray) -> bytes:
    """A scan of few colours, 300 dots an inch."""
    small = Image.fromarray(picture).resize((1000, 750), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    small.quantize(56, dither=Image.Dither.NONE).save(out, "PNG", optimize=True, dpi=(300, 300))
    return out.getvalue()


def jpeg(picture: np.ndarray, shot: Shot, camera: tuple[str, str]) -> bytes:
    image = Image.fromarray(_widened(picture) if shot.wide_colours else picture)
    if shot.turn in STORED:
        image = image.transpose(STORED[shot.turn])
    profile = wide_profile() if shot.wide_colours else None
    out = io.BytesIO()
    image.save(out, "JPEG", quality=QUALITY, optimize=True, exif=_exif(shot, camera), icc_profile=profile)
    return out.getvalue()


def _widened(picture: np.ndarray) -> np.ndarray:
    x = picture.astype(np.float64) / 255
    linear = np.where(x <= 0.04045, x / 12.92, ((x + 0.055) / 1.055) ** 2.4) @ TO_WIDE.T
    coded = np.where(
        linear <= 0.0031308, 12.92 * linear, 1.055 * np.clip(linear, 1e-9, 1) ** (1 / 2.4) - 0.055
    )
    return (np.clip(coded, 0, 1) * 255 + 0.5).astype(np.uint8)


def _exif(shot: Shot, camera: tuple[str, str]) -> bytes:
    exif = Image.Exif()
    exif[ExifTags.Base.Make], exif[ExifTags.Base.Model] = camera
    exif[ExifTags.Base.Orientation] = shot.turn
    day, clock = shot.taken[:10].replace("-", ":"), shot.taken[11:19]
    part, offset = shot.taken[19:-6].lstrip("."), shot.taken[-6:]
    exif[ExifTags.Base.DateTime] = f"{day} {clock}"
    inner = exif.get_ifd(ExifTags.IFD.Exif)
    inner[ExifTags.Base.DateTimeOriginal] = f"{day} {clock}"
    inner[ExifTags.Base.OffsetTimeOriginal] = offset
    inner[ExifTags.Base.SubsecTimeOriginal] = part
    inner[ExifTags.Base.BodySerialNumber] = f"EX-{sum(map(ord, camera[1])):05d}"
    if shot.position:  # a made-up place in open water
        place = exif.get_ifd(ExifTags.IFD.GPSInfo)
        place[ExifTags.GPS.GPSLatitudeRef], place[ExifTags.GPS.GPSLatitude] = "N", (0.0, 0.0, 36.0)
        place[ExifTags.GPS.GPSLongitudeRef], place[ExifTags.GPS.GPSLongitude] = "W", (0.0, 0.0, 36.0)
    return exif.tobytes()


def wide_profile() -> bytes:
    """An ICC version 2 display profile (ICC.1:2001-04) of a wide gamut with gamma 2.2-like curve of sRGB."""
    tags: dict[str, bytes] = {
        "desc": _description("Example wide RGB"),
        "cprt": b"text\0\0\0\0" + b"Made for a demonstration; free to use\0",
        "wtpt": _xyz((0.9642, 1.0, 0.82491)),
        **{name: _xyz(value) for name, value in WIDE_COLUMNS.items()},
        **dict.fromkeys(("rTRC", "gTRC", "bTRC"), _curve()),
    }
    offset, table, body = 132 + 12 * len(tags), b"", b""
    for name, data in tags.items():
        padded = data + b"\0" * (-len(data) % 4)
        table += name.encode() + struct.pack(">II", offset + len(body), len(data))
        body += padded
    size = offset + len(body)
    head = struct.pack(">I4sI4s4s4s", size, b"\0\0\0\0", 0x02100000, b"mntr", b"RGB ", b"XYZ ")
    head += struct.pack(">6H", 2026, 1, 1, 0, 0, 0) + b"acsp" + b"\0" * 28
    head += struct.pack(">3i", *(round(v * 65536) for v in (0.9642, 1.0, 0.82491)))
    return head.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + body


def _xyz(values: tuple[float, float, float]) -> bytes:
    return b"XYZ \0\0\0\0" + struct.pack(">3i", *(round(v * 65536) for v in values))


def _curve() -> bytes:
    x = np.linspace(0, 1, 1024)
    y = np.where(x <= 0.04045, x / 12.92, ((x + 0.055) / 1.055) ** 2.4)
    return b"curv\0\0\0\0" + struct.pack(">I", 1024) + (y * 65535 + 0.5).astype(">u2").tobytes()


def _description(text: str) -> bytes:
    words = text.encode("ascii") + b"\0"
    return b"desc\0\0\0\0" + struct.pack(">I", len(words)) + words + b"\0" * 78
