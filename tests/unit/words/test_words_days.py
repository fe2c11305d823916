"""Days in the result of a check: as a reader writes them; ISO 8601 where a machine reads."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from dossier.archive.catalogue import Entry
from dossier.cli import find_command, main, result_text
from dossier.flows import ask_time
from dossier.seal.stamp_codes import StampError
from dossier.words import LANGUAGES, Catalogue, speak

RECORD = Path(__file__).parents[2] / "vectors" / "record" / "key-confirmed" / "record.json"
# CLDR, dates of the length "long" (UTS 35, part 4), written here by hand.
LONG = {
    "en": "8 March 2026",
    "de": "8. März 2026",
    "fr": "8 mars 2026",
    "it": "8 marzo 2026",
    "ja": "2026年3月8日",
    "es": "8 de marzo de 2026",
}


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_day_in_a_sentence_is_as_a_reader_writes_it(language: str) -> None:
    words = Catalogue(language, days=True)
    for value in ("2026-03-08", "2026-03-08T10:15:03.25+00:00"):
        said = words.say("stamp.code.time-stamp-before-signing", date=value)
        assert LONG[language] in said
        assert ("10:15:03 UTC" in said) == ("T" in value)
        assert value in Catalogue(language).say("stamp.code.time-stamp-before-signing", date=value)


def test_what_is_no_day_by_its_name_stays_as_it_is() -> None:
    """A record may be numbered "2026-03", and a reason given be a date."""
    words = Catalogue("en", days=True)
    values = {"date": "2026-03", "record": "2026-03", "reason": "2026-03-08", "digest": "d"}
    assert words.say("statements.line.replaced", **values) == (
        "March 2026: 2026-03-08 (replaced by 2026-03, d)"
    )
    pairs = [("record", "2026-03"), ("received", "2026-03"), ("returned", "")]
    assert words.rows("verify.label", pairs) == (("Record", "2026-03"), ("Received", "March 2026"))
    assert words.say("keycard.span", issued="2026-02-30", expires="") == "from 2026-02-30 to "


@pytest.mark.parametrize(
    ("issued", "expires", "said"),
    [
        ("2026-03-08", "2026-11-11", "dall’8 marzo 2026 all’11 novembre 2026"),
        ("2026-03-01", "2026-03-18", "dal 1 marzo 2026 al 18 marzo 2026"),
    ],
)
def test_italian_elides_before_the_eighth_and_the_eleventh(issued: str, expires: str, said: str) -> None:
    assert Catalogue("it", days=True).say("keycard.span", issued=issued, expires=expires) == said


def test_a_reader_is_told_days_in_words_and_a_machine_in_iso(capsys: Any) -> None:
    plain = json.loads(_told(capsys, "--json"))[0]
    iso = [one["text"] for one in plain["said"] if one["text"][:2] == "20" and one["text"].count("-") == 2]
    assert iso
    shown = _told(capsys)
    assert not [day for day in iso if day in shown]
    assert f"am {Catalogue('de', days=True).day(iso[-1])}" in " ".join(shown.split())


def _told(capsys: Any, *options: str) -> str:
    try:
        main([*("verify", str(RECORD), "--language", "de"), *options])
    except SystemExit:
        pass
    finally:
        speak("en")
    return str(capsys.readouterr().out)


def test_no_date_is_parted_at_the_end_of_a_line() -> None:
    text = "この記録は2026年11月26日に署名され、2026年3月8日に受け入れられました。" * 2
    for room in range(20, 60):
        for date in ("2026年11月26日", "2026年3月8日"):
            assert "\n".join(result_text._wrapped(text, room)).count(date) == 2


def test_a_time_stamp_and_a_job_that_was_found_are_dated_by_the_same_rule() -> None:
    time = dt.datetime(2026, 3, 8, 10, 15, 3, tzinfo=dt.UTC)
    assert ask_time.got(cast("Any", SimpleNamespace(authority="A", time=time))) == (
        "Time-stamp of A, 8 March 2026 10:15:03 UTC."
    )
    assert ask_time._why(StampError("clocks", time.isoformat())).startswith(
        "it says 8 March 2026 10:15:03 UTC,"
    )
    entry = Entry(bag="b", job="7", object="Chest", received="2026-03-08", returned="2026-11-11")
    assert find_command._line(entry) == "7  Chest  (8 March 2026 to 11 November 2026)"
