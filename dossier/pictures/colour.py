"""Colour profiles: from what a photograph says its numbers mean to sRGB.

Not done here: decoding, measuring colour. Invariants: a profile that is broken or does not fit the picture
counts as none; a profile that changes nothing is skipped; no profile leaves this module inside a picture.
"""

from __future__ import annotations

from functools import lru_cache
from io import BytesIO
from typing import Any

from PIL import Image, ImageCms

from dossier.pictures.profile import ADOBE_RGB, ADOBE_RGB_GAMMA, P3, matrix_profile

_FLAGS = ImageCms.Flags.BLACKPOINTCOMPENSATION
_INTENT = ImageCms.Intent.RELATIVE_COLORIMETRIC
_HIGH_RANGE = (16, 18)  # PQ and HLG (ISO/IEC 23091-2, table 3)


def to_srgb(image: Image.Image, profile: bytes) -> Image.Image:
    """`image` (L, RGB, CMYK or LAB) as sRGB by its profile; without one RGB and L are taken as sRGB."""
    transform = _transform(profile, image.mode) if profile or image.mode == "LAB" else None
    if transform is None:
        return image.convert("RGB")
    converted = ImageCms.applyTransform(image, transform)
    return converted if converted is not None else image.convert("RGB")


@lru_cache(maxsize=64)
def _transform(profile: bytes, mode: str) -> ImageCms.ImageCmsTransform | None:
    """The transform from `profile`, or None where it is broken, does not fit `mode` or changes nothing."""
    try:
        source = ImageCms.ImageCmsProfile(BytesIO(profile)) if profile else ImageCms.createProfile("LAB")
        transform = ImageCms.buildTransform(
            source, ImageCms.createProfile("sRGB"), mode, "RGB", renderingIntent=_INTENT, flags=_FLAGS
        )
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return None
    return None if mode == "RGB" and _changes_nothing(transform) else transform


def _changes_nothing(transform: ImageCms.ImageCmsTransform) -> bool:
    """Whether a 9 x 9 x 9 lattice of colours comes out within one step of itself."""
    lattice = bytes(min(255, c * 32) for r in range(9) for g in range(9) for b in range(9) for c in (r, g, b))
    image = Image.frombytes("RGB", (27, 27), lattice)
    out = ImageCms.applyTransform(image, transform)
    return out is not None and all(abs(a - b) <= 1 for a, b in zip(lattice, out.tobytes(), strict=True))


def embedded(image: Image.Image) -> bytes:
    """The profile in `image`, or the one its EXIF stands for (DCF 2.0: "R03" is Adobe RGB); b"" for none."""
    profile = image.info.get("icc_profile")
    if isinstance(profile, bytes) and profile:
        return profile
    return matrix_profile(ADOBE_RGB, ADOBE_RGB_GAMMA) if _is_dcf_option(image) else b""


def _is_dcf_option(image: Image.Image) -> bool:
    try:
        exif = image.getexif()
        return image.mode == "RGB" and str(exif.get_ifd(0xA005).get(1, ""))[:3] == "R03"
    except Exception:  # a broken EXIF block is as good as none
        return False


def embedded_heif(info: dict[str, Any]) -> bytes:
    """The profile of a HEIC: ICC, or the primaries of its colour box (ISO/IEC 23091-2; 12 is P3 with D65)."""
    profile = info.get("icc_profile")
    if isinstance(profile, bytes) and profile:
        return profile
    primaries = (info.get("nclx_profile") or {}).get("color_primaries")
    return matrix_profile(P3, None) if primaries == 12 else b""


def has_high_range(info: dict[str, Any]) -> bool:
    """Whether a HEIC's tones are for a screen of high range: taken for sRGB's they would be pale."""
    transfer = (info.get("nclx_profile") or {}).get("transfer_characteristics")
    return transfer in _HIGH_RANGE and not info.get("icc_profile")
