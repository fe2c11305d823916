"""An archive in which somebody laid what is no bag: all else in it is audited, and found."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from dossier.archive import bag_form, bags
from dossier.flows import bagged, put_away, put_later, renewal
from dossier.flows.verifying import lying_beside


@pytest.fixture
def archive(tmp_path: Path) -> Path:
    made = tmp_path / "archive"
    for name in ("a", "m", "z"):
        bags.make_bag(made, name, [bags.Source("x", b"one")], {"External-Description": "clock"})
    return made


def _audited(archive: Path) -> dict[str, tuple[str, ...]]:
    return {one.bag: one.problems for one in put_away.audit(archive)}


def _found(archive: Path) -> list[str]:
    assert put_away.find(archive, ["clock"]) == put_away.find(archive, ["clock"], rebuild=True)
    return [one.bag for one in put_away.find(archive, ["clock"])]


@pytest.mark.parametrize("encoding", ["UTF-9", "zlib_codec", "mbcs", "a" * 100_000])
def test_one_bag_that_is_none_ends_no_audit(archive: Path, encoding: str) -> None:
    (archive / "bags/m/bagit.txt").write_text(bag_form.DECLARATION.replace("UTF-8", encoding))
    audited = _audited(archive)
    assert [name for name, problems in audited.items() if problems] == ["m"]
    assert sorted(audited) == ["a", "m", "z"] and _found(archive) == ["a", "m", "z"]


@pytest.mark.parametrize("target", ["/", "/proc/self", "..", "a", "nowhere"])
def test_a_link_among_the_bags_is_named_and_not_followed(archive: Path, target: str) -> None:
    (archive / "bags/root").symlink_to(target)
    audited = _audited(archive)
    assert [name for name, problems in audited.items() if problems] == ["root"]
    assert audited["root"][0].startswith("this is a link and no bag")
    assert _found(archive) == ["a", "m", "z"]
    assert list(renewal.audit(archive)) == []


def test_a_bag_that_a_link_stands_for_is_told_once(archive: Path) -> None:
    assert _found(archive) == ["a", "m", "z"]
    (archive / "bags/m").rename(archive / "m")
    (archive / "bags/m").symlink_to(archive / "m")
    reports = [one for one in put_away.audit(archive) if one.bag == "m"]
    assert len(reports) == 1 and reports[0].problems


def test_a_bag_under_a_name_that_is_no_text_is_named(archive: Path) -> None:
    name = os.fsdecode(b"m\xff")
    try:
        (archive / "bags/m").rename(archive / "bags" / name)
    except OSError:
        pytest.skip("this disk has no such names")
    assert [bag for bag, problems in _audited(archive).items() if problems] == [name]
    assert _found(archive) == ["a", "z"]


@pytest.mark.parametrize("closed", ["m", "m/data", "m/data/statements", "m--x/data/statements"])
def test_a_folder_that_cannot_be_looked_into_ends_nothing(
    archive: Path, closed: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As the disk answers who may not: whoever runs the tests may be allowed everything."""
    (archive / "bags" / closed).mkdir(parents=True, exist_ok=True)
    shut = str(archive / "bags" / closed)
    real = os.scandir, os.stat, os.lstat

    def refusing(number: int):  # type: ignore[no-untyped-def]
        def asked(path, *more, **named):  # type: ignore[no-untyped-def]
            inside = str(path).startswith(shut + "/") or (number == 0 and str(path).rstrip("/") == shut)
            if inside:
                raise PermissionError(13, "Permission denied", str(path))
            return real[number](path, *more, **named)

        return asked

    for number, name in enumerate(("scandir", "stat", "lstat")):
        monkeypatch.setattr(os, name, refusing(number))
    bag = closed.partition("/")[0]
    audited = _audited(archive)
    assert any("cannot be looked into: Permission denied" in one for one in audited[bag])
    assert not audited["a"] and not audited["z"]
    assert {"a", "z"} <= set(_found(archive))
    assert bagged.archive_around(archive / "bags" / "new") == archive


def test_of_what_was_said_later_so_much_is_looked_at(archive: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    home = archive / "bags" / "m--x" / "data" / "statements"
    home.mkdir(parents=True)
    for n in range(300):
        (home / f"{n}.json").write_bytes(b"")
    asked: list[Path] = []
    monkeypatch.setattr(put_later, "is_one", lambda path: bool(asked.append(path)))
    entry = put_later.entry_of(archive / "bags" / "m--x")
    assert entry is not None and "cannot be read" in entry.said
    assert len(asked) == put_later._MOST_FILES


def test_what_was_said_later_is_not_looked_for_behind_a_link(archive: Path, tmp_path: Path) -> None:
    (tmp_path / "elsewhere" / "statements").mkdir(parents=True)
    bag = archive / "bags" / "m--x"
    bag.mkdir()
    (bag / "data").symlink_to(tmp_path / "elsewhere")
    assert put_later.entry_of(bag) is None
    (bag / "data").unlink()
    (bag / "data").mkdir()
    (bag / "data" / "statements").symlink_to(tmp_path / "elsewhere" / "statements")
    assert put_later.about_bag(bag) == ""


def test_a_bag_beside_that_cannot_be_looked_into_is_named_by_a_check(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before, the dossier in the bag next to it could not be checked at all."""
    dossier = tmp_path / "1--5ea1" / "data" / "dossier"
    dossier.mkdir(parents=True)
    (tmp_path / "1--5ea1" / "bagit.txt").write_text(bag_form.DECLARATION)
    (tmp_path / "1--5ea1--w").mkdir()
    real = os.stat

    def stat(path, *more, **named):  # type: ignore[no-untyped-def]
        if "1--5ea1--w/" in str(path):
            raise PermissionError(13, "Permission denied", str(path))
        return real(path, *more, **named)

    monkeypatch.setattr(os, "stat", stat)
    assert lying_beside.beside(dossier).unread == ("1--5ea1--w/",)


def test_what_broke_off_is_not_looked_for_behind_a_link(archive: Path) -> None:
    """What is named there may be deleted, as the audit says."""
    (archive / ".incoming").rename(archive / "was")
    (archive / ".incoming").symlink_to("/")
    assert bags.leftovers(archive) == []
    (archive / ".incoming").unlink()
    (archive / ".incoming").write_bytes(b"")
    assert bags.leftovers(archive) == []


@pytest.mark.parametrize("bag", [None, b"x", "gone"])
def test_a_catalogue_may_hold_anything(archive: Path, bag: object) -> None:
    assert _found(archive) == ["a", "m", "z"]
    with closing(sqlite3.connect(archive / "catalogue.sqlite")) as db, db:
        db.execute("INSERT INTO entry (bag) VALUES (?)", (bag,))
        db.execute("INSERT INTO entry (bag) VALUES ('other')")
    assert {"a", "m", "z", "other"} <= set(_audited(archive))
    assert _found(archive) == ["a", "m", "z"]
