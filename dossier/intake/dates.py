"""Dates as people and spreadsheet programs write them, to ISO 8601; and part ranges that became dates.

Accepted: ISO dates, months and years; a date typed cell; local forms that can be read one way only. A form
that can be read two ways gives both readings. Nothing is guessed. The current date is never asked.
"""

from __future__ import annotations

import datetime as dt
import re

# Month names as spreadsheet programs of five languages shorten them (CLDR abbreviated months, from memory).
_MONTHS = (
    ("jan", "january", "jän", "jänner", "januar", "janv", "janvier", "gen", "gennaio", "ene", "enero"),
    ("feb", "february", "februar", "févr", "février", "febbraio", "febrero"),
    ("mar", "march", "mrz", "mär", "märz", "mars", "marzo"),
    ("apr", "april", "avr", "avril", "aprile", "abr", "abril"),
    ("may", "mai", "mag", "maggio", "mayo"),
    ("jun", "june", "juni", "juin", "giu", "giugno", "junio"),
    ("jul", "july", "juli", "juil", "juillet", "lug", "luglio", "julio"),
    ("aug", "august", "août", "ago", "agosto"),
    ("sep", "sept", "september", "septembre", "set", "settembre", "septiembre"),
    ("oct", "october", "okt", "oktober", "octobre", "ott", "ottobre", "octubre"),
    ("nov", "november", "novembre", "noviembre"),
    ("dec", "december", "dez", "dezember", "déc", "décembre", "dic", "dicembre", "diciembre"),
)
MONTHS = {name: number for number, names in enumerate(_MONTHS, 1) for name in names}

_ISO = re.compile(r"(\d{4})(?:-(\d{1,2})(?:-(\d{1,2}))?)?")
_ISO_TIME = re.compile(r"(\d{4}-\d{2}-\d{2})[T ]\d{2}:\d{2}(?::\d{2}(?:\.\d+)?)?")
_LOCAL = re.compile(r"(\d{1,2})\s?([./-])\s?(\d{1,2})\s?\2\s?(\d{4})")
# The year first: then the month stands before the day in every language (CLDR).
_YEAR_FIRST = re.compile(r"(\d{4})([/.])(\d{1,2})\2(\d{1,2})")
# As Japanese has it, of an era too (Unicode CLDR, Japanese calendar): the year before its first, which is 元.
_JAPANESE = re.compile(r"(\d{4}|([^\W\d_]+)(\d{1,2}|元))年(?:(\d{1,2})月(?:(\d{1,2})日)?)?")
_ERAS = {"明治": 1867, "大正": 1911, "昭和": 1925, "平成": 1988, "令和": 2018}
_SINCE = 1873  # the first year of Japan's that is one of the calendar of ISO 8601 (CLDR; Meiji 6)
_LOCAL_SHORT = re.compile(r"\d{1,2}[./-]\d{1,2}[./-]\d{2}")
_DAY_NAMED = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th|er|º)?[. -]{1,2}(?:de )?([^\W\d_]+)\.?[, -]+(?:de )?(\d{4})"
)
_NAMED_DAY = re.compile(r"([^\W\d_]+)\.? (\d{1,2})(?:st|nd|rd|th)?, ?(\d{4})")
# What a spreadsheet makes of "3-7", "12-18" or "9/64": day and month, or month and year.
_DAY_MONTH = re.compile(r"(\d{1,2})[. /-]{1,2}([^\W\d_]+)\.?(?:[ -]\d{2})?")
_MONTH_DAY = re.compile(r"(?:\d{4}年)?(\d{1,2})月(\d{1,2})日|\d{4}/(\d{1,2})/(\d{1,2})")
_MONTH_YEAR = re.compile(r"([^\W\d_]+)\.?[ -](\d{2}|\d{4})")


class UnclearDateError(ValueError):
    """A date that can be read in two ways."""

    def __init__(self, one: str, other: str) -> None:
        super().__init__(f"{one} or {other}")
        self.one = one
        self.other = other


