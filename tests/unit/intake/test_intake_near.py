"""Who names something else than a job's folder is told which folder to name."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.intake.folder import read_job
from dossier.model.finding import Finding


def only(path: Path) -> Finding:
    job, (found,) = read_job(path)
    assert job is None
    return found


@pytest.mark.parametrize("inside", ["job.toml", "parts.csv", "photos/A.jpg"])
def test_a_file_of_a_job_names_its_folder(job_folder: Path, inside: str) -> None:
    found = only(job_folder / inside)
    assert found.code == "file-given" and f'"{job_folder}"' in found.hint


def test_a_misspelt_folder_and_one_around_jobs(job_folder: Path) -> None:
    beside = job_folder.with_name("Koffer Müller")
    job_folder.rename(beside)
    assert f'"{beside}"' in only(beside.with_name("koffer muller")).hint
    assert "did you mean" not in only(beside.with_name("x")).hint
    (beside.parent / "workshop.toml").unlink(missing_ok=True)
    found = only(beside.parent)
    assert found.code == "no-job-file" and str(beside) in found.hint
    (beside.parent / "second").mkdir()
    (beside.parent / "second" / "job.xlsx").touch()
    assert str(beside.parent / "second") in only(beside.parent).hint


def test_what_was_made_of_a_job_is_said_to_be_that(tmp_path: Path) -> None:
    (tmp_path / "record.json").touch()
    assert "dossier verify" in only(tmp_path).hint


def test_what_cannot_be_looked_into_is_said_once(job_folder: Path, tmp_path: Path) -> None:
    """Not once more for each photograph that is named: photos.csv and marks.csv name three."""
    elsewhere = tmp_path.parent / "elsewhere"
    (job_folder / "photos").rename(elsewhere)
    (job_folder / "photos").symlink_to(elsewhere, target_is_directory=True)
    assert [found.code for found in read_job(job_folder)[1]] == ["link-outside"]
