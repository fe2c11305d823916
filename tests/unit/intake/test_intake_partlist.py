"""Which parts a cell means. The expected lists are written out by hand."""

from __future__ import annotations

import pytest

from dossier.intake.partlist import Register, names_others
from dossier.intake.report import Report
from dossier.model.finding import At

REGISTER = Register(("1", "2", "3", "4", "5", "7", "7a", "12.1", "A-3"))
AT = At("work.csv", 2, 5)


def read(typed: str) -> tuple[str, ...]:
    report = Report()
    found = REGISTER.parts(typed, AT, report)
    return found if not report.findings else tuple(finding.code for finding in report.findings)


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("3", ("3",)),
        ("3; 4", ("3", "4")),
        ("3,4", ("3", "4")),
        ("3 and 7A", ("3", "7a")),
        ("3-5", ("3", "4", "5")),
        ("3 – 5; 7a", ("3", "4", "5", "7a")),
        ("3 to 5, 1", ("3", "4", "5", "1")),
        ("4; 3-5", ("4", "3", "5")),
        ("All", REGISTER.numbers),
        ("all except 3", ("1", "2", "4", "5", "7", "7a", "12.1", "A-3")),
        ("All parts, except 1-5 and 12.1", ("7", "7a", "A-3")),
        ("everything except for 1; 7; 7a; 12.1; a-3", ("2", "3", "4", "5")),
        ("all except 6", ("unknown-part",)),
        ("all except 3; 99", ("unknown-part",)),
        ("all except 1-5; 7; 7a; 12.1; A-3", ("no-part-left",)),
        ("all except 12,1", ("parts-unclear",)),
        ("all except ;", ("exception-unclear",)),
        ("all except", ("exception-unclear",)),
        ("all except all except 3", ("exception-unclear",)),
        ("all but 3", ("exception-unclear",)),
        ("all others except 2", ("exception-unclear",)),
        ("all, exept 3", ("exception-unclear",)),
        ("3; all except 4", ("exception-unclear",)),
        ("everything without 3 and 4", ("exception-unclear",)),
        ("12.1", ("12.1",)),
        ("a-3", ("A-3",)),
        ("12,1", ("parts-unclear",)),
        ("No. 12,1", ("parts-unclear",)),
        ("12,1; 3", ("parts-unclear",)),
        ("all except no. 12,1", ("parts-unclear",)),
        ("1,2,3", ("1", "2", "3")),
        ("12,1, 3", ("parts-unclear",)),
        ("all except 12,1, 3", ("parts-unclear",)),
        ("all except #3.0", ("1", "2", "4", "5", "7", "7a", "12.1", "A-3")),
        ("all except 5-3", ("unknown-part",)),
        ("all except 1; 5-3", ("unknown-part",)),
        ("#3.0", ("3",)),
        ("1,2", ("1", "2")),
        ("5-7", ("unknown-part",)),
        ("5-3", ("unknown-part",)),
        ("3-999999", ("unknown-part",)),
        ("8; 9", ("unknown-part", "unknown-part")),
        ("3、4", ("3", "4")),
        ("3〜5", ("3", "4", "5")),
        ("the strap", ("unknown-part",)),
        ("everything", REGISTER.numbers),
        ("all parts", REGISTER.numbers),
        ("part 3", ("3",)),
        ("No. 3 and #4", ("3", "4")),
        ("parts 3-5", ("3", "4", "5")),
        ("3 bis 5", ("3", "4", "5")),
        ("3 through 5", ("3", "4", "5")),
        ("3.0", ("3",)),
        ("12.0", ("unknown-part",)),
        ("north 3", ("unknown-part",)),
        ("apart 3", ("unknown-part",)),
    ],
)
def test_parts(typed: str, expected: tuple[str, ...]) -> None:
    assert read(typed) == expected


def test_nothing_is_said_of_a_register_that_could_not_be_read() -> None:
    report = Report()
    report.not_all("parts")
    assert Register(()).parts("3-5; 8", AT, report) == ()
    assert report.findings == []


