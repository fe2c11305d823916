"""What the facts say of a DNG (`dng_files`); ExifRead reads the same camera data as the check."""

from __future__ import annotations

import hashlib
from io import BytesIO
from pathlib import Path

import exifread
import pytest
from dng_files import a_dng, jpeg

from dossier.intake.photographs import read_facts
from dossier.model.job import PhotoFacts


def facts(folder: Path, content: bytes, name: str = "a.dng") -> PhotoFacts:
    (folder / name).write_bytes(content)
    (found,) = read_facts(folder, "UTC")
    return found


@pytest.mark.parametrize("order", ["<", ">"])
def test_facts_are_of_the_preview_and_of_the_camera(tmp_path: Path, order: str) -> None:
    content = a_dng(order)
    found = facts(tmp_path, content)
    tags = exifread.process_file(BytesIO(content), details=False)
    assert str(tags["Image Make"]) == "A Maker"
    assert str(tags["EXIF DateTimeOriginal"]) == "2026:03:04 10:11:12"
    assert (found.media_type, found.preview, found.problem) == ("image/x-adobe-dng", True, "")
    assert (found.width, found.height, found.orientation) == (600, 800, 6)
    assert (found.taken, found.taken_zone) == ("2026-03-04T10:11:12+02:00", "file")
    assert found.camera == "A Maker Model 1"
    assert found.body_digest == hashlib.sha256(b"77001").hexdigest()
    assert found.has_position
    assert (tmp_path / "a.dng").read_bytes() == content


def test_other_pictures_are_no_previews(tmp_path: Path) -> None:
    assert not facts(tmp_path, jpeg("astronaut", 80, 60), "a.jpg").preview


def test_what_cannot_serve_is_said(tmp_path: Path) -> None:
    content, large = a_dng(), jpeg("astronaut", 800, 600)
    start = content.index(large)
    assert "no JPEG picture" in facts(tmp_path, a_dng(previews=False)).problem
    cut = content[: start + 9000] + bytes(len(large) - 9000) + content[start + len(large) :]
    assert "cut short" in facts(tmp_path, cut).problem
    damaged = content[: start + 3] + bytes(len(large) - 3) + content[start + len(large) :]
    assert "damaged" in facts(tmp_path, damaged).problem


def test_a_wrong_extension_is_said(tmp_path: Path) -> None:
    assert "rename it to a.dng" in facts(tmp_path, a_dng(), "a.tif").problem
