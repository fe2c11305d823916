"""One entry of a list cannot be read: what may mean it is silent, what cannot is said all the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.intake.folder import read_job

WORK = "date,who,parts,done,agreed on\n2026-03-09,{who},{parts},cleaned,{agreed}\n"


def said(folder: Path, who: str = "AB", parts: str = "1", agreed: str = "A1") -> list[str]:
    """What the reading says of a work log of one line."""
    rows = WORK.format(who=who, parts=parts, agreed=agreed)
    (folder / "work.csv").write_text(rows, encoding="utf-8")
    return [found.code for found in read_job(folder)[1] if found.at.file == "work.csv"]


def changed(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8-sig")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


@pytest.mark.parametrize(
    ("file", "old", "new", "meant", "other", "code"),
    [
        ("parts.csv", "\n2,", "\nNr. 2,", {"parts": "2"}, {"parts": "9"}, "unknown-part"),
        ("workshop.toml", '"AB"', '["AB"]', {"who": "AB"}, {"who": "XY"}, "unknown-person"),
        ("workshop.toml", '"P1"', '["P1", "P2"]', {"who": "P1"}, {"who": "XY"}, "unknown-person"),
        ("job.toml", '"A1"', '"A 1"', {"agreed": "A1"}, {"agreed": "A7"}, "unknown-agreement"),
        ("job.toml", 'answer = "agreed"', "", {"agreed": "A1"}, {"agreed": "A7"}, "unknown-agreement"),
    ],
)
def test_an_unknown_one_is_said_beside_one_that_could_not_be_read(
    job_folder: Path, file: str, old: str, new: str, meant: dict[str, str], other: dict[str, str], code: str
) -> None:
    changed(job_folder / file, old, new)
    assert said(job_folder, **({"who": "", "agreed": ""} | meant)) == []
    assert said(job_folder, **({"who": "", "agreed": ""} | other)) == [code]


@pytest.mark.parametrize(
    ("file", "old", "new", "mention"),
    [
        ("parts.csv", "\n2,", "\n,", {"parts": "2"}),
        ("parts.csv", "\n2,", "\n,", {"parts": "1-2"}),
        ("parts.csv", "\n2,", "\n2026-01-08,", {"parts": "2"}),  # "1-8" in a spreadsheet program
        ("workshop.toml", 'mark = "AB"', "", {"who": "AB"}),
        ("workshop.toml", "[[people]]", "[people]", {"who": "AB"}),
        ("job.toml", 'number = "A1"', "", {"agreed": "A1"}),
        ("job.toml", "[[agreements]]", "[agreements]", {"agreed": "A1"}),
    ],
)
def test_what_is_blank_is_said_where_it_stands_alone(
    job_folder: Path, file: str, old: str, new: str, mention: dict[str, str]
) -> None:
    """And not at each mention: any may be meant."""
    changed(job_folder / file, old, new)
    assert said(job_folder, **({"who": "", "agreed": ""} | mention)) == []
    assert [found.at.file for found in read_job(job_folder)[1] if found.level == "error"] == [file]


def test_what_else_is_wrong_with_a_line_is_said_in_the_same_run(job_folder: Path) -> None:
    """And the lines behind it keep the numbers by which they are called."""
    rows = "2026-03-09,XY,9,restuffed,A7\n2026-03-10,AB,all others,cleaned,A1\n"
    (job_folder / "work.csv").write_text("date,who,parts,done,agreed on\n" + rows, encoding="utf-8")
    job, findings = read_job(job_folder)
    said = {(found.code, found.at.column) for found in findings if found.at.file == "work.csv"}
    assert said == {
        ("unknown-person", 12),
        ("unknown-part", 15),
        ("unknown-word", 17),
        ("unknown-agreement", 27),
    }
    assert job is not None and [row.number for row in job.work] == [2]