def test_none_is_named_where_one_that_is_excepted_is_wrong() -> None:
    """Else the others would be taken for all that is meant."""
    assert REGISTER.parts("all except 3; 99", AT, Report()) == ()
    half_read = Report()
    half_read.not_all("parts")
    assert REGISTER.parts("all except 3; 99", AT, half_read) == ()
    assert Register(("1",)).parts("all except 1", AT, half_read) == ()
    assert half_read.findings == []


def test_an_exception_from_nothing_is_said_once() -> None:
    report = Report()
    empty = Register(())
    empty.parts("all except 3; 4", AT, report)
    empty.parts("5", AT, report)
    assert [finding.code for finding in report.findings] == ["unknown-part"]


def test_a_part_may_be_called_so() -> None:
    named = Register(("1", "all except 1", "but 2", "everything"))
    assert named.parts("everything", AT, Report()) == ("everything",)
    report = Report()
    assert named.parts("all except 1", AT, report) == ("all except 1",)
    assert named.parts("1; but 2", AT, report) == ("1", "but 2")
    assert report.findings == []


def test_what_is_excepted_may_be_nought_or_unclear() -> None:
    report = Report()
    assert Register(("0", "1", "2")).parts("all except 0-0", AT, report) == ("1", "2")
    assert report.findings == []
    assert Register(("1", "12", "12.1")).parts("all except 12,1", AT, report) == ()
    assert [finding.code for finding in report.findings] == ["parts-unclear"]
    assert Register(("1a", "12")).parts("12,1a", AT, Report()) == ("12", "1a")


@pytest.mark.parametrize(
    "typed",
    [
        *("12,1", "no.12,1", "No.12,1", "nr.12,1", "part12,1", "#12,1", "3; no.12,1", "all except no.12,1"),
        *("3 ,12,1", "A12,1", "12,1a", "No. 9,0", "12,1\t", "12,1-12,1", "12,1–3", "12,1-9; 3", "(12,1)"),
        *("12,1/12,1", "12,1+3", "12,1.", "12,1(left)", "12,1: 3", "12,1,12,1", "3;12,1-9", "B-9,1"),
    ],
)
def test_a_decimal_comma_however_it_is_called(typed: str) -> None:
    report = Report()
    numbers = ("1", "3", "12", "12.1", "A12", "A12.1", "1a", "12.1a", "9", "0", "B-9.1")
    assert Register(numbers).parts(typed, AT, report) == ()
    assert [finding.code for finding in report.findings] == ["parts-unclear"]


@pytest.mark.parametrize("typed", ["1,2,3", "12, 1", "12 ,1", "A12,3", "12,3", "1,12.1"])
def test_parts_with_a_comma_between(typed: str) -> None:
    report = Report()
    assert len(Register(("1", "2", "3", "12", "12.1", "A12")).parts(typed, AT, report)) > 1
    assert report.findings == []


def test_ranges_beside_an_error_are_bounded_too() -> None:
    """Their lines are worked out again, since what is wrong is said at each."""
    report = Report()
    register = Register(tuple(map(str, range(1, 20_001))))
    for _ in range(200):
        register.parts("1-20000; x", AT, report)
    codes = [finding.code for finding in report.findings]
    assert codes == ["unknown-part"] * 100 + ["too-many-named"]


def test_ranges_beyond_any_register_are_unknown_and_not_too_many() -> None:
    report = Report()
    register = Register(("1", "2", "3"))
    assert register.parts("1-999999; 2-999999; 3-999999", AT, report) == ()
    assert register.parts("3", AT, report) == ("3",)
    assert {finding.code for finding in report.findings} == {"unknown-part"}


def test_ranges_that_go_over_and_over_are_bounded() -> None:
    report = Report()
    numbers = tuple(map(str, range(1, 20_001)))
    typed = "; ".join(f"{n}-20000" for n in range(1, 200))
    register = Register(numbers)
    assert register.parts(typed, AT, report) == ()
    assert register.parts("3", AT, report) == ()  # as the hint says: this and all later lines name none
    assert [finding.code for finding in report.findings] == ["too-many-named"]


