"""The result of a check on screen: how its sentences stand in lines and columns.

Widths: Unicode Standard Annex 11 (wide and fullwidth letters take two columns), through unicodedata.
The space before a French colon: Imprimerie nationale, Lexique des regles typographiques (from memory).
"""

from __future__ import annotations

import datetime as dt
import unicodedata
from pathlib import Path
from typing import Any

import click
import pytest

from dossier.cli import result_text
from dossier.cli.result_text import show
from dossier.flows.verify import Asked, verify
from dossier.model.result import Check, Result
from dossier.words import LANGUAGES, Catalogue

JAPANESE = "照合した記録は、署名以後、変更されていません（record.json と manifest.sha256）。" * 4


def columns(text: str) -> int:
    return len(text) + sum(unicodedata.east_asian_width(letter) in ("W", "F") for letter in text)


def a_check(text: str, *where: str) -> Check:
    return Check(check="manifest", code="x", verdict="matches", text=text, where=where)


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "a photograph is not here: photo-001.jpg, photo-002.jpg"),
        ("fr", "a photograph is not here\u00a0: photo-001.jpg, photo-002.jpg"),
        ("ja", "a photograph is not here：photo-001.jpg、photo-002.jpg"),
    ],
)
def test_places_follow_in_the_way_of_the_language(language: str, said: str) -> None:
    check = a_check("a photograph is not here", "photo-001.jpg", "photo-002.jpg")
    assert result_text._sentence(check, Catalogue(language)) == said


@pytest.mark.parametrize("language", LANGUAGES)
def test_many_places_are_counted_and_not_listed(language: str) -> None:
    check = a_check("x", *(f"photo-{n:03}.jpg" for n in range(1, 21)))
    said = result_text._sentence(check, Catalogue(language))
    assert "photo-012.jpg" in said
    assert "photo-013.jpg" not in said
    assert "8" in said


def test_japanese_lines_are_no_wider_than_the_room_and_lose_nothing() -> None:
    lines = result_text._wrapped(JAPANESE, 92)
    assert len(lines) > 2
    assert max(map(columns, lines)) <= 92
    assert "".join(lines).replace(" ", "") == JAPANESE.replace(" ", "")


def test_no_japanese_line_begins_with_a_stop_or_ends_with_an_open_bracket() -> None:
    for room in range(20, 60):
        for line in result_text._wrapped(JAPANESE, room):
            assert line[0] not in "、。）"
            assert line[-1] != "（"


def test_a_word_is_not_parted_where_one_name_is_in_another_script() -> None:
    text = "signé par l’atelier 工房 à l’adresse indiquée sur son papier à en-tête " * 3
    words = set(text.split())
    for line in result_text._wrapped(text, 30):
        assert set(line.split()) - {*"工房"} <= words


def test_what_follows_verdicts_and_labels_stands_in_one_column(capsys: pytest.CaptureFixture[str]) -> None:
    for language in LANGUAGES:
        words = Catalogue(language)
        said = ((words.say("verify.label.job"), "|0001"), (words.say("verify.label.kept"), "|12"))
        check = a_check("x")
        result_text.show(
            Result(file="f", kind="dossier", overall="in order", checks=(check,), said=said), words
        )
        lines = capsys.readouterr().out.splitlines()
        assert len({columns(line.split("|")[0]) for line in lines if "|" in line}) == 1
        name = words.say("result.check.manifest")
        (row,) = [line for line in lines if f"{name} [x]" in line]
        assert columns(row.split(name)[0]) == 22


@pytest.mark.parametrize(
    ("file", "named"),
    [
        ("record-withdrawn/statement.json", "signature of the statement"),
        ("key-on-card/key-card.json", "signatures of the key card"),
        ("key-on-card/record.json", "signature of the record"),
        ("receipt-signed/receipt.json", "signature of the statement"),
        ("statement-not-in-order/statement.json", "signature of the statement"),
    ],
)
def test_check_4_is_named_for_what_was_given(file: str, named: str, capsys: Any) -> None:
    path = Path(__file__).parents[2] / "vectors" / "keycard" / "record" / file
    show(verify(path, Asked(today=dt.date(2026, 12, 24))), Catalogue("en"))
    (line,) = [one for one in capsys.readouterr().out.splitlines() if one.startswith("   4 ")]
    assert named in line


