"""Small pictures with EXIF of one's own, for the tests of what a photograph says of itself."""

from __future__ import annotations

from io import BytesIO

from PIL import Image


def saved(kind="JPEG", size=(32, 20), exif=None, **options):
    out = BytesIO()
    Image.new("RGB", size, (90, 60, 30)).save(
        out, kind, **({"exif": exif} if exif is not None else {}), **options
    )
    return out.getvalue()


def exif_of(*, root=None, details=None, gps=None):
    exif = Image.Exif()
    for tag, value in (root or {}).items():
        exif[tag] = value
    for tag, value in (details or {}).items():
        exif.get_ifd(0x8769)[tag] = value
    for tag, value in (gps or {}).items():
        exif.get_ifd(0x8825)[tag] = value
    return exif
