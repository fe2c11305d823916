"""Dates, numbers and plurals by language (CLDR data through Babel, imported where first needed)."""

from __future__ import annotations

import datetime as dt
import re

# Day before month, as everywhere but in one country.
_LOCALES = {"en": "en_GB"}
_DAY = re.compile(r"^(\d{4})-(\d{2})-(\d{2})$")
_MONTH = re.compile(r"^(\d{4})-(\d{2})$")
_MOMENT = re.compile(r"^(\d{4}-\d{2}-\d{2})T(\d{2}:\d{2}:\d{2})(?:\.\d+)?\+00:00$")
# Fields of a sentence and labels of a row that are days: where the result of a check is filled.
DAYS = frozenset(
    {"date", "since", "until", "end", "issued", "expires", "lost", "received", "returned", "signed_on"}
)
# A sum of two decimals alone with its currency: in other words "3.40" may be a day or an hour.
_PRICE = re.compile(
    r"(?:(?:[A-Z]{3}|[$\u00a3\u00a5\u20ac])\s?\d+\.\d{2}|\d+\.\d{2}\s?(?:[A-Z]{3}|[$\u00a3\u00a5\u20ac]))"
)
_TYPED_DECIMAL = re.compile(
    r"(?<![\d.,'\u2019])0{0,9}((?:0|(?<=0)[1-9]\d{0,2}|\d{4,15})\.\d{3}|\d{1,15}\.(?:\d{1,2}|\d{4,15}))"
    r"(?![.,'\u2019]?\d)"
)
_ELIDED = {"il": "l", "al": "all", "dal": "dall", "del": "dell"}
_ELIDING = re.compile(r"\b(il|al|dal|del) (?=(?:8|11) [a-z]+ \d{4})")


_ENGLISH = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_CUT_SHORT = {"September": "Sept"}  # others to three letters


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


def typed_number(language: str, text: str) -> str:
    """The same of numbers in a text as somebody typed it, each where it can be nothing but a decimal.

    One with three figures behind the full stop is a thousand to many (1.400) and stays as it is, as does what
    has other marks in it; a 0 in front says that it is none (`trade.values.amount`), and is left out.
    """
    return _TYPED_DECIMAL.sub(lambda found: written_number(language, found[1]), text)


def typed_price(language: str, text: str) -> str:
    """The same of a text that is nothing but one sum with its currency; any other stays as it is typed."""
    return typed_number(language, text) if _PRICE.fullmatch(text.strip()) else text


def long_date(language: str, text: str) -> str:
    """An ISO date, month or year as a reader of `language` writes it; anything else unchanged."""
    return _written(language, text, "long", "yMMMM")


def written(language: str, name: str, value: object) -> object:
    """A day or moment of ISO 8601 in a field that is one by its name, as a reader of `language` writes it."""
    if name not in DAYS or not isinstance(value, str | dt.date):
        return value
    moment = _MOMENT.match(str(value))
    day, time = moment.groups() if moment else (str(value), "")
    return long_date(language, day) + (f" {time} UTC" if time else "")


def fitted(language: str, text: str) -> str:
    """A sentence with a date in it: Italian elides before otto and undici (l’8 marzo 2026)."""
    return _ELIDING.sub(lambda found: f"{_ELIDED[found[1]]}’", text) if language == "it" else text


def short_date(language: str, text: str) -> str:
    """The same as a column of a table has it, with the month cut short, on one line."""
    said = _written(language, text, "medium", "yMMM")
    return said if said == text else said.replace(" ", "\u00a0")


def _in_english(text: str, *, short: bool) -> str:
    """As CLDR has it (en-GB), since Babel and its data take a hundredth of a compile to come in."""
    try:
        date = dt.date.fromisoformat(text if len(text) > len("2000-01") else f"{text}-01")
    except ValueError:
        return text
    month = _ENGLISH[date.month - 1]
    if short:
        month = _CUT_SHORT.get(month, month[:3])
    day = f"{date.day} " if len(text) > len("2000-01") else ""
    return f"{day}{month} {date.year}"


def _written(language: str, text: str, of_day: str, of_month: str) -> str:
    """By the names that CLDR has for the length of a date (UTS 35, part 4); in French the first is 1er."""
    day, month = _DAY.match(text), _MONTH.match(text)
    if not day and not month:
        return text
    if language == "en":
        return _in_english(text, short=of_day == "medium")
    from babel.dates import format_date, format_skeleton  # noqa: PLC0415 - only where pages are drawn

    locale = _LOCALES.get(language, language)
    try:
        if day:
            said = str(format_date(dt.date(*(int(part) for part in day.groups())), of_day, locale))
            return said.replace("1 ", "1er ", 1) if language == "fr" and said.startswith("1 ") else said
        return str(format_skeleton(of_month, dt.date(int(text[:4]), int(text[5:]), 1), locale=locale))
    except ValueError:
        return text
