"""Which parts a cell means. The expected lists are written out by hand."""

from __future__ import annotations

import pytest

from dossier.intake.partlist import Register
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
        ("All but 1-5 and 12.1", ("7", "7a", "A-3")),
        ("all except for 1; 7; 7a; 12.1; a-3", ("2", "3", "4", "5")),
        ("all except 6", ("unknown-part",)),
        ("all except all", ("no-part-left",)),
        ("all except 12,1", ("parts-unclear",)),
        ("all except", ("unknown-part",)),
        ("12.1", ("12.1",)),
        ("a-3", ("A-3",)),
        ("12,1", ("parts-unclear",)),
        ("1,2", ("1", "2")),
        ("5-7", ("unknown-part",)),
        ("5-3", ("unknown-part",)),
        ("3-999999", ("unknown-part",)),
        ("8; 9", ("unknown-part", "unknown-part")),
        ("3、4", ("3", "4")),
        ("3〜5", ("3", "4", "5")),
        ("the strap", ("unknown-part",)),
    ],
)
def test_parts(typed: str, expected: tuple[str, ...]) -> None:
    assert read(typed) == expected


def test_nothing_is_said_of_a_register_that_could_not_be_read() -> None:
    report = Report()
    report.not_all("parts")
    assert Register(()).parts("3-5; 8", AT, report) == ()
    assert report.findings == []
