"""What is put on the disk: link(2) fails where a name is taken, rename(2) replaces, fsync(2) flushes."""

from __future__ import annotations

import errno
import os
import re
import stat
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from dossier import durable


def test_of_many_at_once_one_gets_the_name(tmp_path: Path) -> None:
    target = tmp_path / "record.tsr"

    def put(number: int) -> int | None:
        try:
            durable.put(target, str(number).encode())
        except FileExistsError:
            return None
        return number

    with ThreadPoolExecutor(8) as pool:
        first = [number for number in pool.map(put, range(40)) if number is not None]
    assert len(first) == 1
    assert target.read_text() == str(first[0])
    assert [path.name for path in tmp_path.iterdir()] == ["record.tsr"]


def test_where_there_are_no_links_a_name_that_is_taken_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """link(2): EPERM on a file system that knows none, as FAT."""

    def refused(path: Path, to: Path) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(Path, "hardlink_to", refused)
    target = tmp_path / "record.tsr"
    durable.put(target, b"first")
    with pytest.raises(FileExistsError):
        durable.put(target, b"second")
    assert target.read_bytes() == b"first"
    durable.put(target, b"third", replace=True)
    assert target.read_bytes() == b"third"
    assert len(list(tmp_path.iterdir())) == 1


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such permissions")
def test_a_file_for_its_owner_alone_never_stood_open(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """open(2): the mode counts from the moment the file is there."""
    modes = []
    fsync = os.fsync

    def seen(handle: int) -> None:
        if stat.S_ISREG(os.fstat(handle).st_mode):
            modes.append(stat.S_IMODE(os.fstat(handle).st_mode))
        fsync(handle)

    monkeypatch.setattr(os, "fsync", seen)
    durable.put(tmp_path / "workshop.key", b"secret", mode=0o600)
    assert modes == [0o600]
    assert stat.S_IMODE((tmp_path / "workshop.key").stat().st_mode) == 0o600


def test_what_a_scanner_has_open_for_a_moment_is_moved_after_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows: ERROR_SHARING_VIOLATION, which Python gives as PermissionError; elsewhere it is final."""
    tries = []
    rename = Path.rename

    def refused_twice(path: Path, to: Path) -> Path:
        tries.append(path)
        if len(tries) % 3:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        return rename(path, to)

    monkeypatch.setattr(Path, "rename", refused_twice)
    monkeypatch.setattr(durable, "_PAUSE", 0)
    (tmp_path / "new").mkdir()
    monkeypatch.setattr(durable, "_TRIES", 2)
    with pytest.raises(PermissionError):
        durable.move(tmp_path / "new", tmp_path / "there")
    monkeypatch.setattr(durable, "_TRIES", 3)
    tries.clear()
    durable.move(tmp_path / "new", tmp_path / "there")
    assert len(tries) == 3 and [path.name for path in tmp_path.iterdir()] == ["there"]


@pytest.mark.parametrize("links", [True, False])
def test_a_scanner_leaves_nothing_aside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool) -> None:
    """What was written aside may be a key. Sticks know no links: there it was not tried again."""
    tries: Counter[str] = Counter()

    def at_third(act: Callable[..., None], name: str) -> Callable[..., None]:
        def refused(path: Path, *given: Any, **more: Any) -> None:
            tries[name] += 1
            if tries[name] < 3:
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
            act(path, *given, **more)

        return refused

    for name in ("unlink", "rename", *(() if links else ("hardlink_to",))):
        monkeypatch.setattr(Path, name, at_third(getattr(Path, name), name))
    monkeypatch.setattr(durable, "_PAUSE", 0)
    monkeypatch.setattr(durable, "_TRIES", 3)
    durable.put(tmp_path / "workshop-key.pem", b"key")
    assert [path.name for path in tmp_path.iterdir()] == ["workshop-key.pem"]


@pytest.mark.parametrize(("answer", "lost"), [(errno.EINVAL, False), (errno.ENOSPC, True), (errno.EIO, True)])
def test_a_share_that_knows_no_flushing_is_written_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, answer: int, lost: bool
) -> None:
    """fsync(2): EINVAL where a file system does not know it; ENOSPC and EIO are of what was written."""

    def refused(handle: int) -> None:
        raise OSError(answer, os.strerror(answer))

    monkeypatch.setattr(os, "fsync", refused)
    if lost:
        with pytest.raises(OSError, match=r".+"):
            durable.put(tmp_path / "record.tsr", b"first")
    else:
        durable.put(tmp_path / "record.tsr", b"first")
    assert (tmp_path / "record.tsr").exists() != lost


@pytest.mark.parametrize(("length", "long"), [(259, False), (260, True)])
def test_windows_takes_a_path_of_259_characters(length: int, long: bool) -> None:
    """MAX_PATH of the Windows headers is 260, with the null at its end (from memory)."""
    path = "/" + "a" * (length - 1)
    assert durable.too_long(path, windows=True) == long
    assert not durable.too_long(path, windows=False)


def test_nothing_else_gives_files_another_name() -> None:
    """So that on Windows, where scanners hold what is new for a moment, each is tried again."""
    room = Path(durable.__file__)
    renames = re.compile(r"\.rename\(|\bos\.(?:rename|replace)\(|\.replace\([^,()=]+\)")
    modules = {path: path.read_text(encoding="utf-8") for path in room.parent.rglob("*.py")}
    assert [path for path, text in modules.items() if renames.search(text)] == [room]
