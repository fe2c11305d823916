"""Single values: dates, words, counts, places; and dates that a spreadsheet made of something else.

Dates: ISO 8601-1:2019 calendar dates, Python's datetime as the reference. What spreadsheet programs make of
"3-7" and the like: common practice, no source.
"""

from __future__ import annotations

import datetime as dt
import re
from pathlib import PureWindowsPath

import pytest
from babel import Locale
from babel.dates import format_date
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.intake.dates import UnclearDateError, range_behind, read_date
from dossier.intake.report import Report
from dossier.intake.schema import TABLES, Field, Kind
from dossier.intake.values import convert
from dossier.model.finding import At

AT = At("work.csv", 2, 5)
YEAR_FIRST = [
    "ja",
    "zh",
    "zh_Hant",
    "ko",
    "hu",
    "en_ZA",
    "fa",
    "eu",
]  # whose shortest dates begin with the year
LOCALES = [
    "az",
    "bg",
    "cs",
    "da",
    "de",
    "de_AT",
    "de_CH",
    "en",
    "en_CH",
    "et",
    "fi",
    "fr_CH",
    "hr",
    "it_CH",
    "ka",
    "kk",
    "lv",
    "mk",
    "nb",
    "pl",
    "ro",
    "ru",
    "sk",
    "sl",
    "sr",
    "tr",
    "uk",
]
DATES = st.dates(dt.date(1000, 1, 1), dt.date(2999, 12, 31))
RAW = st.one_of(
    st.text(max_size=30),
    st.integers(),
    st.floats(),
    st.booleans(),
    st.datetimes(),
    st.dates(),
    st.times(),
    st.none(),
    st.lists(st.text(max_size=5), max_size=3),
    st.dictionaries(st.text(max_size=3), st.text(max_size=3), max_size=2),
)


def value(kind: str, raw: object) -> object:
    report = Report()
    found = convert(Field("x", kind), raw, AT, report)  # type: ignore[arg-type]
    return found if not report.findings else report.findings[0].code


@settings(deadline=None)
@given(day=DATES)
def test_every_iso_form_of_a_day_is_that_day(day: dt.date) -> None:
    assert read_date(day.isoformat()) == day.isoformat()
    assert read_date(day) == read_date(dt.datetime(day.year, day.month, day.day)) == day.isoformat()
    assert read_date(f"{day.isoformat()} 00:00:00") == day.isoformat()
    assert read_date(day.strftime("%d %B %Y")) == day.isoformat()
    assert read_date(f"{day.year:04d}-{day.month:02d}") == day.isoformat()[:7]


@settings(deadline=None)
@given(day=DATES, sign=st.sampled_from("/-"))
def test_a_local_form_is_read_one_way_or_said_to_have_two(day: dt.date, sign: str) -> None:
    day_first = f"{day.day:02d}{sign}{day.month:02d}{sign}{day.year}"
    month_first = f"{day.month:02d}{sign}{day.day:02d}{sign}{day.year}"
    for text in (day_first, month_first):
        try:
            assert read_date(text) == day.isoformat()
            assert day.day > 12 or day.day == day.month
        except UnclearDateError as unclear:
            assert day.isoformat() in (unclear.one, unclear.other)
            assert unclear.one != unclear.other


@pytest.mark.parametrize("day", [dt.date(2026, 4, 7), dt.date(2026, 12, 31), dt.date(1999, 1, 12)])
def test_between_dots_the_day_stands_first_in_every_language(day: dt.date) -> None:
    """CLDR, through Babel: none of its locales writes the month first between dots (all looked at once)."""
    dotted = re.compile(r"\d{1,2}\.\d{1,2}\.\d{4}")
    patterns = {
        date_format.pattern.replace("yy", "y").replace("yy", "y").replace("y", "yyyy")
        for name in LOCALES
        for date_format in Locale.parse(name).date_formats.values()
    }
    written = {format_date(day, pattern, locale="en") for pattern in patterns}
    found = [text for text in written if dotted.fullmatch(text)]
    assert found and all(read_date(text) == day.isoformat() for text in found)


