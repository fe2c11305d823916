"""What lies beside a dossier's PDF: nothing vanishes from the result, whoever put it there."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from results import result_of, wrong

Run = Callable[..., Any]


@pytest.fixture
def folder(output: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(output, tmp_path / "dossier"))


@pytest.fixture
def own_key(job: Path) -> Path:
    return job.parent / "keys/trial-key.pem"


def said(result: dict[str, Any]) -> dict[str, list[str]]:
    return {one["code"]: one["where"] for one in result["checks"]}


def test_a_strangers_word_on_a_paper_takes_no_file_off_the_list(
    folder: Path, run: Run, tmp_path: Path
) -> None:
    """Anybody can sign that a changed sheet is a picture of a paper; that is passed over, and told."""
    assert run("keys", "new", tmp_path / "evil", "--name", "Evil", "--no-passphrase").code == 0
    (folder / "sheet.pdf").write_bytes(b"%PDF-1.4 another")
    key = ("--key", tmp_path / "evil" / "workshop-key.pem")
    more = ("--scan", folder / "sheet.pdf", "--to", folder / "zz.json")
    assert run("declare", "paper-receipt", folder, "--reason", "x", *key, *more).code == 0
    found = said(result_of(run, folder))
    assert {"sheet.pdf", "zz.json"} <= set(found["file-beside-not-checked"])
    assert "receipt-on-paper" not in found


@pytest.fixture
def with_paper(folder: Path, run: Run, own_key: Path) -> Path:
    (folder / "paper.jpg").write_bytes(b"ink")
    to = ("--scan", folder / "paper.jpg", "--to", folder / "receipt.json")
    ran = run("declare", "paper-receipt", folder, "--reason", "signed", "--key", own_key, *to)
    assert ran.code == 0, ran.err
    found = said(result_of(run, folder))
    assert "receipt-on-paper" in found
    assert not {"paper.jpg", "receipt.json"} & set(found["file-beside-not-checked"])
    return folder


@pytest.mark.parametrize("place", [".", "statements", "Statements"])
def test_every_picture_of_a_paper_that_is_at_hand_is_compared(with_paper: Path, run: Run, place: str) -> None:
    other = with_paper / place
    if place != ".":
        other.mkdir()
    else:
        (with_paper / "statements").mkdir()
        shutil.copy(with_paper / "paper.jpg", with_paper / "statements")
    (other / "paper.jpg").write_bytes(b"another")
    assert "receipt-paper-differs" in wrong(result_of(run, with_paper))


@pytest.mark.parametrize("kind", ["folder", "link", "pipe", "link to a folder"])
def test_a_picture_of_a_paper_that_is_no_file_is_not_the_one(
    with_paper: Path, run: Run, kind: str, pipe: Callable[[Path], None]
) -> None:
    kept = (with_paper / "paper.jpg").rename(with_paper / "kept.jpg")
    put(with_paper / "paper.jpg", kind, kept, pipe)
    assert "receipt-paper-differs" in wrong(result_of(run, with_paper))


def put(path: Path, kind: str, to: Path, pipe: Callable[[Path], None]) -> None:
    """Something that is no file, by the name of one."""
    if kind == "folder":
        path.mkdir()
    elif kind == "pipe":
        pipe(path)
    else:
        path.symlink_to(to.parent if "folder" in kind else to)


@pytest.mark.parametrize("kind", ["folder", "link", "pipe"])
@pytest.mark.parametrize("name", ["record.json", "how-to-check.txt"])
def test_what_is_no_file_is_not_the_one_inside(
    folder: Path, run: Run, tmp_path: Path, kind: str, name: str, pipe: Callable[[Path], None]
) -> None:
    """It is there, and who opens it sees what nobody compared; it had been called missing."""
    (folder / name).rename(tmp_path / name)
    put(folder / name, kind, tmp_path / name, pipe)
    result = result_of(run, folder)
    why = "which is a link and was not followed" if kind == "link" else "which is no file"
    assert wrong(result)["file-beside-differs"] == [f"{name}, {why}"]
    assert name not in said(result).get("file-beside-missing", [])


@pytest.mark.parametrize("name", ["earlier", "photographs"])
@pytest.mark.parametrize("kind", ["file", "link to a folder", "link", "pipe"])
def test_a_folder_that_is_none_is_named(
    inside: Path, run: Run, tmp_path: Path, name: str, kind: str, pipe: Callable[[Path], None]
) -> None:
    folder = Path(shutil.copytree(inside.parent, tmp_path / "dossier"))
    if kind == "file":
        (folder / name).write_bytes(b"x")
    else:
        put(folder / name, kind, inside, pipe)
    listed = said(result_of(run, folder))["file-beside-not-checked"]
    assert [one for one in listed if one.startswith(name)], listed


@pytest.mark.parametrize("name", ["manifest.sha256", "Thumbs.db"])
def test_a_link_by_the_name_of_a_file_that_is_passed_over_is_told(
    folder: Path, run: Run, tmp_path: Path, name: str
) -> None:
    path = folder / "photographs" / name
    if path.exists():
        path.rename(tmp_path / name)
    else:
        (tmp_path / name).write_bytes(b"x")
    path.symlink_to(tmp_path / name)
    assert wrong(result_of(run, folder)) == {"photograph-surplus": [name]}


def test_a_system_file_that_is_a_link_is_named(folder: Path, run: Run, tmp_path: Path) -> None:
    (folder / "Thumbs.db").symlink_to(tmp_path)
    (folder / "desktop.ini").symlink_to(folder / "sheet.pdf")
    assert {"Thumbs.db", "desktop.ini"} <= set(said(result_of(run, folder))["file-beside-not-checked"])


@pytest.mark.parametrize(
    ("reason", "private"),
    [
        ("Mr Varnhagen should oil it in May.", "Varnhagen"),
        ("Write to quillon@owner.example.", "quillon@owner.example"),
        ("He paid EUR 640.", "EUR 640"),
        ("Ring +43 1 555 0199.", "4315550199"),
        ("Oil it in May, once a year.", ""),
    ],
)
def test_whoever_declares_what_the_record_keeps_private_is_told(
    reason: str, private: str, folder: Path, run: Run, own_key: Path
) -> None:
    """A statement is for everybody, and names the record that has the owner apart."""
    ran = run("declare", "aftercare", folder, "--reason", reason, "--key", own_key)
    assert ran.code == 0
    assert ("keeps private" in ran.err) == bool(private)
    assert private in ran.err
