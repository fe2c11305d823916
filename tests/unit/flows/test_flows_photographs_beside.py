"""The photographs that lie beside a dossier's PDF: read within bounds; one that is shut stops no other."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.flows.verifying import photographs_beside


def test_under_other_names_no_more_are_read_than_are_missing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Names without end, each of the length of a photograph that is missing, would be read without end."""
    for number in range(20):
        (tmp_path / f"x{number:02}.jpg").write_bytes(b"12345")
    read: list[Path] = []
    monkeypatch.setattr(photographs_beside.ordinary, "sha256", lambda path: read.append(path) or "00")
    found = photographs_beside.digests(tmp_path, {"photo-001.jpg": 5, "photo-002.jpg": 5, "photo-003.jpg": 9})
    assert len(found) == 20 and len(read) == 2
