"""The first line of a result says the one reason, and never "something was changed" where nothing was."""

from __future__ import annotations

from typing import Literal

import msgspec
import pytest

from dossier.cli import result_text
from dossier.model.result import Check, CheckName, Overall, Result, Verdict
from dossier.words import Catalogue

WORDS = Catalogue("en")
KEY: CheckName = "key status"
LATER: CheckName = "superseded or withdrawn"


def a_check(code: str, check: CheckName, verdict: Verdict) -> Check:
    return Check(check=check, code=code, verdict=verdict)


LOST = a_check("key-lost-before", KEY, "does not match")
SHORT = a_check("signature-short-of-card", KEY, "does not match")
PAGES = a_check("pages-differ", "pages against record", "does not match")
REPORTED = a_check("object-reported-lost", LATER, "could not tell")
WITHDRAWN = a_check("record-withdrawn", LATER, "does not match")
OTHER_CODE = a_check("code-other-record", "pages against record", "does not match")
OUT_OF_DATE = a_check("key-card-out-of-date", KEY, "could not tell")
BESIDE = a_check("file-beside-differs", "attachments", "does not match")
EARLIER = [
    a_check(f"earlier-{code}", "earlier records", "could not tell")
    for code in ("record-withdrawn", "object-reported-lost", "statements-not-all-read")
]
OTHER_NAME = a_check("certificate-other-name", KEY, "could not tell")
NOT_READ = a_check("statements-not-all-read", LATER, "could not tell")
UNKNOWN = a_check("key-not-confirmed", KEY, "could not tell")


@pytest.mark.parametrize(
    ("overall", "checks", "said"),
    [
        ("altered", [LOST], "keycard.overall.key-lost-before"),
        ("altered", [SHORT], "keycard.overall.signature-short-of-card"),
        ("altered", [LOST, PAGES], "verify.overall.altered"),
        ("altered", [OTHER_CODE], "keycard.overall.code-other-record"),
        ("altered", [OTHER_CODE, PAGES], "verify.overall.altered"),
        ("altered", [BESIDE], "keycard.overall.file-beside-differs"),
        ("altered", [BESIDE, PAGES], "verify.overall.altered"),
        ("altered", [BESIDE, LOST], "verify.overall.altered"),
        ("altered", [LOST, OTHER_CODE], "verify.overall.altered"),
        ("altered", [PAGES], "verify.overall.altered"),
        ("altered", [PAGES, REPORTED], "verify.overall.altered"),
        ("superseded", [REPORTED], "keycard.overall.object-reported-lost"),
        ("superseded", [WITHDRAWN, REPORTED], "verify.overall.superseded"),
        ("superseded", [WITHDRAWN], "verify.overall.superseded"),
        ("not confirmed", [OUT_OF_DATE], "keycard.overall.key-card-out-of-date"),
        ("not confirmed", [UNKNOWN], "verify.overall.not confirmed"),
        ("not confirmed", [UNKNOWN, EARLIER[0]], "verify.overall.not confirmed"),
        ("not confirmed", [OTHER_NAME, EARLIER[0]], f"keycard.overall.{EARLIER[0].code}"),
        ("not confirmed", [OTHER_NAME, NOT_READ], "keycard.overall.statements-not-all-read"),
        *(("not confirmed", [check], f"keycard.overall.{check.code}") for check in EARLIER),
        ("in order", [], "verify.overall.in order"),
    ],
)
def test_the_first_line_says_the_one_reason(overall: Overall, checks: list[Check], said: str) -> None:
    result = Result(file="x", kind="record", overall=overall, checks=tuple(checks))
    assert result_text._headline(result, WORDS) == WORDS.say(said)


@pytest.mark.parametrize("kind", ["code", "record"])
def test_of_a_code_it_is_said_above_that_the_paper_was_not_checked(
    kind: Literal["code", "record"], capsys: pytest.CaptureFixture[str]
) -> None:
    """A picture of a whole page with a genuine code on it is in order by its code alone."""
    result_text.show(Result(file="page.jpg", kind=kind, overall="in order", checks=()), WORDS)
    top, _, _ = capsys.readouterr().out.partition(WORDS.say("result.cannot_tell"))
    assert (WORDS.say("result.code_only") in top) == (kind == "code")


@pytest.mark.parametrize("checks", [[EARLIER[0]], [UNKNOWN, EARLIER[0]]])
def test_what_it_builds_on_was_taken_back_stands_above(
    checks: list[Check], capsys: pytest.CaptureFixture[str]
) -> None:
    """Also where the key is not confirmed, which is the first reason then."""
    told = [msgspec.structs.replace(one, text=one.code) for one in checks]
    result = Result(file="x", kind="record", overall="not confirmed", checks=tuple(told))
    result_text.show(result, WORDS)
    top, _, _ = capsys.readouterr().out.partition("could not tell")
    assert "Earlier-record-withdrawn (10)" in top
