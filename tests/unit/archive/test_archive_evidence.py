"""The next evidence of an archive on the disk: POSIX fsync(2) and rename(2) say what survives a power cut."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from dossier.archive import evidence, leaves
from dossier.errors import NotCanonicalError


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


def a_line(name: str, digit: str = "0") -> bytes:
    return f"{digit * 64} {digit * 128} {name}\n".encode()


@pytest.mark.parametrize(
    "data",
    [
        a_line("b") + a_line("a"),
        a_line("a") + a_line("a"),
        a_line("a/record"),
        a_line("a/record") + a_line("a"),
        a_line("a") + a_line("b") + a_line("a/record"),
        a_line("a", "b").upper(),
        a_line("a")[:-1],
        a_line("a") + b"\n",
        a_line("a", "g"),
        a_line("a/b"),
        a_line(""),
        a_line("a").replace(b" a", b" \xff"),
    ],
)
def test_a_list_of_leaves_has_one_form(data: bytes) -> None:
    whole = a_line("a") + a_line("a--w") + a_line("b", "1") + a_line("b/record", "2")
    assert leaves.write(leaves.read(whole)) == whole
    with pytest.raises(NotCanonicalError):
        leaves.read(data)
