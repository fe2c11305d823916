"""What may be handed to a picture library: never an exception, and every real file may (`tests/data`)."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.model import picture_start, tiff

DATA = Path(__file__).resolve().parents[2] / "data" / "photographs"
STARTS = (b"\xff\xd8\xff\xe1", b"\x89PNG\r\n\x1a\n", b"II*\0\x08\0\0\0", b"MM\0+\0\x08\0\0")


@pytest.mark.parametrize("name", sorted(p.name for p in DATA.iterdir() if p.suffix not in (".md", ".txt")))
def test_every_camera_file_is_within_bounds(name: str) -> None:
    content = (DATA / name).read_bytes()
    assert picture_start.bounded(tiff.reader(content), len(content))


@settings(deadline=None, max_examples=60)
@given(st.sampled_from(STARTS), st.binary(max_size=300))
def test_any_bytes_are_answered(start: bytes, rest: bytes) -> None:
    content = start + rest
    asked = 0

    def read(offset: int, count: int) -> bytes:
        nonlocal asked
        asked += 1
        return content[offset : offset + count]

    assert picture_start.bounded(read, len(content)) in (True, False)
    assert asked <= picture_start.MOST_SEGMENTS + 2000