def test_a_broken_statement_is_not_called_a_record(capsys: Any) -> None:
    path = Path(__file__).parents[2] / "vectors/keycard/record/statement-not-in-order/statement.json"
    show(verify(path, Asked(today=dt.date(2026, 12, 24))), Catalogue("en"))
    said = capsys.readouterr().out.partition("   4 ")[2].partition("What this check")[0]
    assert "does not hold" in said
    assert "record" not in said.partition("   5 ")[0]


UNTOLD = {
    "folder": ["same-object", "true-words", "owner", "later-correction"],
    "code": ["rest-of-paper", "later-correction", "same-object-and-owner", "true-words"],
    "statement": ["true-words", "later-statement"],
    "key card": ["who-they-are", "later-card"],
}


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("kind", UNTOLD)
def test_machines_are_told_what_no_check_can_tell_by_stable_codes(language: str, kind: Any) -> None:
    result = Result(file="x", kind=kind, overall="in order", checks=())
    plain = result_text.for_machines(result, Catalogue(language))
    assert [one["code"] for one in plain["cannot_tell"]] == UNTOLD[kind]
    unread = Result(file="x", kind=kind, overall="unreadable", checks=())
    assert result_text.for_machines(unread, Catalogue(language))["cannot_tell"] == []


def test_a_narrow_terminal_breaks_no_line_a_second_time(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """shutil.get_terminal_size: the variable COLUMNS goes before the terminal."""
    long = Check(check="container", verdict="matches", code="c", text="words " * 60)
    result = Result(file="a.pdf", kind="dossier", overall="not confirmed", checks=(long,), trial_key=True)
    monkeypatch.setenv("COLUMNS", "60")
    widths = []
    for terminal in (True, False):
        monkeypatch.setattr("sys.stdout.isatty", lambda terminal=terminal: terminal)
        result_text.show(result, Catalogue("en"))
        widths.append(max(map(len, click.unstyle(capsys.readouterr().out).splitlines())))
    assert widths[0] <= 60 < widths[1] <= 100


@pytest.mark.parametrize("blank", [" ", "\u2800", "\u3164"], ids=ascii)
def test_signed_words_fill_no_line_of_their_own(blank: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A stranger's name, blown up with blanks to the width of a terminal, stood as an answer of the check.

    U+2800 and U+3164 are a sign and a letter by the Unicode Character Database, and leave nothing on paper.
    """
    name = (
        "Two Benches"
        + blank * 67
        + "5  matches         whose key it is \u00a0 [key-confirmed] "
        + "x" * 1_000_000
    )
    show(
        Result(file="f", kind="record", overall="not confirmed", checks=(a_check("x"),), workshop=name),
        Catalogue("en"),
    )
    shown = capsys.readouterr().out
    assert "  Workshop  Two Benches 5 matches whose key it is [key-confirmed]" in shown
    assert len(shown) < 2000


@pytest.mark.parametrize("letters", ["x" * 250, "名" * 250, "名" + "x" * 250], ids=["x", "wide", "both"])
def test_no_word_is_too_long_for_its_column(letters: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A terminal would break it, and begin its next line with what the stranger chose."""
    checks = (a_check("x", letters),)
    show(
        Result(file="f", kind="record", overall="not confirmed", checks=checks, workshop=letters),
        Catalogue("en"),
    )
    lines = [line for line in capsys.readouterr().out.splitlines() if letters[-1] * 5 in line]
    assert len(lines) > 4 and max(map(columns, lines)) <= 100
    assert all(line.startswith("  ") for line in lines)


def test_a_digest_stands_in_one_line_also_beside_long_labels(capsys: pytest.CaptureFixture[str]) -> None:
    said = (("Earlier changes, missing, gone (pieces)", "13"), ("Digest", "ab" * 32))
    show(
        Result(file="f", kind="code", overall="not confirmed", checks=(a_check("x"),), said=said), Catalogue()
    )
    assert f"  Digest\n        {'ab' * 32}\n" in capsys.readouterr().out


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_first_line_says_that_it_is_the_pages_that_were_not_compared(
    language: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Who reads that line alone takes the pages, which are what people read, for checked."""
    for check, of_pages in (("pages against record", True), ("manifest", False)):
        one = Check(check=check, code="x", verdict="could not tell", text="x")  # type: ignore[arg-type]
        made = Result(file="f", kind="dossier", overall="not confirmed", checks=(one,), unsure=True)
        show(made, Catalogue(language))
        assert ("7" in capsys.readouterr().out.splitlines()[2]) == of_pages