@pytest.mark.parametrize("day", [dt.date(2026, 4, 7), dt.date(2026, 12, 31), dt.date(1999, 1, 12)])
def test_after_the_year_the_month_stands_first_in_every_language(day: dt.date) -> None:
    """CLDR, through Babel; so do spreadsheet programs in Japanese write every date into a CSV."""
    figures = re.compile(r"\d{4}([./])\d{1,2}\1\d{1,2}|\d{4}年\d{1,2}月\d{1,2}日")
    patterns = {one.pattern for name in YEAR_FIRST for one in Locale.parse(name).date_formats.values()}
    found = [text for one in patterns if figures.fullmatch(text := format_date(day, one, locale="en"))]
    assert len(found) > 2 and all(read_date(text) == day.isoformat() for text in found)


@pytest.mark.parametrize(
    "day", [dt.date(2026, 4, 7), dt.date(2019, 5, 1), dt.date(1989, 1, 7), dt.date(1912, 7, 30)]
)
def test_a_day_by_its_era(day: dt.date) -> None:
    """Era, year of it and day, against the first days of the eras by law (from memory)."""
    first = {"令和": dt.date(2019, 5, 1), "平成": dt.date(1989, 1, 8), "昭和": dt.date(1926, 12, 25)}
    first |= {"大正": dt.date(1912, 7, 30), "明治": dt.date(1868, 1, 25)}
    era = next(name for name, begun in first.items() if begun <= day)
    of_era = day.year - first[era].year + 1
    years = {str(of_era)} | ({"元"} if of_era == 1 else set())
    for year in years:
        assert read_date(f"{era}{year}年{day.month}月{day.day}日") == day.isoformat()
        assert read_date(f"{era}{year}年{day.month}月") == day.isoformat()[:7]
        assert read_date(f"{era}{year}年") == str(day.year)


@pytest.mark.parametrize("language", ["en", "en_GB", "de", "it", "es", "ja"])
@pytest.mark.parametrize("form", ["medium", "long"])
@pytest.mark.parametrize("day", [dt.date(2026, 12, 31), dt.date(2026, 3, 24), dt.date(2026, 5, 19)])
def test_a_day_as_it_is_written_out_in_a_language_of_ours(day: dt.date, form: str, language: str) -> None:
    """CLDR, through Babel."""
    assert read_date(format_date(day, form, locale=language)) == day.isoformat()


@pytest.mark.parametrize(
    "text", ["20. 2. 2026", "20th February 2026", "February 20th, 2026", "20 / 2 / 2026"]
)
def test_a_day_with_spaces_or_as_it_is_spoken(text: str) -> None:
    assert value("date", text) == "2026-02-20"


@pytest.mark.parametrize(
    "text",
    [
        "2026/02/30",
        "2026年13月1日",
        "明治5年1月1日",  # by the calendar before: Meiji 6 is the first year of the new one
        "某6年3月2日",
        "2026/3",
        "2026-02-30",
        "2026-13",
        "14/03/26",
        "soon",
        "46095",
        "31.04.2026",
        "04.25.2026",
        "0",
    ],
)
def test_what_is_no_date_is_said(text: str) -> None:
    assert value("date", text) == "date-wrong"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("about 1930", "about 1930"),
        ("1931", "1931"),
        ("03/04/2026", "date-ambiguous"),
        ("3/4/26", "date-wrong"),
    ],
)
def test_about_takes_words_but_no_unclear_figures(text: str, expected: str) -> None:
    assert value("about", text) == expected


@pytest.mark.parametrize(
    ("raw", "behind"),
    [
        ("12-Dec", (12, 12)),
        ("Dec-18", (12, 18)),
        ("07-Mar", (3, 7)),
        ("02-Apr-26", (2, 4)),
        ("12/18/2026", (12, 18)),
        ("18.12.2026", (12, 18)),
        ("2026-12-18 00:00:00", (12, 18)),
        ("2026-12-18", (12, 18)),
        (dt.datetime(2026, 12, 18), (12, 18)),
        (dt.date(2026, 3, 7), (3, 7)),
        ("18. Dez", (12, 18)),
        ("Sep-64", (9, 64)),
        ("Mai 2018", (5, 18)),
        ("2026/12/18", (12, 18)),
        ("2026年3月7日", (3, 7)),
        ("12月18日", (12, 18)),
    ],
)
def test_a_range_that_became_a_date_is_known_for_one(raw: object, behind: tuple[int, int]) -> None:
    assert range_behind(raw) == behind
    for kind in ("parts", "number", "count", "pieces", "figure"):
        assert value(kind, raw) == "range-as-date"


