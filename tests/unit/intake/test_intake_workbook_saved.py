"""What a spreadsheet program leaves in a workbook that a person has worked in (seen in one, made here)."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from dossier.flows.check import check_job
from dossier.intake.folder import read_job
from dossier.intake.workbook_bounds import MOST_ROWS
from dossier.words import Catalogue


@pytest.fixture
def book(job_folder: Path, as_workbook: Callable[[Path], Path]) -> Path:
    return as_workbook(job_folder)


def changed(path: Path, change: Callable[[openpyxl.Workbook], None]) -> list[str]:
    """The codes and places that a change brings."""
    book = openpyxl.load_workbook(path)
    change(book)
    book.save(path)
    return [f"{one.code} {one.at.sheet} {one.at.cell}".strip() for one in read_job(path.parent)[1]]


def test_where_a_row_was_deleted_the_last_row_of_all_has_a_form(book: Path) -> None:
    """ECMA-376 has 1,048,576 rows; they had been more than is read, and the job could not be compiled."""

    def delete(one: openpyxl.Workbook) -> None:
        one["measurements"].row_dimensions[1_048_576].height = 12.8

    assert changed(book, delete) == []


def test_rows_by_the_hundred_thousand_are_not_opened_also_blank_ones(book: Path) -> None:
    with zipfile.ZipFile(book) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    with zipfile.ZipFile(book, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            many = b'<row r="999" />' * (MOST_ROWS + 1) if name.endswith("sheet3.xml") else b""
            archive.writestr(name, data.replace(b"</sheetData>", many + b"</sheetData>"))
    assert [one.code for one in read_job(book.parent)[1]] == ["workbook-too-big"]


def test_a_formula_whose_result_is_blank_is_a_blank_cell(book: Path) -> None:
    """ECMA-376 part 1, 18.18.11: t="str". One that was never worked out has no kind, and is said."""

    def add(one: openpyxl.Workbook) -> None:
        one["parts"]["R2"] = '=IF(1=1,"","x")'

    assert changed(book, add) == ["formula-without-result parts R2"]
    with zipfile.ZipFile(book) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    with zipfile.ZipFile(book, "w") as archive:
        for name, data in members.items():
            cell = data.replace(b'"><f>IF(', b'" t="str"><f>IF(')
            archive.writestr(name, cell)
    assert read_job(book.parent)[1] == []


@pytest.mark.parametrize(("sheet", "title"), [("parts", "works"), ("work", "Arbeiten"), ("job", "Auftrag")])
def test_a_sheet_under_another_name_is_one_error(book: Path, sheet: str, title: str) -> None:
    """Known by its headings; a work log that was not read had been a word to know, and "no work recorded"."""
    before = [(one.code, one.at) for one in check_job(book.parent, Catalogue()).findings]

    def rename(one: openpyxl.Workbook) -> None:
        one[sheet].title = title

    changed(book, rename)
    found = [one for one in check_job(book.parent, Catalogue()).findings if (one.code, one.at) not in before]
    assert [(one.code, one.at.sheet) for one in found] == [("unknown-sheet", title)]
    assert f'did you mean "{sheet}"' in found[0].hint


def test_a_copy_of_a_sheet_is_not_to_be_called_as_that_is(book: Path) -> None:
    before = [(one.code, one.at) for one in check_job(book.parent, Catalogue()).findings]

    def copy(one: openpyxl.Workbook) -> None:
        one.copy_worksheet(one["parts"]).title = "parts_2"

    changed(book, copy)
    found = [one for one in check_job(book.parent, Catalogue()).findings if (one.code, one.at) not in before]
    assert [(one.code, one.at.sheet) for one in found] == [("unknown-sheet", "parts_2")]
    assert "did you mean" not in found[0].hint


@pytest.mark.parametrize("sheet", ["parts", "job"])
def test_a_row_of_the_table_s_own_is_no_headings(book: Path, sheet: str) -> None:
    """Its headings deleted: in "seen" a part of the first row is a heading by chance."""

    def delete(one: openpyxl.Workbook) -> None:
        one[sheet].delete_rows(1)

    assert [code for code in changed(book, delete) if f" {sheet}" in code] == [f"no-headings {sheet} A1"]


@pytest.mark.parametrize(("sheet", "cell"), [("work", "A2"), ("work", "A1"), ("job", "B2"), ("job", "A1")])
def test_what_a_cell_with_an_error_holds_is_not_missing_besides(book: Path, sheet: str, cell: str) -> None:
    """A heading of that kind had been "<object object at ...>" to a reader."""
    before = [(one.code, one.at) for one in check_job(book.parent, Catalogue()).findings]

    def break_(one: openpyxl.Workbook) -> None:
        one[sheet][cell].value = "#NAME?"
        one[sheet][cell].data_type = "e"

    changed(book, break_)
    found = [one for one in check_job(book.parent, Catalogue()).findings if (one.code, one.at) not in before]
    assert [(one.code, one.at.cell) for one in found] == [("cell-error", cell)]
