"""Whoever names another thing than is wanted is told what they named, and what to name."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from dossier.errors import KeyFileError, UnreadableError, UsageError
from dossier.flows import new
from dossier.flows.put_away import _both_folders, put_away
from dossier.seal import publicfiles, trust

NOW = dt.datetime(2026, 11, 26, tzinfo=dt.UTC)


def laid_out(folder: Path) -> Path:
    """A job, what was made of it, a draft of another, each by its names alone."""
    for name in ("a b/job.toml", "a b/photos/1.jpg", "a b-dossier/record.json", "a b-dossier/card.pdf"):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(b"%PDF-1.7\n" if name.endswith("pdf") else b"{}")
    for name in ("c/job.xlsx", "c-dossier/draft.pdf", "d/job.toml"):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).touch()
    return folder


@pytest.mark.parametrize(
    ("given", "said", "hint"),
    [
        ("a b-dossier/card.pdf", "is a file", "'{}/a b-dossier'"),
        ("a b/photos/1.jpg", "is a file", "'{}/a b-dossier'"),
        ("c", "draft", "without --draft"),
        ("c-dossier", "draft", "without --draft"),
        ("d", "no finished dossier", "dossier compile {}/d"),
        ("e", "no folder", "compile"),
    ],
)
def test_what_can_be_put_away(tmp_path: Path, given: str, said: str, hint: str) -> None:
    with pytest.raises(UsageError) as caught:
        put_away(laid_out(tmp_path) / given, tmp_path / "archive", now=NOW)
    assert said in caught.value.message and hint.format(tmp_path) in caught.value.hint
    assert not (tmp_path / "archive").exists()


@pytest.mark.parametrize("form", ["job.toml", "job.xlsx"])
def test_the_job_beside_a_dossier_is_found_in_both_forms(tmp_path: Path, form: str) -> None:
    for file in ("a/" + form, "a-dossier/record.json"):
        (tmp_path / file).parent.mkdir()
        (tmp_path / file).write_text("x")
    assert _both_folders(tmp_path / "a-dossier") == (tmp_path / "a-dossier", tmp_path / "a")


@pytest.mark.parametrize(
    ("given", "said", "hint"),
    [
        ("a b", "no record", "{}/a b-dossier"),
        ("a b-dossier/card.pdf", "no dossier with a sealed record", "record.json"),
        ("d", "no record", "not compiled"),
        ("e", "no file or folder", "record.json"),
    ],
)
def test_what_a_job_can_follow(tmp_path: Path, given: str, said: str, hint: str) -> None:
    with pytest.raises(UnreadableError) as caught:
        new.start_job(tmp_path / "new", earlier=laid_out(tmp_path) / given)
    assert said in caught.value.message and hint.format(tmp_path) in caught.value.hint
    assert not (tmp_path / "new").exists()


def test_what_is_no_key(tmp_path: Path) -> None:
    (tmp_path / "a.pdf").write_bytes(b"%PDF-1.7\n" + b"0" * 100_000)
    (tmp_path / "record.json").write_bytes(b'{"payload":"e30"}')
    (tmp_path / "photo.jpg").write_bytes(b"\xff\xd8\xff" + b"0" * 100_000)
    cases = {"a.pdf": "a PDF", "record.json": "a sealed record", "": "a folder", "photo.jpg": "no public key"}
    for name, said in cases.items():
        with pytest.raises(KeyFileError, match=said):
            publicfiles.load_public(tmp_path / name, lambda: "")
        with pytest.raises(KeyFileError) as caught:
            trust.from_file(tmp_path / name)
        assert "-key.pem" not in caught.value.hint


def test_a_fingerprint_that_is_cut_says_how_much_there_is() -> None:
    with pytest.raises(KeyFileError, match=r'"11581 31415" .* 10 digits.* 40') as caught:
        trust.from_fingerprint(" 11581 31415")
    assert "quotation marks" in caught.value.hint
    with pytest.raises(KeyFileError, match="digits alone"):
        trust.from_fingerprint("11581 31415 ohne")
