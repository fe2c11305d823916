"""Merged cells of a workbook: said where they leave blank what is read, and nowhere else.

The ranges of whole files are written by openpyxl, which a sheet's XML (ECMA-376 part 1, 18.3.1.54 and
18.3.1.55) is held against.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils import get_column_letter

from dossier.intake.folder import read_job
from dossier.intake.workbook_merged import MOST_MERGED, Merged, hidden_in, hiding, merged_in, merged_of


@pytest.mark.parametrize(
    ("sheet", "cells", "said"),
    [
        ("parts", "H2:H4", True),  # down a column
        ("parts", "F3:H3", True),  # along a row
        ("parts", "H60:H62", False),  # nothing stands there
        ("parts", "A1:C1", False),  # headings: that some are missing is said by itself
        ("job", "D2:D4", False),  # the column that explains
        ("read me", "A1:C3", False),
    ],
)
def test_said_where_something_is_lost(
    sheet: str, cells: str, said: bool, job_folder: Path, as_workbook: Callable[[Path], Path]
) -> None:
    path = as_workbook(job_folder)
    book = openpyxl.load_workbook(path)
    book[sheet].merge_cells(cells)
    book.save(path)
    _, findings = read_job(job_folder)
    found = [finding for finding in findings if finding.code == "merged-cells"]
    assert bool(found) == said
    assert all(cells in finding.message and finding.at.sheet == sheet for finding in found)


def test_a_heading_over_two_lines_hides_nothing_of_a_blank_row() -> None:
    one = Merged(0, 1, 0, 2)
    assert list(hiding([one], [1, 3, 4], [0, 1])) == []
    assert list(hiding([one], [1, 2, 3], [0, 1])) == [one]


def test_a_row_that_is_blank_but_for_the_merged_cells_is_no_row() -> None:
    assert list(hiding([Merged(0, 3, 0, 4)], [1, 3, 5], [0])) == []


def test_a_column_that_is_not_read_may_be_merged_with_one_that_is() -> None:
    assert list(hiding([Merged(0, 2, 1, 2)], [1, 2], [0])) == []
    assert list(hiding([Merged(0, 2, 1, 2)], [1, 2], [0, 1])) == [Merged(0, 2, 1, 2)]


@pytest.mark.parametrize("column", [1, 26, 27, 702, 703, 16_384])
def test_ranges_are_those_that_were_written(column: int) -> None:
    letters = get_column_letter(column)
    xml = f'<x:mergeCells count="1"><x:mergeCell ref="{letters}2:{letters}9"/></x:mergeCells>'.encode()
    (one,) = merged_in(xml)
    assert one == Merged(column - 1, 2, column - 1, 9)
    assert str(one) == f"{letters}2:{letters}9"


def test_a_flood_of_ranges_is_cut() -> None:
    flood = b"".join(b'<mergeCell ref="A%d:B%d"/>' % (n, n) for n in range(1, 50_000))
    assert len(merged_in(flood)) == MOST_MERGED


def test_each_sheet_has_its_own_ranges_whatever_its_title_and_place(tmp_path: Path) -> None:
    """As openpyxl reads them back; also by another path."""
    book = openpyxl.Workbook()
    for title, cells in (("Über & <all>", "A1:B2"), ("工房", "C3:C9"), ("none", "")):
        sheet = book.create_sheet(title)
        if cells:
            sheet.merge_cells(cells)
    book.move_sheet("工房", -2)
    book.save(tmp_path / "a.xlsx")
    again = openpyxl.load_workbook(tmp_path / "a.xlsx")
    expected = {sheet.title: [str(one) for one in sheet.merged_cells.ranges] for sheet in again}
    data = (tmp_path / "a.xlsx").read_bytes()
    for change in (lambda text: text, _moved):
        book = openpyxl.load_workbook(io.BytesIO(_rewritten(data, change)), read_only=True)
        assert {sheet.title: [str(one) for one in merged_of(sheet)] for sheet in book} == expected


def _moved(text: str) -> str:
    return text.replace('Target="/xl/worksheets/', 'Target="worksheets/../worksheets/')


def _rewritten(data: bytes, change: Callable[[str], str]) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(made, "w") as new:
        for name in old.namelist():
            new.writestr(name, change(old.read(name).decode("utf-8")))
    return made.getvalue()


@pytest.mark.parametrize("edition", ["sheets without end", "strict"])
def test_a_workbook_that_the_library_does_not_read_is_told_as_such(tmp_path: Path, edition: str) -> None:
    """Of the strict edition of ECMA-376 "there is no job.xlsx with a sheet job" had been said."""
    book = openpyxl.Workbook()
    book.active.title = "job"
    book.save(tmp_path / "job.xlsx")
    data = (tmp_path / "job.xlsx").read_bytes()
    made = _rewritten(data, _strict if edition == "strict" else _flooded)
    assert (
        edition == "strict" or len(openpyxl.load_workbook(io.BytesIO(made), read_only=True).sheetnames) > 300
    )
    (tmp_path / "job.xlsx").write_bytes(made)
    (tmp_path / "workshop.toml").write_text('name = "x"', encoding="utf-8")
    assert [finding.code for finding in read_job(tmp_path)[1]] == ["workbook-unreadable"]


def _flooded(text: str) -> str:
    kind = 'xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships" r:id="rId1"'
    more = "".join(f'<sheet name="s{n}" sheetId="{n}" {kind}/>' for n in range(2, 400))
    return text.replace("</sheets>", f"{more}</sheets>", 1)


def _strict(text: str) -> str:
    for room in ("officeDocument/2006/relationships", "spreadsheetml/2006/main"):
        strict = f"http://purl.oclc.org/ooxml/{room.replace('/2006', '')}"
        text = text.replace(f"http://schemas.openxmlformats.org/{room}", strict)
    return text


def test_what_merged_cells_leave_blank_is_told_by_row() -> None:
    """Of columns that are read alone; also of a sheet that is merged as a whole."""
    assert hidden_in([Merged(0, 1, 1, 3)], [2, 3, 4], [0, 1, 5]) == {2: {0, 1}, 3: {0, 1}}
    assert hidden_in([Merged(0, 1, 16_383, 1_048_576)], [2, 9], [3]) == {2: {3}, 9: {3}}


@pytest.mark.parametrize("cells", ["A2:A3", "B2:B3", "E2:E3", "E2:F2"])
def test_what_merged_cells_leave_blank_is_not_lacking(
    cells: str, job_folder: Path, as_workbook: Callable[[Path], Path]
) -> None:
    path = as_workbook(job_folder)
    book = openpyxl.load_workbook(path)
    book["work"].merge_cells(cells)
    book.save(path)
    _, findings = read_job(job_folder)
    assert [f.code for f in findings if f.at.sheet == "work"] == ["merged-cells"]
