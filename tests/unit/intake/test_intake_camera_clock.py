"""How wrong a camera's clock was: what is read of it, and times put right. Offsets: the tz database's."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.intake import camera_clock
from dossier.model.job import PhotoFacts

VIENNA = ZoneInfo("Europe/Vienna")


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("1 h fast", "1 h fast"),
        ("90 minutes slow", "1 h 30 min slow"),
        ("2 days, 3 hours 15 min  Slow", "2 d 3 h 15 min slow"),
        ("1d 2h 3min 4s fast", "1 d 2 h 3 min 4 s fast"),
        *((wrong, None) for wrong in ("", "fast", "1 h", "+1:00", "0 min fast", "-1 h fast", "1 x slow")),
        *((wrong, None) for wrong in ("1 h 2 h fast", "40001 d slow", "1.5 h fast", "1 hfast", "1 h fast x")),
    ],
)
def test_what_is_read(typed, read):
    assert camera_clock.read(typed) == read


@given(st.integers(-3_456_000_000, 3_456_000_000).filter(bool))
@settings(deadline=None, max_examples=50)
def test_what_is_said_is_read_again(seconds):
    said = camera_clock.stated(seconds)
    assert camera_clock.read(said) == said


@pytest.mark.parametrize(
    ("taken", "zone", "clock", "right"),
    [
        # A camera left at winter time, in July; and one a little fast at the end of a day.
        ("2026-07-01T10:00:00.25+02:00", "job", "1 h slow", "2026-07-01T11:00:00.25+02:00"),
        ("2026-07-02T00:20:00+02:00", "job", "30 min fast", "2026-07-01T23:50:00+02:00"),
        # One that began anew at the year 2000, in winter; 9,682 days and 9 hours later it is summer.
        ("2000-01-01T00:10:00+01:00", "job", "9682 d 9 h slow", "2026-07-05T09:10:00+02:00"),
        # An offset that the file states is the camera's own, and stays.
        ("2026-01-31T23:30:00+05:45", "file", "1 h slow", "2026-02-01T00:30:00+05:45"),
        ("", "", "1 h slow", ""),
        ("0001-01-01T00:10:00+00:00", "file", "1 d fast", ""),  # before the calendar begins
    ],
)
def test_times_put_right(taken, zone, clock, right):
    facts = PhotoFacts(file="a.jpg", bytes=1, taken=taken, taken_zone=zone)
    found = camera_clock.put_right(facts, clock, VIENNA)
    assert found.taken == right
    assert found.clock == (clock if taken else "")
