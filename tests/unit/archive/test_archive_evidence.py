"""The next evidence of an archive on the disk: POSIX fsync(2) and rename(2) say what survives a power cut."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import msgspec
import pytest

from dossier.archive import bags, evidence, leaves, record_path
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


def test_a_list_made_to_cost_time_is_looked_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Heads of lines without an end, of which each was read to the end of all: 600 kB took a minute."""
    read: list[int] = []
    own = leaves._read_line
    monkeypatch.setattr(leaves, "_read_line", lambda line: read.append(len(line)) or own(line))
    for data in (a_line("x")[:-1] * 5000, a_line("") * 5000, b"\n" * 10**6):
        read.clear()
        with pytest.raises(NotCanonicalError):
            leaves.read(data)
        assert sum(read) <= len(data)


@pytest.mark.parametrize("name", ["a", "a b", "a--w", "\u732b", "a\x80", "a\nb", "a\tb", "a\x7f", "a\udcff"])
def test_a_name_is_listed_or_refused_before_anything_is_asked(name: str) -> None:
    some = [leaves.Leaf(name, leaves.of_record(b""))]
    if leaves.can_be_listed(name):
        assert leaves.read(leaves.write(some)) == some
    else:
        with pytest.raises((NotCanonicalError, UnicodeEncodeError)):
            leaves.read(leaves.write(some))


def test_bags_stand_in_code_point_order_where_paths_are_compared_without_case(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As pathlib compares those of Windows (docs.python.org, pathlib: "case-folding")."""
    for name in ("b", "C", "a"):
        (tmp_path / bags.BAGS / name).mkdir(parents=True)
    monkeypatch.setattr(type(tmp_path), "__lt__", lambda one, two: str(one).lower() < str(two).lower())
    assert [one.name for one in bags.bag_folders(tmp_path)] == ["C", "a", "b"]


@pytest.mark.parametrize(("stamp", "fewest", "most"), [(b"", 65, 65), (bytes(4000), 40, 64)])
def test_of_more_evidence_than_a_file_may_hold_the_newest_is_in_it(
    tmp_path: Path, stamp: bytes, fewest: int, most: int
) -> None:
    """As many and as large as are read again (FORMAT.md section 18): none had been handed out any more."""
    listed = [leaves.Leaf(name, leaves.of_record(b"anything")) for name in ("a", "a/record")]
    (tmp_path / leaves.FILE).write_bytes(leaves.write(listed))
    kept: list[evidence.Kept] = []
    for number in range(1, 71):
        before = evidence.previous(kept[-1].document, stamp) if kept else None
        head = evidence.read(evidence.document(listed, None, "some day"))
        head = msgspec.structs.replace(head, number=number, previous=before)
        kept.append(evidence.Kept(tmp_path, evidence.as_bytes(head), stamp))
    found = record_path.read(record_path.make(kept, "a", b""))
    assert fewest <= len(found.ways) <= most
    assert [way.evidence.number for way in found.ways] == list(range(70, 70 - len(found.ways), -1))
    assert record_path.leads(found, b"anything")
