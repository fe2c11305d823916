"""The sRGB profile of the output intent (ISO 19005-3, 6.2.3), the same bytes on every day.

Little CMS stamps its profiles with the time of making and with version 4.4; a PDF 1.7 reader knows ICC.1:2004
(version 4.2), of which this profile uses nothing newer.
"""

from __future__ import annotations

import struct
from functools import cache

from PIL import ImageCms

_VERSION, _DATE, _IDENTITY = slice(8, 12), slice(24, 36), slice(84, 100)  # ICC.1:2004, 7.2


@cache
def srgb() -> bytes:
    """An RGB display profile; three components."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    profile[_VERSION] = bytes.fromhex("04200000")
    profile[_DATE] = struct.pack(">6H", 2004, 1, 1, 0, 0, 0)
    profile[_IDENTITY] = bytes(16)  # not calculated
    if profile[16:20] != b"RGB ":
        raise ValueError("the sRGB profile of this system is no RGB profile")
    return bytes(profile)
