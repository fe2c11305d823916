"""One typed cell to one value, by the kind its field has. What does not fit is said, with what to write.

Takes text (CSV), TOML values and workbook cells alike. Not done here: anything that needs another row.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import re
import unicodedata
from collections.abc import Callable
from decimal import Decimal

from dossier.intake import camera_clock, pairs
from dossier.intake.dates import UnclearDateError, looks_like_date, range_behind, read_date
from dossier.intake.report import Long, Report, listed
from dossier.intake.schema import TABLES, Field, plain_word
from dossier.model.finding import At

_NUMBER = re.compile(r"[^\W_][\w./-]*")
_COUNT = re.compile(r"(\d{1,9})(?:[.,]0+)?")
_DEGREES = re.compile(r"(\d{1,4})(?:\s?°?\s?C)?")
_NOTHING = re.compile(r"[\s?.…/_–—-]+|n\s?/\s?a\.?|n\.\s?a\.|k\.\s?a\.|s\.\s?o\.", re.IGNORECASE)
_NOTHING_IS_SAID = ("difference",)  # there it says that there is none
_NONE = frozenset(
    {"none", "nothing", "nichts", "keine", "rien", "aucun", "nada", "ninguno", "niente", "nulla"}
)
_PRICES = frozenset({"price", "spend_at_most"})
# A name or short word is one line: a break in its cell is where a spreadsheet had no more room.
_ONE_LINE = frozenset(
    {
        *("part", "material", "new_material", "made_by", "who", "product", "batch", "pair", "unit", "by"),
        *("name", "telephone", "email", "mark", "role", "type", "title", "maker.what", "made.what"),
        *("place.what", "inventory_number", "species", "permit", "metal", "karat", "base", "currency"),
        "price",
    }
)
_DAYS_IN_WORDS = ("job",)  # "next look", "wanted back"; in no other sheet is a cell of words a bare day
_PATHS = frozenset({"key", "certificate", "second_key", "key_card", "earlier_records", "record"})
_BREAK = re.compile(r"[ \t]*\n[ \t\n]*")
_OF = re.compile(r"(\d{1,9})\s*(?:of|von|sur|de|di|su|/)\s*(\d{1,9})", re.IGNORECASE)
_SHORT_YEAR = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{2})")
_LIKE_THOUSANDS = re.compile(r"(-?)([1-9]\d{0,2}\.\d{3})")
# Also as spreadsheet programs write true and false into a CSV in their own language.
_YES = {"yes", "y", "true", "x", "1", "✓", "✔", "ja", "oui", "sì", "sí", "si"}
_YES |= {"wahr", "vrai", "vero", "verdadero"}
_NO = {"no", "n", "false", "0", "nein", "non", "falsch", "faux", "falso"}
# That nothing was found inside is an answer; that nothing could not be seen is none.
_ASKED_WHAT: dict[str, set[str]] = {"could_not_see": _NO | _NONE, "found_inside": _NO}
MOST_PIECES = 1_000_000
# ECMA-376 part 1, 18.17.4.1: serial dates of the 1900 system, from March 1900 on.
_DAY_0 = dt.date(1899, 12, 30)

# Unicode, block FF00: ASCII as wide as an ideograph, which an input method of Japanese writes.
_WIDE = {0xFF01 + at: 0x21 + at for at in range(94)} | {0x3000: 0x20}

SAID = object()  # stands for a cell whose fault has been said already

Converter = Callable[[Field, object, At, Report], object]


def convert(field: Field, raw: object, at: At, report: Report) -> object:
    """The value of `raw` as `field` takes it; None when blank or wrong (then it has been said)."""
    if raw is None or raw is SAID or (isinstance(raw, str) and not raw.strip()):
        return None
    return _CONVERTERS[field.kind](field, raw, at, report)


def plain_text(raw: object) -> str | None:
    """A cell as text: whole numbers without a fraction, dates as ISO; None for a list or table."""
    if isinstance(raw, bool):
        return "yes" if raw else "no"
    if isinstance(raw, float):
        # ISO/IEC 29500 keeps 17 digits of a formula's result, and programs show 15: 1.1 * 3 is 3.3
        return str(int(raw)) if raw.is_integer() and abs(raw) < 1e15 else f"{raw:.15g}"
    if isinstance(raw, dt.datetime) and raw.time() == dt.time():
        return raw.date().isoformat()
    if isinstance(raw, str):
        return raw.strip().replace("\r\n", "\n").replace("\r", "\n")
    if isinstance(raw, int | dt.date | dt.time | dt.timedelta):
        return str(raw)
    return None


def _text(field: Field, raw: object, at: At, report: Report) -> str | None:
    text = plain_text(raw)
    if text is None:
        report.say("wrong-type", at, name=field.heading)
        return None
    if field.name in _ONE_LINE:
        text = _BREAK.sub(" ", text)
    if field.name in _PATHS:  # typed on Windows, read on any other; there / serves as well
        text = text.replace("\\", "/")
    return _without_strange(text, at, report)


def _words_said(field: Field, raw: object, at: At, report: Report) -> str | None:
    """Free words; a sign for "nothing to say here" is as if it were blank, where something can be missed."""
    if isinstance(raw, dt.date) and at.cell and at.table not in _DAYS_IN_WORDS:
        _is_range_date(field, raw, at, report)
        return None
    text = _text(field, raw, at, report)
    if text and not field.needed and _says_nothing(field, text):
        report.say("says-nothing", at, typed=text, name=field.heading)
        return None
    if text and field.name in _PRICES and not _names_currency(text):
        report.say("price-without-currency", at, typed=text, name=field.heading)
    # Of a text file nobody can see whether a day was typed (a batch may be one) or made of something else.
    if not at.cell and at.table in TABLES and (behind := range_behind(raw)):
        report.say("day-in-words", at, typed=text, name=field.heading, low=behind[0], high=behind[1])
    return text


def _says_nothing(field: Field, text: str) -> bool:
    """Whether it is a sign for "nothing to say here", or no where it is asked what."""
    if plain_word(text) in _ASKED_WHAT.get(field.name, ()):
        return True
    return field.name not in _NOTHING_IS_SAID and bool(_NOTHING.fullmatch(text))


def _names_currency(price: str) -> bool:
    """Whether a sign or word that may be a currency's stands with the figures; words alone are a price."""
    figures = any(letter.isdigit() for letter in price)
    return not figures or any(letter.isalpha() or unicodedata.category(letter) == "Sc" for letter in price)


