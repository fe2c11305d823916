"""Who has a folder checked that holds no dossier is told where the one lies that was probably meant."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from dossier.errors import DossierError
from dossier.flows import holder_copy, stating
from dossier.flows.verify import Asked, verify
from dossier.model.result import Check
from dossier.words import LANGUAGES, Catalogue


def only(folder: Path, language: str = "en") -> Check:
    asked = Asked(today=dt.date(2026, 11, 26), words=Catalogue(language))
    result = verify(folder, asked)
    (check,) = result.checks
    assert result.overall == "unreadable" and check.code == "no-dossier-here"
    return check


def made(folder: Path, name: str = "dossier.pdf") -> Path:
    folder.mkdir(parents=True)
    (folder / name).touch()
    return folder


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return made(tmp_path / "clock", "job.toml")


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_was_made_of_a_job_lies_beside_and_so_do_its_copies(job: Path, language: str) -> None:
    beside = [made(job.parent / name) for name in ("clock-dossier", "clock-dossier-resale")]
    made(job.parent / "other-dossier")
    assert only(job, language).where == tuple(map(str, beside))


def test_of_a_folder_around_them_those_inside(job: Path) -> None:
    inside = made(job.parent / "clock-dossier")
    assert only(job.parent).where == (str(inside),)


def test_of_an_archive_its_bags(tmp_path: Path) -> None:
    bags = [made(tmp_path / "bags" / name / "data" / "dossier").parents[1] for name in ("2026-1", "2026-2")]
    assert only(tmp_path).where == tuple(map(str, bags))


def test_where_none_is_near_that_is_all(job: Path) -> None:
    made(job.parent / "clock-dossier", "draft.pdf")
    (job.parent / "clock-dossier-owner").mkdir()
    assert only(job).where == () and "name the folder" in only(job).text


def test_a_draft_is_said_to_be_one(job: Path) -> None:
    draft = made(job.parent / "clock-dossier", "draft.pdf")
    assert "draft" in only(draft).text and only(draft).where == ()


def test_the_photographs_of_a_dossier_lie_in_it(tmp_path: Path) -> None:
    folder = made(tmp_path / "clock-dossier")
    made(folder / "photographs", "photo-001.jpg")
    assert only(folder / "photographs").where == (str(folder),)


def test_whoever_asks_for_more_of_a_job_folder_is_told_too(job: Path) -> None:
    """Of its dossier a copy or a statement was meant; it was said that no record is here, and no more."""
    beside = made(job.parent / "clock-dossier")
    with pytest.raises(DossierError) as copied:
        holder_copy.make_copy(job, job.parent / "copy", "resale")
    with pytest.raises(DossierError) as stated:
        stating.named(job)
    assert str(beside) in copied.value.hint and str(beside) in stated.value.hint


def test_of_a_folder_without_one_its_pdfs_are_named(tmp_path: Path) -> None:
    """A program that keeps files in step, or a mail, gives a dossier another name."""
    for name in ("dossier (1).pdf", "._dossier.pdf", "Karte.PDF", "notes.txt"):
        (tmp_path / name).touch()
    assert only(tmp_path).where == ("Karte.PDF", "dossier (1).pdf")
