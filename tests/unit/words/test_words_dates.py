"""Dates in English, which are written here, as CLDR has them: against Babel's data for Great Britain."""

from __future__ import annotations

import datetime as dt

import pytest
from babel.dates import format_date, format_skeleton
from hypothesis import given
from hypothesis import strategies as st

from dossier.words.dates import long_date, short_date


@given(st.dates())
def test_every_day_is_written_as_cldr_has_it(day: dt.date) -> None:
    assert long_date("en", day.isoformat()) == format_date(day, "long", "en_GB")
    short = short_date("en", day.isoformat())
    assert short.replace("\u00a0", " ") == format_date(day, "medium", "en_GB")
    month = day.isoformat()[:7]
    assert long_date("en", month) == format_skeleton("yMMMM", day, locale="en_GB")
    assert short_date("en", month).replace("\u00a0", " ") == format_skeleton("yMMM", day, locale="en_GB")


@pytest.mark.parametrize("text", ["", "2026", "2026-02-30", "2026-13", "0000-01-01", "c. 1880", "26-1-1"])
def test_what_is_no_day_stays_as_it_is(text: str) -> None:
    assert long_date("en", text) == text == short_date("en", text)
