"""A job of which a line could not be read: nothing is made that depends on what may have stood there."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from dossier.errors import JobError
from dossier.flows import papers
from dossier.flows.photographs import look
from dossier.intake.template import new_job
from dossier.words import Catalogue

NOW = dt.datetime(2026, 11, 26, tzinfo=dt.UTC)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    new_job(tmp_path / "job")
    return tmp_path / "job"


def spoilt(job: Path, begins: str, instead: str) -> None:
    path = job / "job.toml"
    lines = path.read_text(encoding="utf-8").split("\n")
    at = next(n for n, line in enumerate(lines) if line.startswith(begins))
    lines[at] = instead
    path.write_text("\n".join(lines), encoding="utf-8")


@pytest.mark.parametrize(
    ("begins", "instead", "made"),
    [
        ("received =", "received = soon", False),
        ("received =", 'received "2026-03-09"', False),
        ("received =", 'received = "soon"', False),
        ("received =", 'recieved = "2026-03-09"', False),
        ("for_whom =", 'for_whom = "nobody"', True),
    ],
)
def test_a_slip_names_no_stage_that_is_in_doubt(job: Path, begins: str, instead: str, made: bool) -> None:
    spoilt(job, begins, instead)
    asked = papers.Asked(folder=job, now=NOW)
    if made:
        assert papers.make_slips(asked).is_file()
        return
    with pytest.raises(JobError, match="error"):
        papers.make_slips(asked)
    assert papers.make_slips(asked, ["received"]).is_file()  # where it is named nothing is in doubt


def test_a_slip_has_a_number_or_says_what_is_wrong_with_it(job: Path) -> None:
    spoilt(job, "number =", "number = 26 014")
    with pytest.raises(JobError) as caught:
        papers.make_slips(papers.Asked(folder=job, now=NOW), ["received"])
    assert "quotation marks" in caught.value.hint and "too long" not in str(caught.value)


def test_a_look_at_the_photographs_says_what_could_not_be_read_of_the_job(job: Path) -> None:
    """By its dates it tells which photographs are from before the work."""
    spoilt(job, "received =", "received = soon")
    assert [found.code for found in look(job, Catalogue()).findings if found.at.file == "job.toml"] == [
        "toml-syntax"
    ]
