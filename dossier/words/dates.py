"""Dates, numbers and plurals by language (CLDR data through Babel, imported where first needed)."""

from __future__ import annotations

import datetime as dt
import re

# Day before month, as everywhere but in one country.
_LOCALES = {"en": "en_GB"}
_DAY = re.compile(r"^(\d{4})-(\d{2})-(\d{2})$")
_MONTH = re.compile(r"^(\d{4})-(\d{2})$")


def plural_form(language: str, n: int) -> str:
    """CLDR plural category of `n`. English is answered here, since it is asked on every start."""
    if language == "en":
        return "one" if n == 1 else "other"
    from babel import Locale  # noqa: PLC0415 - 60 ms, only for other languages

    return str(Locale.parse(language).plural_form(n))


def written_number(language: str, text: str) -> str:
    """A decimal number with a full stop, with the decimal mark of `language`; no digit is added or lost."""
    if language == "en" or "." not in text:
        return text
    from babel.numbers import get_decimal_symbol  # noqa: PLC0415 - only for other languages

    return text.replace(".", str(get_decimal_symbol(_LOCALES.get(language, language))))


def long_date(language: str, text: str) -> str:
    """An ISO date, month or year as a reader of `language` writes it; anything else unchanged."""
    if match := _DAY.match(text):
        from babel.dates import format_date  # noqa: PLC0415 - only where pages are drawn

        try:
            day = dt.date(*(int(part) for part in match.groups()))
        except ValueError:
            return text
        return str(format_date(day, format="long", locale=_LOCALES.get(language, language)))
    if match := _MONTH.match(text):
        from babel.dates import format_skeleton  # noqa: PLC0415 - only where pages are drawn

        try:
            day = dt.date(int(match[1]), int(match[2]), 1)
        except ValueError:
            return text
        return str(format_skeleton("yMMMM", day, locale=_LOCALES.get(language, language)))
    return text
