"""The photographs that lie beside a dossier's PDF: read within bounds; one that is shut stops no other."""

from __future__ import annotations

import errno
import os
from collections import Counter
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


def test_how_many_are_missing_is_not_counted_anew_for_each_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sizes times names: 20,000 of each would take for ever."""
    counted: list[int] = []

    class Counting(Counter[int]):
        def total(self) -> int:
            counted.append(1)
            return super().total()

    monkeypatch.setattr(photographs_beside, "Counter", Counting)
    for number in range(50):
        (tmp_path / f"x{number}.jpg").write_bytes(b"")
    wanted = {f"photo-{number:03}.jpg": number for number in range(1, 51)}
    assert set(photographs_beside.digests(tmp_path, wanted).values()) == {""}
    assert len(counted) <= 1


def test_a_folder_that_can_be_listed_but_not_entered_tells_of_each(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As `chmod 0744` makes it, for anybody but root, as whom tests may run."""
    for name in ("photo-001.jpg", "manifest.sha256", "Thumbs.db"):
        (tmp_path / name).write_bytes(b"12345")

    looked = Path.stat

    def shut(path: Path, **_: bool) -> os.stat_result:
        if path.parent == tmp_path:
            raise PermissionError(errno.EACCES, "no", str(path))
        return looked(path, follow_symlinks=False)

    monkeypatch.setattr(Path, "lstat", shut)
    monkeypatch.setattr(Path, "stat", shut)
    wanted = {"photo-001.jpg": 5, "photo-002.jpg": 5}
    assert photographs_beside.digests(tmp_path, wanted) == {"photo-001.jpg": None}
