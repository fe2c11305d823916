"""The small valid job that every test of reading starts from, with its photographs."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

VECTORS = Path(__file__).parents[2] / "vectors" / "intake"
TAKEN = {"A.jpg": "2026:03:02 10:00:00", "B.jpg": "2026:03:20 16:00:00", "C.jpg": "2026:03:12 09:00:00"}


def add_photograph(folder: Path, name: str) -> None:
    """A small JPEG with its time of capture."""
    folder.mkdir(parents=True, exist_ok=True)
    picture = Image.new("RGB", (32, 24), "tan")
    exif = picture.getexif()
    exif.get_ifd(0x8769)[0x9003] = TAKEN[name]
    picture.save(folder / name, exif=exif)


@pytest.fixture
def vectors() -> Path:
    return VECTORS


@pytest.fixture
def lay_out(tmp_path: Path) -> Callable[..., Path]:
    """A copy of the base job, with the files of `over` laid over it."""

    def lay(over: Path | None = None, name: str = "job") -> Path:
        folder = tmp_path / name
        shutil.copytree(VECTORS / "base", folder)
        for photograph in TAKEN:
            add_photograph(folder / "photos", photograph)
        if over is not None:
            shutil.copytree(over, folder, dirs_exist_ok=True)
        return folder

    return lay


@pytest.fixture
def job_folder(lay_out: Callable[..., Path]) -> Path:
    return lay_out()