def _figure(field: Field, raw: object, at: At, report: Report) -> str | None:
    """A cell's own number with three decimals gets a 0 in front: as text it would be a thousand to many."""
    if _is_range_date(field, raw, at, report):
        return None
    text = _words_said(field, raw, at, report)
    like = _LIKE_THOUSANDS.fullmatch(text) if text and isinstance(raw, float) else None
    return f"{like[1]}0{like[2]}" if like else text


def _without_strange(text: str, at: At, report: Report) -> str | None:
    for character in text:
        if character not in "\n\t" and unicodedata.category(character) in ("Cc", "Cs", "Co"):
            report.say("strange-character", at, character=f"U+{ord(character):04X}", text=text)
            return None
    return text


def _lines(field: Field, raw: object, at: At, report: Report) -> tuple[str, ...] | None:
    if isinstance(raw, str):
        raw = raw.splitlines()
    items = raw if isinstance(raw, list) else [raw]
    texts = [_words_said(field, item, at, report) for item in items]
    return tuple(text for text in texts if text)


def _word(field: Field, raw: object, at: At, report: Report) -> str | None:
    text = _text(field, raw, at, report)
    if text is None:
        return None
    words = {plain_word(word): word for word in field.words}
    typed = plain_word(text)
    if "yes" in words and typed not in words:
        typed = "yes" if typed in _YES else "no" if typed in _NO else typed
    if typed not in words:
        meant = words.get(report.nearest(typed, words), "")
        report.say(
            "unknown-word", at, nearest=meant, typed=text, name=field.heading, words=listed(field.words)
        )
    return words.get(typed)


def _words(field: Field, raw: object, at: At, report: Report) -> tuple[object, ...] | None:
    """Several of the closed list, a TOML list or one a line."""
    items = raw if isinstance(raw, list) else str(raw).splitlines()
    words = [_word(field, item, at, report) for item in items if item != ""]
    return None if None in words else tuple(words)


def _date(field: Field, raw: object, at: At, report: Report) -> str | None:
    try:
        return read_date(_typed_day(raw))
    except UnclearDateError as unclear:
        report.say("date-ambiguous", at, typed=str(raw), one=unclear.one, other=unclear.other)
    except ValueError:
        report.say("date-wrong", at, nearest=_day_of(str(raw)), typed=str(raw), name=field.heading)
    return None


def _day_of(typed: str) -> str:
    """The day that a spreadsheet program's own number stands for, of our times ("45703"), or that is written
    with two figures of the year ("14.9.26"), to ask whether it is meant; else "".
    """
    if short := _SHORT_YEAR.fullmatch(typed.strip()):
        with contextlib.suppress(ValueError):
            year = int(short[3])  # POSIX strptime, %y: 69 to 99 are of the 1900s
            return dt.date(year + (1900 if year > 68 else 2000), int(short[2]), int(short[1])).isoformat()
    if not re.fullmatch(r"[345]\d{4}", typed):
        return ""
    return (_DAY_0 + dt.timedelta(days=int(typed))).isoformat()


def _typed_day(raw: object) -> object:
    """A year that a spreadsheet keeps as 2026.0, and wide figures, as `read_date` takes them."""
    if isinstance(raw, str):
        return raw.translate(_WIDE)
    return int(raw) if isinstance(raw, float) and raw.is_integer() else raw


def _about(field: Field, raw: object, at: At, report: Report) -> str | None:
    text = _text(field, raw, at, report)
    if text is None:
        return None
    try:
        return read_date(_typed_day(raw))
    except UnclearDateError:
        return _date(field, raw, at, report)
    except ValueError:
        return _date(field, raw, at, report) if looks_like_date(text) else text


