"""Dates in English, which are written here, and typed numbers, as CLDR has them: against Babel's data."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from babel.dates import format_date, format_skeleton
from babel.numbers import format_decimal, parse_decimal
from hypothesis import given
from hypothesis import strategies as st

from dossier.words.dates import long_date, short_date, typed_number, typed_price


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


@pytest.mark.parametrize(
    ("typed", "german"),
    [
        ("1.400", "1.400"),  # a thousand four hundred there, and more than one and less than two elsewhere
        ("1.620,00", "1.620,00"),
        ("1.234,5 mm", "1.234,5 mm"),
        ("1,234.5", "1,234.5"),
        ("1'234.5", "1'234.5"),
        ("12.5 x 3.75 cm", "12,5 x 3,75 cm"),
        ("3.5, 4.5", "3,5, 4,5"),
        ("0.125", "0,125"),
        ("021.125", "21,125"),
        ("1234.567", "1234,567"),
        ("1.2345", "1,2345"),
        ("12.3.1", "12.3.1"),
        ("2026-03-14", "2026-03-14"),
    ],
)
def test_a_number_that_somebody_typed_never_becomes_another(typed: str, german: str) -> None:
    """By the marks that CLDR has for German and for English (the number patterns of UTS 35)."""
    assert typed_number("de", typed) == german
    plain = typed_number("en", typed)
    assert plain == ("21.125" if typed == "021.125" else typed)


@pytest.mark.parametrize(
    ("typed", "german"),
    [
        ("EUR 265.00", "EUR 265,00"),
        ("\u20ac265.50", "\u20ac265,50"),
        ("80.50 CHF", "80,50 CHF"),
        ("EUR 1.265", "EUR 1.265"),
        ("EUR 1.265,00", "EUR 1.265,00"),
        ("12.05", "12.05"),
        ("14.30 Uhr", "14.30 Uhr"),
        ("am 3.4. zugesagt", "am 3.4. zugesagt"),
        ("EUR 80.00, am 12.03 bezahlt", "EUR 80.00, am 12.03 bezahlt"),
    ],
)
def test_a_price_alone_has_the_mark_of_the_language_and_other_words_stay(typed: str, german: str) -> None:
    """By the decimal mark that CLDR has for German (UTS 35)."""
    assert typed_price("de", typed) == german
    assert typed_price("en", typed) == typed


@given(
    st.decimals(0, 99_999_999, allow_nan=False, places=2),
    st.sampled_from(("de", "fr", "es", "it", "ja", "en")),
)
def test_what_babel_writes_in_a_language_stays_as_it_is(number: Decimal, language: str) -> None:
    """Also with the language's marks between thousands; of a price there are two decimals or none."""
    for pattern in ("#,##0.00", "#,##0", "0.00"):
        text = format_decimal(number, pattern, locale=language)
        said = typed_number(language, text)
        assert parse_decimal(said, locale=language) == parse_decimal(text, locale=language)
