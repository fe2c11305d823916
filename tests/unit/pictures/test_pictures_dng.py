"""A DNG is shown by its largest preview (`dng_files`); Pillow opens the same preview as the check."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from io import BytesIO

import numpy as np
import pytest
from dng_files import a_dng, jpeg
from PIL import Image

from dossier.errors import PictureError
from dossier.pictures import decode
from dossier.pictures.derive import Derived


def test_the_largest_preview_is_shown_upright(
    shown: Callable[..., Derived], pixels: Callable[[bytes], np.ndarray]
) -> None:
    content = a_dng()
    derived = shown(content, name="a.dng", orientation=6)
    with Image.open(BytesIO(jpeg("astronaut", 800, 600))) as preview:
        turned = np.asarray(preview.transpose(Image.Transpose.ROTATE_270)).astype(float)
    assert (derived.width, derived.height) == (600, 800)
    assert np.abs(pixels(derived.jpeg) - turned).mean() < 2  # saved again at quality 97
    assert derived.original_sha256 == hashlib.sha256(content).hexdigest()


def test_without_a_preview_it_is_said(shown: Callable[..., Derived]) -> None:
    with pytest.raises(PictureError, match="no JPEG picture"):
        shown(a_dng(previews=False), name="a.dng")


def test_a_preview_that_does_not_decode_is_said() -> None:
    content = a_dng()
    start = content.index(jpeg("astronaut", 800, 600))
    broken = content[:start] + b"\xff\xd8\xff" + bytes(4000) + content[start + 4003 :]
    with pytest.raises(PictureError):
        decode.decode(broken, 1, 1000)
