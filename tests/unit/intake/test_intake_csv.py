"""Tables as spreadsheet programs write them, against Python's own csv module (RFC 4180 and its dialects)."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.intake.csvtext import MOST_CELLS, MOST_OPEN, OpenQuote, Row, rows
from dossier.intake.entries import Entry
from dossier.intake.folder import read_job
from dossier.intake.letters import decoded, doubts
from dossier.intake.report import Report
from dossier.intake.schema import TABLES
from dossier.intake.tables import csv_entries

FIELDS = TABLES["measurements"]
PLAIN = st.characters(min_codepoint=32, max_codepoint=0x2FF, exclude_characters="\x7f\x85")
CELL = st.text(st.one_of(PLAIN, st.sampled_from(';,\t"\n')), max_size=12)
WIDE = st.text(
    st.one_of(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), st.sampled_from(';,\t"\n')),
    max_size=12,
)
LATIN = st.text(
    st.one_of(st.characters(codec="cp1252", exclude_categories=["Cc"]), st.just("\n")), max_size=12
)


def written(table: list[list[str]], separator: str, newline: str, quoting: int) -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=separator, lineterminator=newline, quoting=quoting).writerows(table)
    return out.getvalue()


def rows_of(text: str, separator: str) -> list[Row]:
    """Where every quotation mark is closed."""
    return [row for row in rows(text, separator) if not isinstance(row, OpenQuote)]


def plain(entries: list[Entry]) -> list[dict[str, str]]:
    return [{name: str(cell.raw) for name, cell in entry.cells.items()} for entry in entries]


def expected(table: list[list[str]]) -> list[dict[str, str]]:
    """Rows as dictionaries without blank cells, except the needed ones; rows all blank left out."""
    found = []
    for row in table:
        if any(cell.strip() for cell in row):
            pairs = zip(FIELDS, row, strict=False)
            found.append({field.name: cell for field, cell in pairs if cell.strip() or field.needed})
    return found


@settings(deadline=None, max_examples=150)
@given(
    table=st.lists(st.lists(WIDE, min_size=7, max_size=7), max_size=5),
    separator=st.sampled_from(",;\t"),
    newline=st.sampled_from(["\r\n", "\n", "\r"]),
    quoting=st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]),
)
def test_a_table_in_any_dialect_and_encoding_reads_back_equal(
    table: list[list[str]], separator: str, newline: str, quoting: int, encoding: str
) -> None:
    head = [field.heading for field in FIELDS]
    if newline == "\r":  # Python's writer leaves a line feed bare then, which no spreadsheet program does
        quoting = csv.QUOTE_ALL
    text = written([head, *table], separator, newline, quoting)
    report = Report()
    entries = csv_entries(decoded(text.encode(encoding)) or "", "measurements.csv", FIELDS, report)
    assert plain(entries) == expected(table)
    assert report.findings == []


@settings(deadline=None, max_examples=60)
@given(table=st.lists(st.lists(LATIN, min_size=7, max_size=7), max_size=4))
def test_windows_1252_reads_back_equal(table: list[list[str]]) -> None:
    head = [field.heading for field in FIELDS]
    text = written([head, ["\xe9t\xe9", *[""] * 6], *table], ";", "\r\n", csv.QUOTE_MINIMAL)
    data = text.encode("cp1252")
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        if "Shift-JIS" in str(
            doubts(data)
        ):  # made-up signs may be Japanese; running texts: test_intake_letters
            return
        entries = csv_entries(decoded(data) or "", "measurements.csv", FIELDS, Report())
        assert plain(entries) == expected([["\xe9t\xe9", *[""] * 6], *table])


@settings(deadline=None, max_examples=150)
@given(text=st.text(st.sampled_from('ab",;\t\r\n '), max_size=40), separator=st.sampled_from(",;\t"))
def test_any_text_gives_the_cells_python_gives(text: str, separator: str) -> None:
    """Where Python's reader in strict mode takes the text at all."""
    try:
        theirs = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True))
    except csv.Error:
        return
    ours = [[cell.text for cell in row.values()] for row in rows_of(text, separator)]
    assert ours == [row for row in theirs if any(cell.strip() for cell in row)]


def test_lines_and_columns_are_those_an_editor_shows() -> None:
    text = 'what,value\r\n"two\r\nlines",3\r\nwidth, 4\r'
    found = [(cell.line, cell.column, cell.text) for row in rows_of(text, ",") for cell in row.values()]
    assert found == [
        (1, 1, "what"),
        (1, 6, "value"),
        (2, 1, "two\r\nlines"),
        (3, 8, "3"),
        (4, 1, "width"),
        (4, 7, " 4"),
    ]


