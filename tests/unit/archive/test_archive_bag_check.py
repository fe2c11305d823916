"""What a stranger may do to a bag: it is named, the rest is looked at, and nothing ends the check."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from dossier import ordinary
from dossier.archive import bag_check, bag_form, bags
from dossier.errors import ArchiveError, NotCanonicalError

ALTERED = "data/x is not as it was put away"


@pytest.fixture
def bag(tmp_path: Path) -> Path:
    """With one file that was altered, which has to be named whatever else there is."""
    sources = [bags.Source(name, b"one") for name in ("x", "y/z")]
    made = bags.make_bag(tmp_path / "a", "job-1", sources, {"Bagging-Date": "2026-01-02"})
    (made / "data/x").write_bytes(b"two")
    return made


@pytest.mark.parametrize(
    "encoding",
    [
        "UTF-9",
        "ASCII7",
        "zlib_codec",
        "rot_13",
        "quopri_codec",
        "mbcs",
        "idna",
        "utf-16",
        "a" * 100_000,
        "",
        "\0",
    ],
)
def test_a_bag_is_declared_as_ours_are(bag: Path, encoding: str) -> None:
    """RFC 8493, 2.1.1; Python's codecs that are no encodings of text raise whatever they like."""
    said = bag_form.DECLARATION.replace("UTF-8", encoding)
    (bag / "bagit.txt").write_text(said)
    assert bag_check.check_bag(bag).problems == ("bagit.txt is not as it was put away", ALTERED)


@pytest.mark.parametrize(
    "name", ["manifest-sha256.txt", "tagmanifest-sha512.txt", "bag-info.txt", "bagit.txt"]
)
@pytest.mark.parametrize(
    "content", [b"\xff", b"", b"a", b"\0" * 999, b"\r\n" * 999, b"# x\n", b"x  ../../../etc\n"]
)
def test_a_text_of_a_bag_may_be_anything(bag: Path, name: str, content: bytes) -> None:
    (bag / name).write_bytes(content)
    problems = bag_check.check_bag(bag).problems
    assert ALTERED in problems and any(name in one for one in problems)


def test_a_list_is_read_as_far_as_it_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """One long line costs one look, lines in their millions as many as a bag may have."""
    line = b"%064x  data/%08d\n"
    assert len(bag_form.read_list(b"".join(line % (n, n) for n in range(9)), "sha256", of_tags=False)) == 9
    monkeypatch.setattr(bag_form, "MOST_FILES", 4)
    looked = []

    class Lines:
        def __init__(self, data: bytes) -> None:
            self.data = data

        def __iter__(self) -> Iterator[bytes]:
            for one in self.data.splitlines(keepends=True):
                looked.append(one)
                yield one

    monkeypatch.setattr(bag_form.io, "BytesIO", Lines)
    for data in (b"a" * 1_000_000, b"".join(line % (n, n) for n in range(1000))):
        with pytest.raises(NotCanonicalError):
            bag_form.read_list(data, "sha256", of_tags=False)
    assert len(looked) == 1 + 5


@pytest.mark.parametrize(
    "lines",
    [
        ["data/a", "data/a"],
        ["data/b", "data/a"],
        ["a"],
        ["data/a\x85"],
    ],
)
def test_a_list_has_one_form(lines: list[str]) -> None:
    data = "".join(f"{'0' * 64}  {one}\n" for one in lines).encode()
    if lines == ["data/a\x85"]:  # text, and no end of a line to us
        assert list(bag_form.read_list(data, "sha256", of_tags=False)) == lines
        return
    with pytest.raises(NotCanonicalError):
        bag_form.read_list(data, "sha256", of_tags=False)


@pytest.mark.parametrize(
    "name", ["fetch.txt", "manifest-shake_128.txt", "manifest-md5.txt", "package-info.txt"]
)
def test_texts_of_other_bags_are_only_named(bag: Path, name: str) -> None:
    (bag / name).write_text("a")
    assert bag_check.check_bag(bag).problems == (ALTERED, f"{name} is not one of this bag's own files")


