"""Colour profiles: from what a photograph says its numbers mean to sRGB.

Not done here: decoding, measuring colour. Invariants: a profile that is broken or does not fit the picture
counts as none; a profile that changes nothing is skipped; no profile leaves this module inside a picture.
"""

from __future__ import annotations

from functools import lru_cache
from io import BytesIO
from typing import Any

from PIL import Image, ImageCms

from dossier.pictures.profile import ADOBE_RGB, ADOBE_RGB_GAMMA, BT2020, P3, SRGB, matrix_profile

_FLAGS = ImageCms.Flags.BLACKPOINTCOMPENSATION
_INTENT = ImageCms.Intent.RELATIVE_COLORIMETRIC
# ISO/IEC 23091-2, tables 2 and 3: primaries that are not taken as sRGB's, powers (any other curve is taken as
# sRGB's), and the curves for screens of high range, PQ and HLG.
_PRIMARIES = {9: BT2020, 12: P3}
_POWERS = {4: 2.2, 5: 2.8, 8: 1.0}
_HIGH_RANGE = (16, 18)


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
    """The profile of a HEIC: ICC, or what its colour box names."""
    profile = info.get("icc_profile")
    if isinstance(profile, bytes) and profile:
        return profile
    box = info.get("nclx_profile") or {}
    return named(box.get("color_primaries"), box.get("transfer_characteristics"))


def named(primaries: int | None, transfer: int | None) -> bytes:
    """The profile of two code points of ISO/IEC 23091-2; b"" for sRGB, and for what is not known."""
    gamma = _POWERS.get(transfer or 0)
    if primaries not in _PRIMARIES and gamma is None:
        return b""
    return matrix_profile(_PRIMARIES.get(primaries or 0, SRGB), gamma)


def has_high_range(info: dict[str, Any]) -> bool:
    """Whether a HEIC's tones are for a screen of high range: taken for sRGB's they would be pale."""
    transfer = (info.get("nclx_profile") or {}).get("transfer_characteristics")
    return is_high_range(transfer) and not info.get("icc_profile")


def is_high_range(transfer: int | None) -> bool:
    return transfer in _HIGH_RANGE
