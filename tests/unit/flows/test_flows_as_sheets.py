"""Of a job in a workbook the sheets are named; it has no photos.csv and no [[know_it_by]]."""

from __future__ import annotations

import re
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner
from PIL import Image

from dossier.cli import program
from dossier.errors import UsageError
from dossier.flows.as_sheets import _named
from dossier.flows.check import check_job
from dossier.intake.template import new_job
from dossier.words import Catalogue

_OF_PLAIN_FILES = re.compile(r"\.csv|job\.toml|\[[a-z_]+\]")


def hints(folder: Path) -> dict[str, str]:
    return {found.code: found.hint for found in check_job(folder, Catalogue("en")).findings}


@pytest.mark.parametrize("workbook", [True, False])
def test_what_to_write_where(tmp_path: Path, workbook: bool) -> None:
    new_job(tmp_path / "job", workbook=workbook)
    if workbook:
        book = openpyxl.load_workbook(tmp_path / "job" / "job.xlsx")
        for sheet in ("know it by", "measurements"):
            book[sheet].delete_rows(2, 9)
        book.save(tmp_path / "job" / "job.xlsx")
    found = hints(tmp_path / "job")
    named = {code for code, hint in found.items() if _OF_PLAIN_FILES.search(hint)}
    assert "no-picture-before" in found
    assert ("no-picture-before" in named) == (not workbook)
    if workbook:
        assert named == set()
        assert found["no-know-it-by"].startswith("write two or three things nothing else has in the sheet")
        assert 'in the sheet "measurements"' in found["no-measurements"]


def test_a_place_among_the_lines_of_the_job() -> None:
    words = Catalogue("en")
    assert _named("write a mark under by in [looked_at]", words) == (
        'write a mark under by in the lines "looked at ..."'
    )
    marks = words.say("findings.now-photograph-marks.hint")  # it said: in the sheet "job", which has none
    assert _named(marks, words) == 'name the photograph beside the mark in the sheet "inscriptions"'
    assert _named("take it out of [[other_objects]]", words) == 'take it out of the sheet "other objects"'
    assert _named("under [[people]] in workshop.toml", words) == "under [[people]] in workshop.toml"


def test_what_is_wrong_is_said_so_too(tmp_path: Path) -> None:
    new_job(tmp_path / "job", workbook=True)
    book = openpyxl.load_workbook(tmp_path / "job" / "job.xlsx")
    book["parts"]["H2"] = "ivory"
    book.save(tmp_path / "job" / "job.xlsx")
    said = {one.code: one.message for one in check_job(tmp_path / "job", Catalogue("en")).findings}
    assert 'in the sheet "protected"' in said["species-not-named"]
    assert not any(_OF_PLAIN_FILES.search(message) for message in said.values())


@pytest.mark.parametrize("workbook", [True, False])
@pytest.mark.parametrize("option", ["--propose", "--measure"])
def test_what_a_look_at_photographs_asks_for(tmp_path: Path, workbook: bool, option: str) -> None:
    new_job(tmp_path / "job", workbook=workbook)
    Image.new("RGB", (900, 600)).save(tmp_path / "job" / "photos" / "a.jpg")
    said = CliRunner().invoke(program, ["photographs", str(tmp_path / "job"), option])
    assert said.exit_code == 0 and bool(_OF_PLAIN_FILES.search(said.output)) == (not workbook), said.output
    assert ('the sheet "' in said.output) == workbook


@pytest.mark.parametrize("workbook", [True, False])
@pytest.mark.parametrize("asked", [["receipt", "--handover"], ["labels", "--part", "99"]])
def test_what_a_paper_asks_for(tmp_path: Path, workbook: bool, asked: list[str]) -> None:
    new_job(tmp_path / "job", workbook=workbook)
    said = CliRunner().invoke(program, [asked[0], str(tmp_path / "job"), *asked[1:]]).exception
    assert isinstance(said, UsageError) and bool(_OF_PLAIN_FILES.search(said.hint)) == (not workbook)
    assert ('the sheet "' in said.hint) == workbook
