"""The next evidence of an archive on the disk: POSIX fsync(2) and rename(2) say what survives a power cut."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from dossier.archive import evidence


def test_evidence_is_on_the_disk_before_it_has_its_name_and_its_name_after(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[str] = []
    fsync, rename = os.fsync, Path.rename

    def flushed(handle: int) -> None:
        done.append("folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "file")
        fsync(handle)

    def renamed(self: Path, target: Path) -> Path:
        done.append("name")
        return rename(self, target)

    monkeypatch.setattr(os, "fsync", flushed)
    monkeypatch.setattr(Path, "rename", renamed)
    made = evidence.append(tmp_path, 1, b"{}", b"leaves", b"token")
    assert sorted(path.read_bytes() for path in made.iterdir()) == [b"leaves", b"token", b"{}"]
    assert done == ["file", "file", "file", "folder", "name", "folder"]
