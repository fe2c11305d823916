"""One cause is one finding, with what to do; what only follows from it is not said."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from dossier.intake.folder import read_job
from dossier.intake.report import Report
from dossier.intake.schema import Field
from dossier.intake.values import convert
from dossier.model.finding import At


def said(folder: Path) -> list[tuple[str, str]]:
    return [(found.code, str(found.at)) for found in read_job(folder)[1]]


@pytest.mark.parametrize(
    ("file", "row"),
    [
        ("parts.csv", "Total,,2\n"),
        ("parts.csv", ",,118,,\n"),
        ("work.csv", "Total,,,,,,41 h\n"),
        ("measurements.csv", ",310,cm\n"),
    ],
)
def test_a_row_of_totals_is_one_finding_that_says_to_take_it_out(
    job_folder: Path, file: str, row: str
) -> None:
    with (job_folder / file).open("a", encoding="utf-8") as stream:
        stream.write(row)
    (found,) = read_job(job_folder)[1]
    assert (found.code, found.at.file) == ("missing-value", file)
    assert "take the row out" in found.hint


def test_a_list_in_plain_files_is_no_row_of_totals_and_is_judged_whole(job_folder: Path) -> None:
    with (job_folder / "job.toml").open("a", encoding="utf-8") as stream:
        stream.write('\n[[values]]\nbasis = "sales"\ndate = "99"\n')
    assert [code for code, _ in said(job_folder)] == ["missing-value", "date-wrong"]


def test_of_a_heading_that_stands_twice_neither_column_is_read(job_folder: Path) -> None:
    """Which holds the names of the files nobody knows: each row had named a file that is not there."""
    rows = "file,stage,file\nthe front,received,A.jpg\nthe lid,done,B.jpg\n"
    (job_folder / "photos.csv").write_text(rows, encoding="utf-8")
    assert [one for one in said(job_folder) if "photos.csv" in one[1]] == [
        ("heading-twice", "photos.csv:1:12")
    ]


@pytest.mark.parametrize("heading", ["", "Datum der Meinung"])
def test_a_column_of_values_without_its_heading_is_not_said_of_each_row(
    job_folder: Path, as_workbook: Callable[[Path], Path], heading: str
) -> None:
    path = as_workbook(job_folder)
    book = openpyxl.load_workbook(path)
    sheet = book["values"]
    columns = {cell.value: cell.column for cell in sheet[1]}
    told = {"low": 780, "high": 950, "currency": "EUR", "date": "2026-03-02", "by": "AB", "basis": "sales"}
    for row in (2, 3):
        for name, value in told.items():
            sheet.cell(row, columns[name], value)
    book.save(path)
    assert said(job_folder) == []
    sheet.cell(1, columns["date"]).value = heading or None
    book.save(path)
    code = "unknown-heading" if heading else "heading-blank"
    assert [one[0] for one in said(job_folder)] == [code]


def test_a_quotation_mark_that_opens_among_the_headings_is_said_as_that(job_folder: Path) -> None:
    rows = 'what,"value,unit\nwidth,3,cm\n"stitches, front",7,to the inch\n'
    (job_folder / "measurements.csv").write_text(rows, encoding="utf-8")
    assert said(job_folder) == [("quote-not-closed", "measurements.csv:1:6")]


@pytest.mark.parametrize("line", ["number", "object type", "price"])
def test_an_error_in_the_name_of_a_line_is_said_once(
    job_folder: Path, as_workbook: Callable[[Path], Path], line: str
) -> None:
    """It may have been any line, also one that is needed."""
    path = as_workbook(job_folder)
    book = openpyxl.load_workbook(path)
    (cell,) = [cell for (cell, *_) in book["job"].iter_rows() if cell.value == line]
    cell.value, cell.data_type = "#REF!", "e"
    book.save(path)
    assert said(job_folder) == [("cell-error", f"job.xlsx, sheet job, cell {cell.coordinate}")]


@pytest.mark.parametrize(("kind", "day"), [("text", True), ("parts", False)])
def test_a_day_in_a_column_of_words_may_be_meant_as_that(kind: str, day: bool) -> None:
    report = Report()
    at = At("job.xlsx", sheet="parts", cell="H2")
    assert convert(Field("x", kind), dt.datetime(2026, 3, 2), at, report) is None  # type: ignore[arg-type]
    assert ("as '2026-03-02" in report.findings[0].hint) == day
    assert convert(Field("x", "text"), "2026-03-02", at, report) == "2026-03-02"
