"""Bags against the `bagit` library (Library of Congress) and `sha256sum -c`; RFC 8493."""

from __future__ import annotations

import errno
import os
import shutil
import stat
import subprocess
import unicodedata
from collections.abc import Callable
from pathlib import Path, PureWindowsPath
from typing import Any, Literal

import bagit
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dossier.archive import bag_check, bag_form, bags
from dossier.errors import ArchiveError

INFO = {"Source-Organization": "Workshop", "Bagging-Date": "2026-01-02"}


def test_a_bag_is_valid_by_the_bagit_library(tmp_path: Path) -> None:
    photo = tmp_path / "p.jpg"
    photo.write_bytes(b"\xff\xd8" + bytes(3_000_000))
    made = bags.make_bag(
        tmp_path / "a", "job-1", [bags.Source("dossier/x.txt", b"x"), bags.Source("job/p.jpg", photo)], INFO
    )
    bag = bagit.Bag(str(made))
    assert bag.is_valid()
    assert bag.info["Payload-Oxum"] == f"{3_000_003}.2"
    assert bag.version_info == (1, 0)
    assert sorted(bag.algorithms) == ["sha256", "sha512"]


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="sha256sum (coreutils) is not on this machine")
def test_manifests_check_with_sha256sum(tmp_path: Path) -> None:
    made = bags.make_bag(tmp_path, "job-1", [bags.Source("a b/ü.txt", b"x"), bags.Source("c", b"")], INFO)
    for name in ("manifest-sha256.txt", "tagmanifest-sha256.txt"):
        subprocess.run(["sha256sum", "--strict", "-c", name], cwd=made, check=True, capture_output=True)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    names=st.sets(
        st.text(
            st.characters(codec="utf-8", exclude_characters="/\\\0", exclude_categories=("Cs",)),
            min_size=1,
            max_size=30,
        ).filter(lambda n: n.strip(".") != ""),
        min_size=1,
        max_size=5,
    ),
    content=st.binary(max_size=50),
)
def test_any_names_give_a_valid_bag(tmp_path: Path, names: set[str], content: bytes) -> None:
    shutil.rmtree(tmp_path / "a", ignore_errors=True)
    made = bags.make_bag(tmp_path / "a", "j", [bags.Source(n, content) for n in names], INFO)
    assert bagit.Bag(str(made)).is_valid()
    assert bag_check.check_bag(made).files == len(names)
    _can_lie_on_any_disk({path.relative_to(made).as_posix() for path in made.rglob("*") if path.is_file()})


def _can_lie_on_any_disk(paths: set[str]) -> None:
    """By the standard library's own list of Windows' names; disks of Windows and macOS tell no case apart."""
    for part in {part for path in paths for part in path.split("/")}:
        assert not PureWindowsPath(part).is_reserved()
        assert not set(part) & set('<>:"|?*\\') and not part.endswith((" ", "."))
    assert len({unicodedata.normalize("NFD", path).casefold() for path in paths}) == len(paths)


def test_names_of_other_systems_are_told_apart(tmp_path: Path) -> None:
    names = ["job/CON.jpg", "job/nul", "job/Lid?.jpg", "job/lid*.jpg", "job/LID?.JPG", "job/end.", "job/end_"]
    names += [
        "job/COM1/a.txt",
        "job/console.txt",
        "job/u\u0308.md",
        "job/\u00fc.md",
        "job/a:b",
        "job/.hidden",
    ]
    paths = bags.safe_paths(names)
    assert list(paths) == sorted(names)
    _can_lie_on_any_disk(set(paths.values()))
    assert paths["job/console.txt"] == "job/console.txt" and paths["job/.hidden"] == "job/.hidden"
    made = bags.make_bag(tmp_path, "j", [bags.Source(name, name.encode()) for name in names], INFO)
    assert {path.read_text() for path in (made / "data").rglob("*") if path.is_file()} == set(names)
    assert bagit.Bag(str(made)).is_valid()


