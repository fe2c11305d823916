"""Days that cannot be, and what stands in the place of a time-stamp and is shut (FORMAT.md, check 9)."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path
from typing import Any

import msgspec
import pytest

from dossier.flows.verify import Asked, verify
from dossier.flows.verifying import days
from dossier.model.record import Payload
from dossier.seal import form
from dossier.seal import record as seal
from dossier.words import Catalogue

RECORD = Path(__file__).parents[2] / "vectors" / "record" / "key-confirmed" / "record.json"
WORDS = Catalogue("en")
NOON = dt.datetime(2026, 11, 20, 12, tzinfo=dt.UTC)
TODAY = NOON.date()
DAY = dt.timedelta(days=1)


@pytest.fixture(scope="module")
def payload() -> Payload:
    found = seal.open_record(form.from_json(RECORD.read_bytes())).payload
    return msgspec.structs.replace(found, iat=int(NOON.timestamp()))


def said(
    payload: Payload, stamped: dt.datetime | None = None, today: dt.date = TODAY
) -> dict[str, tuple[str, ...]]:
    return {one.code: one.where for one in days.look(payload, stamped, today, WORDS)}


@pytest.mark.parametrize(
    ("ahead", "is_said"), [(-400, False), (0, False), (1, False), (2, True), (9999, True)]
)
def test_a_record_signed_on_a_day_still_to_come(payload: Payload, ahead: int, is_said: bool) -> None:
    """A day to spare: at noon of a day in UTC it is another day somewhere (UTC-12 to UTC+14)."""
    later = msgspec.structs.replace(payload, iat=int((NOON + ahead * DAY).timestamp()))
    assert ("record-dated-ahead" in said(later)) == is_said


@pytest.mark.parametrize(
    ("date", "is_said"),
    [
        *(("2026-11-20", False), ("2026-11-21", False), ("2026-11-22", True), ("2026-12", True)),
        *(("2026", False), ("2027", True), ("", False), ("soon", False), ("2026-13-45", False)),
        ("9999-12-31", True),
    ],
)
def test_work_after_the_record_was_signed(payload: Payload, date: str, is_said: bool) -> None:
    row = msgspec.structs.replace(payload.work[0], date=date)
    other = msgspec.structs.replace(payload, work=(row,))
    assert said(other) == ({"rows-dated-ahead": (f"work/{row.number}: {date}",)} if is_said else {})


def test_work_after_an_outside_time_stamp(payload: Payload) -> None:
    row = msgspec.structs.replace(payload.work[0], date="2026-11-20")
    other = msgspec.structs.replace(payload, work=(row,))
    assert said(other, NOON) == {}
    assert said(other, NOON - 9 * DAY) == {"rows-dated-ahead": ("work/1: 2026-11-20",)}


def test_what_may_be_written_beforehand(payload: Payload) -> None:
    dates = msgspec.structs.replace(payload.dates, done="2026-12-01", returned="2026-12-05")
    assert said(msgspec.structs.replace(payload, dates=dates)) == {}
    dates = msgspec.structs.replace(payload.dates, received="2026-12-01")
    assert said(msgspec.structs.replace(payload, dates=dates)) == {
        "rows-dated-ahead": ("dates/received: 2026-12-01",)
    }


def test_a_clock_that_was_wrong_is_not_in_order(tmp_path: Path) -> None:
    """A reader whose clock stands at 1970 is told so of a record of 2026."""
    (tmp_path / "record.json").write_bytes(RECORD.read_bytes())
    result = verify(tmp_path / "record.json", Asked(today=dt.date(1970, 1, 1)))
    assert "record-dated-ahead" in {one.code for one in result.checks}
    assert (result.overall, result.unsure) == ("not confirmed", True)


@pytest.mark.parametrize("name", ["record.tsr", "record-evidence.json"])
@pytest.mark.parametrize("kind", ["folder", "link to itself", "link to a file", "shut"])
def test_a_time_stamp_that_cannot_be_opened(
    name: str, kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is the answer of one check, and the others are given; a statement may hide there too (check 11)."""
    place = tmp_path / name
    (tmp_path / "record.json").write_bytes(RECORD.read_bytes())
    usual = verify(tmp_path / "record.json", Asked(today=TODAY))
    if kind == "folder":
        place.mkdir()
    elif kind == "shut":
        place.write_bytes(b"x")
        shut_off(monkeypatch, place)
    else:
        place.symlink_to(place if kind == "link to itself" else tmp_path / "record.json")
    result = verify(tmp_path / "record.json", Asked(today=TODAY))
    assert [(one.code, one.where) for one in result.checks if one.number == 9] == [
        ("time-stamp-not-read", (name,))
    ]
    others = [one for one in result.checks if one.number not in (9, 11)]
    assert others == [one for one in usual.checks if one.number not in (9, 11)]


def test_a_file_of_a_dossier_folder_that_cannot_be_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from dossier.flows.verifying import folder  # noqa: PLC0415 - one use

    (tmp_path / "record.json").write_bytes(b"{}")
    shut_off(monkeypatch, tmp_path / "record.json")
    own = lambda path, _: folder.holds(path, b"{}")  # noqa: E731
    answers = folder.look(tmp_path, {"record.json"}, own, frozenset(), WORDS)
    found = {one.code: one.where for one in answers}
    assert found["file-beside-not-checked"] == ("record.json",)
    assert "file-beside-differs" not in found


def shut_off(monkeypatch: pytest.MonkeyPatch, place: Path) -> None:
    """As if its owner had shut it to others (whoever runs the tests may be able to open everything)."""
    for home in (Path, os):
        _shut_off(monkeypatch, home, place)


def _shut_off(monkeypatch: pytest.MonkeyPatch, home: Any, place: Path) -> None:
    usual = home.open

    def refused(path: Any, *given: Any, **named: Any) -> Any:
        if os.fspath(path) == str(place):
            raise PermissionError(13, "Permission denied")
        return usual(path, *given, **named)

    monkeypatch.setattr(home, "open", refused)