def _number(field: Field, raw: object, at: At, report: Report) -> str | None:
    if _is_range_date(field, raw, at, report):
        return None
    text = _text(field, raw, at, report)
    text = _plain_figures(text) if text else text
    if text is not None and not (_NUMBER.fullmatch(text) and len(text) <= 40):
        report.say("number-wrong", at, typed=text, name=field.heading)
        return None
    return text


def _plain_figures(text: str) -> str:
    """Without the sign that keeps it text in a spreadsheet, and wide letters and figures as plain ones."""
    return text.removeprefix("'").translate(_WIDE)


def _is_range_date(field: Field, raw: object, at: At, report: Report) -> bool:
    """A spreadsheet program took what was typed for a date: say what it probably was."""
    behind = range_behind(raw)
    if behind is None:
        return False
    low, high = behind
    typed = plain_text(raw) or ""
    words = field.kind in ("text", "lines")
    day = Long(report.words.say("intake.or_day", typed=typed) if words else "")
    report.say("range-as-date", at, typed=typed, name=field.heading, low=low, high=high, day=day)
    return True


def _count(field: Field, raw: object, at: At, report: Report) -> int | None:
    return _whole(field, raw, at, report, least=1)


def _tally(field: Field, raw: object, at: At, report: Report) -> int | None:
    """What was counted and may be none: 0 is a number, blank is not said."""
    return _whole(field, raw, at, report, least=0)


def _whole(field: Field, raw: object, at: At, report: Report, *, least: int) -> int | None:
    if _is_range_date(field, raw, at, report):
        return None
    match = _COUNT.fullmatch(plain_text(raw) or "")
    if isinstance(raw, bool) or not match or not least <= int(match[1]) <= MOST_PIECES:
        report.say("count-wrong", at, typed=str(raw), name=field.heading, least=least)
        return None
    return int(match[1])


def _degrees(field: Field, raw: object, at: At, report: Report) -> int | None:
    """Whole degrees Celsius above 0, with or without "°C"."""
    match = _DEGREES.fullmatch(plain_text(raw) or "")
    if isinstance(raw, bool) or not match or not int(match[1]):
        report.say("degrees-wrong", at, typed=str(raw), name=field.heading)
        return None
    return int(match[1])


def _pieces(field: Field, raw: object, at: At, report: Report) -> tuple[int, int] | None:
    """(pieces, of how many): (9, 64), or (9, 0) where the whole is not said."""
    if not isinstance(raw, str) or not (match := _OF.fullmatch(_plain_figures(raw.strip()))):
        count = _count(field, raw, at, report)
        return None if count is None else (count, 0)
    pieces, whole = int(match[1]), int(match[2])
    if whole < pieces <= MOST_PIECES and whole:
        report.say("pieces-above-all", at, typed=raw, pieces=pieces, whole=whole)
        return None
    if not 1 <= pieces <= whole <= MOST_PIECES:
        report.say("count-wrong", at, typed=raw, name=field.heading, least=1)
        return None
    return pieces, whole


def _parts(field: Field, raw: object, at: At, report: Report) -> str | None:
    """The expression as text, for `partlist`; a TOML list becomes "3; 4"."""
    items = raw if isinstance(raw, list) else [raw]
    if any(_is_range_date(field, item, at, report) for item in items):
        return None
    texts = [_text(field, item, at, report) for item in items]
    if None in texts:
        return None
    return "; ".join(_plain_figures(text) for text in texts if text) or None


def _yes(field: Field, raw: object, at: At, report: Report) -> bool | None:
    typed = plain_word(plain_text(raw) or "")
    if typed in _YES or typed in _NO:
        return typed in _YES
    report.say("unknown-word", at, typed=str(raw), name=field.heading, words=listed(("yes", "no")))
    return None


def _clock(field: Field, raw: object, at: At, report: Report) -> str | None:
    """How wrong a camera's clock was, in its one form."""
    text = _text(field, raw, at, report)
    stated = camera_clock.read(text) if text is not None else None
    if text is not None and stated is None:
        report.say("clock-wrong", at, typed=text)
    return stated


def _at(field: Field, raw: object, at: At, report: Report) -> tuple[Decimal, ...] | None:
    """Percent of the upright picture, "12.5,40 30,60", as parts of 1,000, as finely as written."""
    text = plain_text(raw) or ""
    try:
        return pairs.read(text)
    except ValueError:
        report.say("place-commas" if pairs.with_commas(text) else "place-wrong", at, typed=str(raw))
    return None


_CONVERTERS: dict[str, Converter] = {
    "text": _words_said,
    "figure": _figure,
    "lines": _lines,
    "word": _word,
    "words": _words,
    "date": _date,
    "about": _about,
    "number": _number,
    "count": _count,
    "tally": _tally,
    "degrees": _degrees,
    "parts": _parts,
    "pieces": _pieces,
    "yes": _yes,
    "at": _at,
    "clock": _clock,
}