def read_date(raw: object) -> str:
    """ISO 8601 date, month or year. Raises UnclearDateError for two readings, ValueError for none."""
    if isinstance(raw, dt.date):
        return raw.isoformat()[:10]
    text = str(raw).strip()
    if match := _ISO_TIME.fullmatch(text):
        text = match[1]
    for read in (_iso, _year_first, _japanese, _local, _named):
        if found := read(text):
            return found
    raise ValueError(text)


def looks_like_date(text: str) -> bool:
    """Figures with date separators between them, as in 3/4/26."""
    return bool(_LOCAL.fullmatch(text) or _LOCAL_SHORT.fullmatch(text))


def _iso(text: str) -> str:
    match = _ISO.fullmatch(text)
    if not match:
        return ""
    year, month, day = (int(group) if group else 0 for group in match.groups())
    if not month:
        return f"{_checked(year, 1, 1).year:04d}"
    return _checked(year, month, day or 1).isoformat()[: 10 if day else 7]


def _year_first(text: str) -> str:
    match = _YEAR_FIRST.fullmatch(text)
    return _checked(int(match[1]), int(match[3]), int(match[4])).isoformat() if match else ""


def _japanese(text: str) -> str:
    match = _JAPANESE.fullmatch(text)
    if not match:
        return ""
    written, era, of_era, month, day = match.groups()
    year = _of_era(era, int(of_era.replace("元", "1"))) if era else int(written)
    return _iso("-".join(filter(None, (f"{year:04d}", month, day))))


def _of_era(era: str, of_era: int) -> int:
    year = _ERAS.get(era, 0) + of_era
    if year < _SINCE:
        raise ValueError(era)
    return year


def _local(text: str) -> str:
    match = _LOCAL.fullmatch(text)
    if not match:
        return ""
    first, second, year = int(match[1]), int(match[3]), int(match[4])
    if match[2] == ".":  # between dots the day stands before the month in every language (CLDR)
        return _checked(year, second, first).isoformat()
    if first <= 12 and second <= 12 and first != second:
        raise UnclearDateError(
            _checked(year, second, first).isoformat(), _checked(year, first, second).isoformat()
        )
    day, month = (first, second) if second <= 12 else (second, first)
    return _checked(year, month, day).isoformat()


def _named(text: str) -> str:
    if match := _DAY_NAMED.fullmatch(text):
        day, name, year = match.groups()
    elif match := _NAMED_DAY.fullmatch(text):
        name, day, year = match.groups()
    else:
        return ""
    month = MONTHS.get(name.casefold(), 0)
    return _checked(int(year), month, int(day)).isoformat() if month else ""


def _checked(year: int, month: int, day: int) -> dt.date:
    return dt.date(year, month, day)  # ValueError when there is no such day


def range_behind(raw: object) -> tuple[int, int] | None:
    """The two numbers that a spreadsheet program probably took for this date; None when it is no date.

    "12-Dec" -> (12, 12), "Dec-18" -> (12, 18), "12/18/2026" -> (12, 18), "2026-12-18 00:00:00" -> (12, 18).
    """
    if isinstance(raw, dt.datetime | dt.date):
        return _pair(raw.month, raw.day)
    text = str(raw).strip()
    return _behind_figures(text) or _behind_names(text)


def _behind_figures(text: str) -> tuple[int, int] | None:
    if match := _LOCAL.fullmatch(text):
        return _pair(int(match[1]), int(match[3]))
    if match := _MONTH_DAY.fullmatch(text):
        return _pair(*(int(figure) for figure in match.groups() if figure))
    iso = _ISO_TIME.fullmatch(text)
    match = _ISO.fullmatch(iso[1] if iso else text)
    return _pair(int(match[2]), int(match[3])) if match and match[2] and match[3] else None


def _behind_names(text: str) -> tuple[int, int] | None:
    for pattern, month_at, figure_at in ((_DAY_MONTH, 2, 1), (_DAY_NAMED, 2, 1), (_MONTH_YEAR, 1, 2)):
        match = pattern.fullmatch(text)
        if match and (month := MONTHS.get(match[month_at].casefold(), 0)):
            return _pair(month, int(match[figure_at]) % 100)
    return None


def _pair(one: int, other: int) -> tuple[int, int]:
    return min(one, other), max(one, other)