def test_headings_in_any_case_order_and_spelling() -> None:
    text = "VALUE ;  Plus_Minus; What;;\n3,5;0,1;width;;\n\n;;;;\n"
    entries = csv_entries(text, "m.csv", FIELDS, Report())
    assert plain(entries) == [{"value": "3,5", "plus_minus": "0,1", "what": "width"}]


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16"])
def test_a_mark_before_the_mark_is_no_part_of_the_first_heading(encoding: str) -> None:
    """Python's codecs write one U+FEFF themselves; the other came with the text (Unicode 23.8)."""
    assert decoded("\ufeffwhat,value\n".encode(encoding)) == "what,value\n"


def test_the_separator_a_spreadsheet_names_itself() -> None:
    entries = csv_entries("sep=;\nwhat;value\nwidth;3\n", "m.csv", FIELDS, Report())
    assert plain(entries) == [{"what": "width", "value": "3"}]
    assert entries[0].at.line == 3


def test_a_decimal_comma_does_not_make_the_comma_the_separator() -> None:
    entries = csv_entries("what;value, net;unit\nwidth;3,5;mm\n", "m.csv", FIELDS, Report())
    assert plain(entries)[0]["unit"] == "mm"


def test_a_short_row_is_blank_at_its_end_and_a_long_one_is_said() -> None:
    report = Report()
    entries = csv_entries("what,value\nwidth\nheight,3,,x\n", "m.csv", FIELDS, report)
    assert plain(entries) == [{"what": "width"}, {"what": "height", "value": "3"}]
    assert [(f.code, f.at.line, f.at.column) for f in report.findings] == [("cell-without-heading", 3, 11)]


def test_a_row_of_a_million_separators_is_bounded() -> None:
    (row,) = rows_of("," * 1_000_000 + "x", ",")
    assert len(row) == MOST_CELLS + 1
    assert row[MOST_CELLS].text == "x"


@pytest.mark.parametrize(
    ("text", "lines", "opened"),
    [
        ('a,b\nc,"d\ne', [1], [(2, 3, 0)]),
        ('a,b\nc,"d\ne,f\n"g",h\n', [1, 3, 4], [(2, 3, 3)]),
        ('a,b\nc,"d,\ntwo\n"g",h\ni,"j, k"\n', [1, 4, 5], [(2, 3, 4)]),
        ('a,b\nc,"d\ne,f\n"g,h\ni,j\n', [1, 3, 5], [(2, 3, 3), (4, 1, 5)]),
        ('a,b\nc,"d\ne,"f\n\ng,h\n', [1, 5], [(2, 3, 5), (3, 3, 5)]),
        ('a,"b\nc,d\n', [], [(1, 3, 0)]),
        ('a,b,c\n1,"two,"three, 3"\n"old" strap,4,5\n', [1, 3], [(2, 3, 3)]),
    ],
)
def test_a_quotation_mark_that_is_not_closed_leaves_the_other_rows(
    text: str, lines: list[int], opened: list[tuple[int, int, int]]
) -> None:
    found = list(rows(text, ","))
    marks = [row for row in found if isinstance(row, OpenQuote)]
    assert [(mark.line, mark.column, mark.goes_on) for mark in marks] == opened
    assert [row[0].line for row in found if not isinstance(row, OpenQuote)] == lines


def test_a_quotation_mark_in_the_headings_that_is_not_closed_is_the_one_finding() -> None:
    report = Report()
    assert csv_entries('"what,value\nwidth,3\n', "m.csv", FIELDS, report) == []
    assert [(f.code, f.at.line, f.at.column) for f in report.findings] == [("quote-not-closed", 1, 1)]


def test_a_text_of_quotation_marks_is_not_read_to_its_end() -> None:
    *_, last = rows("a,b\n" + 'c,"d\n' * 3 * MOST_OPEN, ",")
    assert last == OpenQuote(MOST_OPEN + 1, 3)


def test_a_mac_writes_letters_of_its_own_with_its_own_ends_of_lines() -> None:
    """By the table of Unicode's vendor mappings, APPLE/ROMAN.TXT (values from memory)."""
    assert decoded(b"B\x9fgel\rR\x8ader\rSto\xa7\rcaf\x8e\r") == "Bügel\rRäder\rStoß\rcafé\r"
    assert decoded(b"B\xfcgel\r\nR\xe4der\r\n") == "Bügel\r\nRäder\r\n"
    assert decoded("Bügel\rRäder\r".encode()) == "Bügel\rRäder\r"


@pytest.mark.parametrize("text", ["", "\r\n\r\n", ";;;;\r\n;;;;\r\n", ",,\n", '"";""\n'])
def test_a_table_that_was_saved_empty_has_no_rows_and_no_fault(job_folder: Path, text: str) -> None:
    (job_folder / "photos.csv").write_bytes(text.encode())
    assert [found.code for found in read_job(job_folder)[1]] == []