@pytest.mark.parametrize("place", ["data/y", "data/y/z", "data/link", "link", "data", "bag-info.txt"])
@pytest.mark.parametrize("target", ["/", "/proc/self", "..", "nowhere", "/dev/zero"])
def test_no_link_in_a_bag_is_followed(
    bag: Path, place: str, target: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not one to the very file either: it leads out of what is copied and kept."""
    path = bag / place
    if path.exists():
        path.rename(bag.parent / "was")
    path.symlink_to(target)
    opened: list[Path] = []
    real = ordinary.opened

    def watched(path: Path, *more: int) -> object:
        opened.append(path)
        return real(path, *more)

    monkeypatch.setattr(ordinary, "opened", watched)
    problems = bag_check.check_bag(bag).problems
    assert f"{place} is a link, which leads out of the bag and was not followed" in problems
    assert (ALTERED in problems) == (place != "data")
    assert not any("here any more" in one for one in problems)
    assert opened and path not in opened


def test_a_folder_that_cannot_be_looked_into_is_named(bag: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever runs the tests may be allowed everything, so that the disk has to refuse."""
    real = os.scandir

    def scandir(path: Path) -> object:
        if Path(path) == bag / "data/y":
            raise PermissionError(13, "Permission denied", str(path))
        return real(path)

    monkeypatch.setattr(os, "scandir", scandir)
    assert bag_check.check_bag(bag).problems == (
        ALTERED,
        "the folder data/y cannot be looked into: Permission denied",
    )


def test_a_bag_that_cannot_be_looked_into_is_named(tmp_path: Path) -> None:
    (problem,) = bag_check.check_bag(tmp_path / "gone").problems
    assert problem.startswith("the folder gone cannot be looked into: ")


def test_what_lies_in_a_bag_besides_is_named_up_to_a_bound(
    bag: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for n in range(9):
        (bag / f"data/{n}").write_bytes(b"")
        (bag / f"more-{n}").mkdir()
    monkeypatch.setattr(bag_check, "MOST_NAMED", 3)
    first, *others, last = bag_check.check_bag(bag).problems
    assert (first, len(others), last) == (ALTERED, 2, "and 16 more")
    monkeypatch.setattr(bag_check, "MOST_ENTRIES", 20)
    (problem,) = bag_check.check_bag(bag).problems
    assert problem.startswith("in it lie more than 20 files and folders")


def test_both_lists_name_the_same_files(bag: Path) -> None:
    listed = (bag / "manifest-sha512.txt").read_text().splitlines(keepends=True)
    (bag / "manifest-sha512.txt").write_text(listed[0])
    problems = bag_check.check_bag(bag).problems
    assert "manifest-sha256.txt and manifest-sha512.txt do not list the same files" in problems


def test_two_files_of_one_name_in_two_spellings_are_two(tmp_path: Path) -> None:
    made = bags.make_bag(tmp_path, "j", [bags.Source("\u00fc.txt", b"x")], {})
    other = made / "data" / "u\u0308.txt"
    if other.exists():
        pytest.skip("to this disk both are one")
    other.write_bytes(b"y")
    assert bag_check.check_bag(made).problems == ("data/u\u0308.txt was not put away with the rest",)


def test_each_file_is_read_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made = bags.make_bag(tmp_path, "j", [bags.Source(f"{n}", b"x") for n in range(5)], {})
    asked: list[Path] = []
    real = bag_check._hashed

    def hashed(path: Path) -> tuple[int, dict[str, str]]:
        asked.append(path)
        return real(path)

    monkeypatch.setattr(bag_check, "_hashed", hashed)
    assert bag_check.check_bag(made).files == 5
    assert len(asked) == len(set(asked)) == 5 + 4


def test_more_files_than_a_bag_may_hold_are_not_put_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bag_form, "MOST_FILES", 2)
    with pytest.raises(ArchiveError, match="3 files are more"):
        bags.make_bag(tmp_path, "j", [bags.Source(f"{n}", b"x") for n in range(3)], {})
    assert list(bags.bag_folders(tmp_path)) == []


def test_a_file_that_cannot_be_read_is_named(
    bag: Path, monkeypatch: pytest.MonkeyPatch, pipe: Callable[[Path], None]
) -> None:
    pipe(bag / "data/pipe")
    real = ordinary.opened

    def opened(path: Path, *more: int) -> object:
        if path.name == "z":
            raise OSError(5, "Input/output error", str(path))
        return real(path, *more)

    monkeypatch.setattr(ordinary, "opened", opened)
    assert bag_check.check_bag(bag).problems == (
        ALTERED,
        "data/pipe is no ordinary file (a pipe or a device), or far longer than it can be, and was not read",
        "data/y/z cannot be read: Input/output error",
    )


def test_the_digests_are_of_the_bytes(bag: Path) -> None:
    size, own = bag_check._hashed(bag / "data/x")
    assert (size, own["sha256"]) == (3, hashlib.sha256(b"two").hexdigest())