@pytest.mark.parametrize("form", ["NFC", "NFD"])
def test_a_disk_may_spell_names_otherwise_later(tmp_path: Path, form: Literal["NFC", "NFD"]) -> None:
    """Disks of macOS (HFS+) and copying from them do, as the library says of its own search for names."""
    made = bags.make_bag(tmp_path, "j", [bags.Source("Ba\u0308lge.jpg", b"x")], INFO)
    (one,) = (made / "data").iterdir()
    one.rename(one.with_name(unicodedata.normalize(form, one.name)))
    assert bag_check.check_bag(made).problems == () and bagit.Bag(str(made)).is_valid()


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    made = bags.make_bag(tmp_path, "job-1", [bags.Source("x", b"first")], INFO)
    with pytest.raises(ArchiveError, match="already"):
        bags.make_bag(tmp_path, "job-1", [bags.Source("x", b"second")], INFO)
    assert (made / "data/x").read_bytes() == b"first"


@pytest.mark.parametrize(
    ("harm", "named"),
    [
        (lambda bag: (bag / "data/x").write_bytes(b"Two"), "data/x is not as it was put away"),
        (lambda bag: (bag / "data/x").unlink(), "data/x was put away and is not here any more"),
        (lambda bag: (bag / "data/extra").write_bytes(b""), "data/extra was not put away with the rest"),
        (lambda bag: (bag / "bag-info.txt").write_text("Source-Organization: X\n"), "bag-info.txt is not as"),
    ],
    ids=["changed", "missing", "added", "tag-changed"],
)
def test_audit_names_what_does_not_match(tmp_path: Path, harm: object, named: str) -> None:
    made = bags.make_bag(tmp_path, "job-1", [bags.Source("x", b"one"), bags.Source("y", b"")], INFO)
    assert bag_check.check_bag(made).problems == ()
    harm(made)  # type: ignore[operator]
    report = bag_check.check_bag(made)
    assert any(named in p for p in report.problems)


def test_audit_names_everything_in_one_run(tmp_path: Path) -> None:
    sources = [bags.Source(name, b"one") for name in "xyz"]
    made = bags.make_bag(tmp_path, "job-1", sources, INFO)
    (made / "data/x").write_bytes(b"two")
    (made / "data/y").unlink()
    (made / "data/extra").write_bytes(b"")
    problems = " ".join(bag_check.check_bag(made).problems)
    assert all(f"data/{name}" in problems for name in ("x", "y", "extra"))
    assert "data/z" not in problems


def test_a_crash_leaves_no_half_bag(tmp_path: Path) -> None:
    missing = tmp_path / "not-there.jpg"
    with pytest.raises(ArchiveError):
        bags.make_bag(tmp_path / "a", "job-1", [bags.Source("x", b"1"), bags.Source("y", missing)], INFO)
    assert list(bags.bag_folders(tmp_path / "a")) == []
    assert bags.leftovers(tmp_path / "a") == []