def test_a_date_in_a_column_of_words_is_what_a_spreadsheet_made_of_a_half() -> None:
    """1/2 typed into a cell that is not of text; in the sheet "job" a day may be meant ("next look")."""
    half = dt.datetime(2026, 1, 2)
    for sheet, code in (("parts", ["range-as-date"]), ("work", ["range-as-date"]), ("job", [])):
        report = Report()
        found = convert(Field("x"), half, At("job.xlsx", sheet=sheet, cell="H2"), report)
        assert [one.code for one in report.findings] == code
        assert found == (None if code else "2026-01-02")


def test_a_day_in_a_column_of_words_of_a_text_file_is_said_and_stays() -> None:
    for file, code in (("parts.csv", ["day-in-words"]), ("job.toml", [])):
        report = Report()
        assert convert(Field("x"), "2026/01/02", At(file, line=2, column=9), report) == "2026/01/02"
        assert [one.code for one in report.findings] == code


@pytest.mark.parametrize(
    ("kind", "wide", "plain"),
    [
        ("number", "７ａ", "7a"),
        ("number", "１２．１", "12.1"),
        ("parts", "１－３；　５", "1-3; 5"),
        ("pieces", "９／６４", (9, 64)),
        ("count", "１２", 12),
        ("date", "２０２６年３月９日", "2026-03-09"),
        ("date", "２０２６／３／９", "2026-03-09"),
    ],
)
def test_wide_figures_are_figures(kind: str, wide: str, plain: object) -> None:
    """Unicode, block FF00: a number typed with a Japanese input method had been another number than 7a."""
    assert value(kind, wide) == plain


@pytest.mark.parametrize(("stored", "shown"), [(1.1 * 3, "3.3"), (0.1 + 0.2, "0.3"), (40.2, "40.2")])
def test_the_result_of_a_sum_is_as_a_spreadsheet_shows_it(stored: float, shown: str) -> None:
    """15 significant digits (common practice of spreadsheet programs, no source)."""
    assert value("text", stored) == shown


@pytest.mark.parametrize(
    "raw", ["3-7", "12-18", "9 of 64", "9/64", "1998.12.3", "7a", "12.1", "A-12", "3; 4", "12 to 18", "2026"]
)
def test_an_honest_range_is_no_date(raw: str) -> None:
    assert range_behind(raw) is None


@pytest.mark.parametrize(
    ("kind", "raw", "expected"),
    [
        ("count", "64", 64),
        ("count", 64.0, 64),
        ("count", "64,00", 64),
        ("count", "0", "count-wrong"),
        ("count", "6.5", "count-wrong"),
        ("count", "-1", "count-wrong"),
        ("count", True, "count-wrong"),
        ("count", "9" * 12, "count-wrong"),
        ("tally", "0", 0),
        ("tally", 0.0, 0),
        ("tally", "64", 64),
        ("tally", " ", None),
        ("tally", False, "count-wrong"),
        ("tally", "-1", "count-wrong"),
        ("tally", "none", "count-wrong"),
        ("degrees", "60 °C", 60),
        ("degrees", 60, 60),
        ("degrees", "0", "degrees-wrong"),
        ("degrees", "140 F", "degrees-wrong"),
        ("degrees", True, "degrees-wrong"),
        ("pieces", "9 of 64", (9, 64)),
        ("pieces", "9/64", (9, 64)),
        ("pieces", "'9 of 64", (9, 64)),
        ("pieces", "9", (9, 0)),
        ("pieces", 9.0, (9, 0)),
        ("pieces", "65 of 64", "pieces-above-all"),
        ("pieces", "0 of 4", "count-wrong"),
        ("pieces", "5 of 0", "count-wrong"),
        ("number", 7.0, "7"),
        ("number", 12.1, "12.1"),
        ("number", "'12", "12"),
        ("number", "12,1", "number-wrong"),
        ("number", "7 a", "number-wrong"),
        ("number", "x" * 41, "number-wrong"),
        ("yes", "X", True),
        ("yes", "WAHR", True),
        ("yes", "falso", False),
        ("yes", "✓", True),
        ("yes", "ja", True),
        ("yes", "No", False),
        ("yes", True, True),
        ("yes", "maybe", "unknown-word"),
        ("at", "12.5,40", (125, 400)),
        ("at", "12,5;40 100;0", (125, 400, 1000, 0)),
        ("at", "12,5,40", "place-wrong"),
        ("at", "101,1", "place-wrong"),
        ("at", "-1,1", "place-wrong"),
        ("at", 12.5, "place-wrong"),
        ("at", "nan,1", "place-wrong"),
        ("text", "a\r\nb ", "a\nb"),
        ("text", "a\u2028b", "a\u2028b"),
        ("text", "a\x1bb", "strange-character"),
        ("text", ["a"], "wrong-type"),
        ("lines", "a\nb", ("a", "b")),
        ("lines", ["a", " "], ("a",)),
        ("lines", {"a": 1}, "wrong-type"),
        ("parts", ["3", 4], "3; 4"),
    ],
)
def test_a_value_of_each_kind(kind: str, raw: object, expected: object) -> None:
    assert value(kind, raw) == expected


