"""Who names something else than a job's folder is told which folder to name."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from dossier.intake.folder import read_job
from dossier.intake.template import new_job
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


@pytest.mark.parametrize(
    ("was", "now", "meant"),
    [
        ("job.toml", "job.toml.txt", "job.toml"),
        ("parts.csv", "parts.csv.rtf", "parts.csv"),
        ("work.csv", "work.txt", "work.csv"),
        ("parts.csv", "parts.xlsx", "parts.csv"),
        ("../workshop.toml", "workshop.toml.txt", "workshop.toml"),
    ],
)
def test_a_file_that_an_editor_named_otherwise(job_folder: Path, was: str, now: str, meant: str) -> None:
    source = job_folder / was
    if not source.exists():
        source = job_folder / Path(was).name
    source.rename(job_folder / now)
    said = {finding.code: finding for finding in read_job(job_folder)[1]}
    assert said["unknown-file"].at.file == now and f'did you mean "{meant}"' in said["unknown-file"].hint
    assert was.endswith(".toml") or [*said] == ["unknown-file"]


@pytest.mark.parametrize(
    ("was", "now", "anew"),
    [("parts.csv", "parts.xlsx", True), ("parts.csv", "parts.ods", True), ("parts.csv", "part.csv", False)],
)
def test_a_table_saved_as_a_workbook_is_to_be_saved_anew(
    job_folder: Path, was: str, now: str, anew: bool
) -> None:
    (job_folder / was).rename(job_folder / now)
    (hint,) = [found.hint for found in read_job(job_folder)[1] if found.code == "unknown-file"]
    assert ("another name alone does not make it one" in hint) is anew
    assert ("rename it" in hint) is not anew


def test_a_text_beside_a_file_of_that_name_is_nobodys_error(job_folder: Path) -> None:
    for name in ("job.txt", "read me.txt", "work.docx", ".job.toml.txt"):
        (job_folder / name).touch()
    assert read_job(job_folder)[1] == []


def test_beside_a_workbook_no_text_is_meant_for_a_table(tmp_path: Path) -> None:
    """Under its other name it would make two forms of one job."""
    new_job(tmp_path / "job", workbook=True)
    names = ("photos.txt", "measurements.docx", "work.rtf", "parts.csv.txt", "workshop.docx", "rules.txt")
    for name in names:
        (tmp_path / "job" / name).touch()
    assert not {found.at.file for found in read_job(tmp_path / "job")[1]} & set(names)


def test_where_no_number_can_serve_that_alone_is_said(job_folder: Path) -> None:
    parts = "number,part,seen,came as\nNr. 1,lid,outside,original\nNr. 2,foot,outside,original\n"
    (job_folder / "parts.csv").write_text(parts, encoding="utf-8")
    work = "date,who,parts,done\n2026-03-09,AB,1-2,cleaned\n2026-03-09,AB,1,secured\n"
    work += "2026-03-10,AB,all others,treated\n"
    (job_folder / "work.csv").write_text(work, encoding="utf-8")
    found = [
        (one.at.file, one.code) for one in read_job(job_folder)[1] if one.at.file in ("parts.csv", "work.csv")
    ]
    assert found.count(("parts.csv", "number-wrong")) == 2
    assert not {"unknown-part", "no-other-parts"} & {code for file, code in found if file == "work.csv"}


def test_an_empty_register_is_said_once(job_folder: Path) -> None:
    """Not of each part that the other tables name."""
    (job_folder / "parts.csv").write_text("number,part,seen,came as\n", encoding="utf-8")
    codes = [finding.code for finding in read_job(job_folder)[1]]
    assert codes.count("unknown-part") == 1 and "no-parts" in codes


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("name = \u201cTwo Benches\u201d", "curved"),
        ("name = \u00abTwo Benches\u00bb", "curved"),
        ('key = "keys\\workshop-key.pem"', "write /"),
        ('key = "C:\\Users\\a\\key.pem"', "write /"),
        ('name = "straight and then" \u201ccurved\u201d', "behind"),
    ],
)
def test_what_an_editor_or_a_path_of_windows_does_to_a_line(job_folder: Path, line: str, said: str) -> None:
    """TOML 1.0: strings stand in U+0022 or U+0027, and a backslash begins an escape."""
    (job_folder / "workshop.toml").write_text(line + "\n", encoding="utf-8")
    (found,) = [finding for finding in read_job(job_folder)[1] if finding.code == "toml-syntax"]
    assert found.code == "toml-syntax" and re.search(said, found.message)


@pytest.mark.parametrize(
    ("name", "headings", "code"),
    [
        ("prices.csv", "article;hours;price", "file-not-read"),
        ("calc.xlsx", "", "file-not-read"),
        ("Teile.csv", "number;part;came as;material", "unknown-file"),  # parts.csv is not there
        ("list.csv", "number;part;price;shelf;supplier", "file-not-read"),  # an order of somebody's
        ("open.csv", '"article;hours', "file-not-read"),
        ("regeln.toml", "", "unknown-file"),
    ],
)
def test_a_table_of_ones_own_is_no_error(job_folder: Path, name: str, headings: str, code: str) -> None:
    (job_folder / "parts.csv").unlink()
    (job_folder / name).write_bytes(headings.encode("cp1252"))
    said = [found for found in read_job(job_folder)[1] if found.at.file == name]
    assert [found.code for found in said] == [code]
    assert (name != "Teile.csv") or 'did you mean "parts.csv"' in said[0].hint


def test_rows_of_ours_beside_the_table_that_is_read_are_more_than_to_know(job_folder: Path) -> None:
    """A work log kept in two files, say."""
    shutil.copy(job_folder / "parts.csv", job_folder / "Teile alt.csv")
    (found,) = read_job(job_folder)[1]
    assert (found.code, found.level) == ("file-beside", "gap") and '"parts.csv" is' in found.message


@pytest.mark.parametrize(
    ("was", "now", "meant"), [("job.toml", "job.ods", "job.xlsx"), ("job.toml", "job.toml.txt", "job.toml")]
)
def test_a_job_under_another_name_is_one_error(job_folder: Path, was: str, now: str, meant: str) -> None:
    """And not besides one that is missing; what a spreadsheet program saved is meant for the workbook."""
    for path in job_folder.glob("*.csv"):
        path.unlink()
    (job_folder / was).rename(job_folder / now)
    (found,) = read_job(job_folder)[1]
    assert (found.code, found.at.file) == ("unknown-file", now)
    assert f'did you mean "{meant}"' in found.hint