def test_a_share_that_flushes_no_folders_takes_bags(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """fsync(2): EINVAL where what is open cannot be flushed, as a folder on some network file systems."""
    fsync = os.fsync

    def flush(handle: int) -> None:
        if stat.S_ISDIR(os.fstat(handle).st_mode):
            raise OSError(errno.EINVAL, "Invalid argument")
        fsync(handle)

    monkeypatch.setattr(os, "fsync", flush)
    made = bags.make_bag(tmp_path, "job-1", [bags.Source("x", b"one")], INFO)
    assert bagit.Bag(str(made)).is_valid()


def test_of_two_runs_at_once_the_later_is_told_that_the_bag_is_there(tmp_path: Path) -> None:
    def meanwhile(folder: Path) -> bag_check.BagReport:
        other = tmp_path / bags.BAGS / "job-1"
        other.mkdir(parents=True)
        (other / "x").write_bytes(b"first")
        return bag_check.check_bag(folder)

    with pytest.raises(ArchiveError, match="already"):
        bags.make_bag(tmp_path, "job-1", [bags.Source("x", b"second")], INFO, check=meanwhile)
    assert (tmp_path / bags.BAGS / "job-1" / "x").read_bytes() == b"first"
    assert bags.leftovers(tmp_path) == []


def test_the_page_a_stranger_reads_has_the_same_bytes_everywhere(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on Windows, where lines end with CR LF unless a newline is named (io.TextIOWrapper)."""

    def opened(path: Path, mode: str = "r", **more: Any) -> Any:
        if "b" not in mode and more.get("newline") is None:
            more["newline"] = "\r\n"
        return open(path, mode, **more)  # noqa: PTH123 - Path.open is what is replaced

    monkeypatch.setattr(Path, "open", opened)
    bags.write_readme(tmp_path)
    assert b"\r" not in (tmp_path / "READ-ME-FIRST.txt").read_bytes()


def test_a_bag_that_does_not_read_back_is_not_put_in_place(tmp_path: Path) -> None:
    def spoilt(folder: Path) -> bag_check.BagReport:
        (folder / "data/x").write_bytes(b"bad sector")
        return bag_check.check_bag(folder)

    with pytest.raises(ArchiveError, match="not whole"):
        bags.make_bag(tmp_path, "job-1", [bags.Source("x", b"one")], INFO, check=spoilt)
    assert list(bags.bag_folders(tmp_path)) == []


@pytest.mark.parametrize("said", ["1", "x.y", "2.1", "9" * 5000 + ".1"])
def test_what_a_bag_wrongly_says_of_its_size_ends_no_audit(tmp_path: Path, said: str) -> None:
    """Whoever changes a bag may leave out its tag manifests, or reckon them anew."""
    made = bags.make_bag(tmp_path, "job-1", [bags.Source("x", b"one")], INFO)
    (made / "bag-info.txt").write_text(f"Payload-Oxum: {said}\n")
    for one in made.glob("tagmanifest-*"):
        one.unlink()
    assert any("bag-info.txt is not as" in problem for problem in bag_check.check_bag(made).problems)


@pytest.mark.parametrize("name", ["data/x", "data/record.tsr", "bag-info.txt", "manifest-sha256.txt"])
def test_no_pipe_in_a_bag_is_waited_for(tmp_path: Path, name: str, pipe: Callable[[Path], None]) -> None:
    made = bags.make_bag(tmp_path, "job-1", [bags.Source("x", b"one")], INFO)
    (made / name).unlink(missing_ok=True)
    pipe(made / name)
    assert any(problem.startswith(f"{name} is no ordinary") for problem in bag_check.check_bag(made).problems)
    assert not bags.digests(made) or name != "manifest-sha256.txt"


def test_a_text_of_a_bag_is_read_up_to_a_bound(tmp_path: Path) -> None:
    made = bags.make_bag(tmp_path, "job-1", [bags.Source("x", b"one")], INFO)
    with (made / "bag-info.txt").open("a") as file:
        file.write("a " * bag_form.MOST_TAGS)
    assert any("bag-info.txt is no ordinary" in problem for problem in bag_check.check_bag(made).problems)


@pytest.mark.parametrize("algorithm", bags.ALGORITHMS)
def test_a_bag_without_the_lists_of_its_own_files_is_not_whole(tmp_path: Path, algorithm: str) -> None:
    """A bag of others may have none (RFC 8493, 2.2.1); without, bag-info.txt could say anything."""
    made = bags.make_bag(tmp_path, "job-1", [bags.Source("x", b"one")], INFO)
    (made / f"tagmanifest-{algorithm}.txt").unlink()
    (problem,) = bag_check.check_bag(made).problems
    assert problem.startswith(f"tagmanifest-{algorithm}.txt was put away and is not here")


def test_a_file_that_was_laid_into_a_bag_is_named(tmp_path: Path) -> None:
    """Beside what was put away nothing belongs, though to the format it may (RFC 8493, 2.2.4)."""
    made = bags.make_bag(tmp_path, "job-1", [bags.Source("x", b"one")], INFO)
    (made / "note.txt").write_text("the lining was old")
    (problem,) = bag_check.check_bag(made).problems
    assert problem == "note.txt is not one of this bag's own files"


@pytest.mark.parametrize("name", [".DS_Store", "Thumbs.db", "desktop.ini", "._bag-info.txt"])
def test_a_look_into_the_folder_leaves_a_bag_whole(tmp_path: Path, name: str) -> None:
    """What Finder and Explorer write where somebody only looks."""
    made = bags.make_bag(tmp_path, "job-1", [bags.Source("x", b"one")], INFO)
    (made / name).write_bytes(b"Bud1")
    assert bag_check.check_bag(made).problems == ()
