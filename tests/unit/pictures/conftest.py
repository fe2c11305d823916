"""Pictures for the tests of this room: made here, or from `tests/data/photographs` (see its README)."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from dossier.model.job import PhotoFacts
from dossier.pictures.derive import Derived, derive
from dossier.pictures.plan import Size

DATA = Path(__file__).resolve().parents[2] / "data" / "photographs"


@pytest.fixture(scope="session")
def data() -> Path:
    return DATA


@pytest.fixture(scope="session")
def scene() -> Image.Image:
    """320 x 200, no symmetry: every turn and mirror of it differs."""
    y, x = np.mgrid[0:200, 0:320]
    red, green = x * 255 // 319, y * 255 // 199
    blue = 255 * ((x < 90) & (y < 50)) + 120 * ((x - 250) ** 2 + (y - 150) ** 2 < 900)
    return Image.fromarray(np.stack([red, green, blue], axis=-1).astype(np.uint8))


@pytest.fixture(scope="session")
def phone_profile() -> bytes:
    """The wide-gamut profile a real phone embeds."""
    with Image.open(DATA / "phone-p3.mpo") as image:
        return image.info["icc_profile"]


@pytest.fixture
def shown(tmp_path: Path) -> Callable[..., Derived]:
    """Writes the bytes to a file and derives its picture."""

    def derived(
        content: bytes, *, name: str = "a.jpg", orientation: int = 1, long_side: int = 2000
    ) -> Derived:
        path = tmp_path / name
        path.write_bytes(content)
        facts = PhotoFacts(file=name, bytes=len(content), orientation=orientation)
        return derive(path, facts, Size(long_side, 97))

    return derived


@pytest.fixture(scope="session")
def pixels() -> Callable[[bytes], np.ndarray]:
    def decoded(jpeg: bytes) -> np.ndarray:
        with Image.open(BytesIO(jpeg)) as image:
            return np.asarray(image.convert("RGB")).astype(np.float64)

    return decoded


@pytest.fixture(scope="session")
def decibels() -> Callable[[np.ndarray, np.ndarray], float]:
    """Peak signal-to-noise ratio of two 8-bit pictures, in dB."""

    def ratio(one: np.ndarray, other: np.ndarray) -> float:
        assert one.shape == other.shape
        error = np.mean((one.astype(np.float64) - other.astype(np.float64)) ** 2)
        return float("inf") if error == 0 else float(10 * np.log10(255**2 / error))

    return ratio