def test_very_many_spaces_are_read_at_once() -> None:
    """As many took half a minute, where spaces were looked for around what parts two numbers."""
    assert read("2" + " " * 30_000 + "x") == ("unknown-part",)
    assert read("3" + " " * 30_000 + "; 4" + " " * 30_000) == ("3", "4")


@pytest.mark.parametrize(
    ("typed", "parts"),
    [
        ("alle", "1 2 3 4 5"),
        ("Alle Teile", "1 2 3 4 5"),
        ("toutes", "1 2 3 4 5"),
        ("すべて", "1 2 3 4 5"),
        ("alle außer 3", "1 2 4 5"),
        ("alles ausser 3; 4", "1 2 5"),
        ("tous sauf 1-3", "4 5"),
        ("tutti tranne 5", "1 2 3 4"),
        ("todas menos 5", "1 2 3 4"),
        ("1 bis 3 und 5", "1 2 3 5"),
        ("1, 2 e 3", "1 2 3"),
        ("1 a 3 e 5", "1 2 3 5"),
        ("1, 2 y 5", "1 2 5"),
        ("1と3", "1 3"),
        ("1 et 2", "1 2"),
        ("3+4", "3 4"),
        ("Teil 3", "3"),
        ("élément 3; éléments 4", "3 4"),
        ("部材3、4", "3 4"),
    ],
)
def test_parts_as_they_are_written_in_other_languages(typed: str, parts: str) -> None:
    report = Report()
    register = Register(("1", "2", "3", "4", "5"))
    assert register.parts(typed, AT, report) == tuple(parts.split())
    assert Register(("1", "et", "und-1")).parts("1; et; und-1", AT, report) == ("1", "et", "und-1")
    assert report.findings == []
    assert names_others("Alle übrigen") and not names_others("alle")


HEADED = Register(("1", "20", "21", "22", "23", "3"), headed={"20": ("21", "22", "23")})


@pytest.mark.parametrize(
    ("typed", "parts"),
    [
        ("all except 22", ("1", "21", "23", "3")),  # work on the heading would be work on 22 too
        ("all except 20", ("1", "3")),  # and what is under it
        ("all except 3", ("1", "20", "21", "22", "23")),
        ("all", HEADED.numbers),
        ("20", ("20",)),
    ],
)
def test_an_exception_is_of_a_heading_too(typed: str, parts: tuple[str, ...]) -> None:
    """A heading is the same pieces over again as the parts under it."""
    assert HEADED.parts(typed, AT, Report()) == parts


@pytest.mark.parametrize(
    ("typed", "parts"),
    [
        ("7.1-7.3", ("7.1", "7.2", "7.3")),
        ("7.1 to 7.2; 8", ("7.1", "7.2", "8")),
        ("9.1.1–9.1.2", ("9.1.1", "9.1.2")),
        ("all except 7.1-7.3", ("7", "8", "7.10", "9.1.1", "9.1.2")),
        ("7.1-8", None),
        ("7.1-9.1", None),
        ("7.3-7.1", None),
        ("7.1-7.4", None),
    ],
)
def test_a_range_behind_the_last_dot(typed: str, parts: tuple[str, ...] | None) -> None:
    register = Register(("7", "7.1", "7.2", "7.3", "8", "7.10", "9.1.1", "9.1.2"))
    report = Report()
    found = register.parts(typed, AT, report)
    assert [f.code for f in report.findings] == ([] if parts else ["unknown-part"])
    assert not parts or found == parts


def test_what_may_be_a_part_or_a_range_is_no_range() -> None:
    """3a and 5, or from 3 to 5?"""
    report = Report()
    register = Register(("3", "3a", "4", "5"))
    assert register.parts("3 al 5", AT, report) == ("3", "4", "5") and report.findings == []
    assert register.parts("3 a 5", AT, report) == ()
    assert [one.code for one in report.findings] == ["unknown-part"]