def test_words_in_any_case_and_the_one_that_was_meant() -> None:
    done = next(field for field in TABLES["work"] if field.name == "done")
    report = Report()
    assert convert(done, " Fed  OR_protected ", AT, report) == "fed or protected"
    assert convert(done, "cleanded", AT, report) is None
    assert report.findings[0].hint.startswith('did you mean "cleaned"?')


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("Mended", "repaired"), ("replated", "new surface"), ("treated", ""), ("repar", "repaired")],
)
def test_no_other_work_is_proposed_because_its_letters_are_like(typed: str, meant: str) -> None:
    done = next(field for field in TABLES["work"] if field.name == "done")
    assert Report().nearest(typed, done.words) == meant


@settings(deadline=None, max_examples=300)
@given(field=st.sampled_from([f for fields in TABLES.values() for f in fields]), raw=RAW)
def test_anything_typed_is_a_value_or_a_finding(field: Field, raw: object) -> None:
    report = Report()
    found = convert(field, raw, AT, report)
    assert (found is None) or field.kind == "lines" or {f.level for f in report.findings} <= {"note"}
    assert all(finding.at == AT for finding in report.findings)


@pytest.mark.parametrize(
    ("typed", "read"), [("WAHR", "yes"), ("x", "yes"), ("faux", "no"), (True, "yes"), ("Yes", "yes")]
)
def test_yes_and_no_among_other_words(typed: object, read: str) -> None:
    covered = Field("covered", "word", ("yes", "no", "not said"))
    assert convert(covered, typed, AT, report := Report()) == read and report.findings == []
    assert convert(Field("done", "word", ("cleaned",)), typed, AT, report) is None  # no yes among these


@pytest.mark.parametrize(
    ("name", "kind"), [("key", "text"), ("earlier_records", "lines"), ("record", "text")]
)
def test_a_path_typed_on_windows_is_one_on_any_other(name: str, kind: Kind) -> None:
    """Windows takes / as well (its documentation, "Naming Files, Paths, and Namespaces")."""
    for typed in (r"..\1931-bag\record.json", str(PureWindowsPath("..", "1931-bag", "record.json"))):
        found = convert(Field(name, kind), typed, AT, Report())
        assert found in ("../1931-bag/record.json", ("../1931-bag/record.json",))
    assert convert(Field("how"), r"back\forth", AT, Report()) == r"back\forth"


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (12.345, "012.345"),
        (1.4, "1.4"),
        (1400.0, "1400"),
        (0.125, "0.125"),
        (-1.234, "-01.234"),
        (12345.678, "12345.678"),
        (1234.567, "1234.567"),
    ],
)
def test_a_cells_own_number_is_no_thousand(cell: float, text: str) -> None:
    """As text 12.345 is twelve thousand to many readers; a 0 in front says that it is not."""
    assert value("figure", cell) == text
    assert value("figure", "12.345") == "12.345"
