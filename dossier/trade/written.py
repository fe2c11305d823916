"""Quantities as people write them: "8-9 oz leather", "1 3/16 in", "Tex 40", "12 SPI", "3,5 mm", "5' 6\"".

What can be read in two ways is said (`Unclear`), never guessed: an ounce of leather is a thickness, of cloth
a weight for an area, else a weight; a ticket of cotton is counted otherwise than a metric one; "1,250" may be
1.25 or 1250; "3/4 oz" of leather may be three quarters or 3 to 4, while "8/9 oz" is no fraction anyone uses:
it is 8 to 9; a mil is a thousandth of an inch or, in speech, a millimetre; the number of a thread is counted
in several ways; pounds of paper are of a ream. How units are spelt and what tells them apart stands in the
words of the language (words/<language>/trade.toml); its decimal mark is CLDR's: in German "1,250 kg" is
plain, and "1.250 kg" is what may be read in two ways. Long texts are cut.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from dossier.trade.numbers import HALF_WIDTH, NUMBER, SIDES, ends_another, slashed, value
from dossier.trade.numbers import digits as digits_of
from dossier.trade.numbers import spans as spans_of
from dossier.trade.units import UNITS, Quantity, Span, Unclear
from dossier.words import Catalogue
from dossier.words.compare import runs_on
from dossier.words.dates import written_number

Read = Quantity | Unclear
MOST_TEXT = 2_000
_OF_THREAD = {"metric count", "cotton count"}  # behind a number: "20 Nm" may be a torque,
_NO_COUNT = {"nm", "ne", "nec"}  # and these nanometres or a word
_SIGNS = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
_SIGNS |= {"⅓": " 1/3", "⅔": " 2/3", "″": '"', "”": '"', "′": "'", "’": "'", "²": "2"}
_PLAIN = str.maketrans(_SIGNS) | HALF_WIDTH
_SPACED = re.compile(rf"(?<=\d)\s+(?=[{''.join(_SIGNS)[:9]}])")  # 2 ½
_FEET = re.compile(r"(?<=\d)'(?=\d)")  # 5'6"
_FRACTIONS = frozenset({2, 3, 4, 8, 16, 32, 64, 128})  # what inches and ounces are divided into
_SOLD_IN_RANGES = frozenset({"ounce", "leather ounce", "cloth ounce", "iron"})
_COMPOUND = {"foot": "inch", "pound": "ounce", "stone": "pound"}
_SIXTEENTHS = frozenset({16, 32, 64, 128})  # "5/64ths" by itself is of an inch
# 3 pouces 1/2
_BEHIND = re.compile(r"\s{1,2}(?:(?:and|und|et|e|y)\s{1,2})?(\d{1,2}/(?:2|4|8|16|32|64))(?![\w/]|\sof\b)")
_START = r"\b"
_PAUSES = re.compile(r"[;:()\[\]（）［］、。]|,(?!\d)")  # no decimal comma
_EMPTIED = re.compile(r"[(\[（［][\s,;]*[)\]）］]")  # brackets in which nothing is left
# Kana and Han follow a unit without a space. Ranges of thousands are slow to compile where case is ignored.
_NO_WORD = r"(?-i:(?![^\W\u3040-\u30ff\u3400-\u9fff]))"
_AFTER_NO_WORD = r"(?-i:(?<![^\W\u3040-\u30ff\u3400-\u9fff]))"
_LEAST_DENIER = 7  # of threads and cloth: "2 d" is two days
_LEAST_LEA, _PLIES = 8, range(2, 8)
_COUNTS = frozenset({"metric count", "cotton count", "linen count"})  # their slash divides: Nm 60/3 is Nm 20
_TIMES = re.compile(r"\s?[x×]\s?\d")
_PLIED = r"(?=\.?\s{0,2}(?:no\.?\s{0,2})?[1-9]\d?/\d{1,2}(?![\d/]))"


class _Language(NamedTuple):
    units: dict[str, str]  # spelling -> unit, "ounce", "ticket" and "mil" still open
    pattern: re.Pattern[str]
    about: dict[str, re.Pattern[str]]
    part: re.Pattern[str]  # "and a half", behind a unit
    parts: dict[str, Fraction]
    thousands: re.Pattern[str]  # "1,250", or "1.250" where a comma is the decimal mark


def parse(text: str, about: str = "", language: str = "en") -> Read | None:
    """The one quantity that `text` is; None when there is none, or several.

    `about` says what is measured ("thickness of the front leather") and tells ounces and tickets apart.
    """
    found = find(text, about, language)
    return found[0] if len(found) == 1 else None


def alone(text: str, about: str = "", language: str = "en") -> Read | None:
    """The quantity that is all of `text`; None where a word or sign beside it may change what it says.

    "about 3 mm", "under 3 mm", "3 mm less play" and "-3 mm" are no 3 mm to work with.
    """
    found, whole = parse(text, about, language), _plain(text[:MOST_TEXT]).strip()
    return found if found and found.written.rstrip(".") == whole.rstrip(".").rstrip() else None


def leading(text: str, about: str = "", language: str = "en") -> Read | None:
    """The one quantity of a text that begins with it: "37.5 cm long", but not "under 37.5 cm"."""
    found = parse(text, about, language)
    return found if found and _plain(text).strip().startswith(found.written) else None


def behind(text: str, found: Read) -> str:
    """What stands behind the quantity that a text begins with."""
    return _plain(text).strip()[len(found.written) :]


def find(text: str, about: str = "", language: str = "en") -> list[Read]:
    """Every quantity in a text, in order; a number without a unit is none."""
    text = _plain(text[:MOST_TEXT])
    words = _language(language)
    return list(_found(text, f"{about[:MOST_TEXT]} ; {text}".casefold(), words))


def without_each(written: str, language: str = "en") -> tuple[str, bool | None]:
    """A measure without "each", and whether it was there ("3 g each", "each 3 g"); None where
    anything else stands beside it, that may turn it ("altogether, not for each", "3 g each, except one").
    """
    text = written[:MOST_TEXT].replace("\u2019", "'").strip()
    found = _each(language, "each").search(text)
    if not found:
        return text, False
    before, after = text[: found.start()].rstrip(), text[found.end() :].lstrip(" .")
    if not before and not _each(language, "each_first").match(text):
        return text, None
    phrases = [one.strip(" .") for some in (before, after) for one in _PAUSES.split(some)]
    first, *rest = [one for one in phrases if one] or [""]
    if not _is_measure(first, language) or not all(map(_run(language).fullmatch, rest)):
        return text, None
    return _EMPTIED.sub("", f"{before} {after}").strip(" ,;:、"), True


def _is_measure(text: str, language: str) -> bool:
    """Whether it is a quantity and at most a word for a length."""
    said = leading(text, "", language)
    return said is not None and _run(language).fullmatch(behind(text, said).strip()) is not None


@lru_cache(maxsize=16)
def _each(language: str, name: str) -> re.Pattern[str]:
    words = "|".join(map(re.escape, sorted(measure_words(language, name), key=len, reverse=True)))
    words = re.sub("([/／])", r"\1\\s?", words)
    apart = f"(?:{_AFTER_NO_WORD}|(?=[/／]|(?-i:[\u3040-\u30ff\u3400-\u9fff])))"
    return re.compile(f"{apart}(?:{words})(?:{_NO_WORD}|(?=\\d))", re.IGNORECASE)


@lru_cache(maxsize=16)
def _run(language: str) -> re.Pattern[str]:
    """Nothing, or a word for a length."""
    return re.compile("|".join(["", *map(re.escape, measure_words(language, "run"))]), re.IGNORECASE)


@lru_cache(maxsize=16)
def measure_words(language: str, name: str) -> tuple[str, ...]:
    """Words of a language for "each" or "until", and the English ones, which the template shows."""
    every = (Catalogue(spoken).table("findings.measure")[name] for spoken in (language, "en"))
    return tuple(dict.fromkeys(word for words in every for word in words))


def word_for(language: str, name: str) -> str:
    """A word that says what is measured ("thickness") to whoever reads in that language."""
    words: list[str] = Catalogue(language).table("trade.reading")["about"][name]
    return words[0]


def _plain(text: str) -> str:
    return _FEET.sub("' ", _SPACED.sub("", text).translate(_PLAIN))


@lru_cache(maxsize=4)
def _language(language: str) -> _Language:
    tables = Catalogue(language).table("trade.reading")
    units = {spelling: unit for unit, every in tables["spellings"].items() for spelling in every}
    about = {
        name: re.compile("|".join(rf"{'' if runs_on(word) else _START}{re.escape(word)}" for word in words))
        for name, words in tables["about"].items()
    }
    mark = "," if written_number(language, "0.5") == "0.5" else "."
    thousands = re.compile(rf"(?<!\d)[1-9]\d{{0,2}}{re.escape(mark)}\d{{3}}")
    parts = {one: Fraction(part) for part, every in tables["and_part"].items() for one in every}
    behind = "|".join(rf"{' ?' if runs_on(one) else ' '}{re.escape(one)}" for one in parts)
    part = re.compile(rf"(?:{behind}){_NO_WORD}", re.IGNORECASE)
    return _Language(units, _pattern(units, tables["after_in"]), about, part, parts, thousands)


def _pattern(units: dict[str, str], after_in: list[str]) -> re.Pattern[str]:
    """Number and unit, or a thread's unit and number. "in" counts only where it is no preposition."""
    longest = sorted(units, key=len, reverse=True)
    after = "|".join(map(_spelt, longest))
    before = "|".join(_before(unit, units[unit]) for unit in longest if _stands_before(units[unit]))
    no_word = rf"(?=\s*(?:$|[^\w\s]|(?:{'|'.join(after_in)})\b))"
    ends = rf"{_NO_WORD}(?!/|[.,]\d|\s?°)"
    return re.compile(
        rf"(?<![.,/]){_AFTER_NO_WORD}(?:(?P<number>{SIDES})\s{{0,2}}-?(?P<unit>{after})(?:(?<!\bin)|{no_word})"
        rf"|(?P<first>{before})\.?\s{{0,2}}(?:no\.?\s{{0,2}})?(?P<then>{NUMBER})){ends}",
        re.IGNORECASE,
    )


def _spelt(unit: str) -> str:
    """The spelling; three strokes are lines of a watch and no inches."""
    return re.escape(unit) + ("(?!')" if unit[-1] == "'" else "")


def _begins(unit: str) -> str:
    """The spelling before a number, which may stand close by: T40, and Tex 40."""
    return re.escape(unit) + (r"(?![^\W\d_])" if unit[-1].isalnum() else "")


def _before(unit: str, meant: str) -> str:
    """The same; linen only before the number of a thread, which is 18/3."""
    return _begins(unit) + (_PLIED if meant == "linen thread" else "")


def _stands_before(unit: str) -> bool:
    named = unit in ("ticket", "thread tex", "linen thread", "yarn number")
    return named or (unit in UNITS and UNITS[unit].dimension == "thread")


def _found(text: str, about: str, words: _Language) -> Iterator[Read]:
    """Quantities, a foot and its inches (a pound and its ounces) as one."""
    matches = list(words.pattern.finditer(text))
    place = 0
    while place < len(matches):
        match = matches[place]
        joined = _joined(match, matches[place + 1], words) if place + 1 < len(matches) else None
        if joined:
            yield _with_fraction(joined, text[matches[place + 1].end() :], words)
            place += 2
            continue
        read = None if _is_quote(text, match) else _read(match, about, words)
        if read:
            yield _with_fraction(read, text[match.end() :], words)
        place += 1


def _with_fraction(read: Read, rest: str, words: _Language) -> Read:
    """A part without a unit, behind a whole number of units, belongs to it: 3 pouces 1/2."""
    named, behind = words.part.match(rest), _BEHIND.match(rest)
    part = words.parts[named[0].strip().casefold()] if named else value(behind[1]) if behind else None
    found = named or behind
    if found is None or part is None or part >= 1 or (behind and words.pattern.match(rest, behind.start(1))):
        return read
    if isinstance(read, Unclear):
        more = tuple(_plus(one, part, found[0]) for one in read.readings)
        return Unclear(f"{read.written}{found[0]}", read.why, more)
    return _plus(read, part, found[0]) if named or read.dimension == "length" else read


def _plus(read: Quantity, part: Fraction, written: str) -> Quantity:
    low, high = read.spans[0]
    if len(read.spans) > 1 or low != high or low.denominator > 1 or read.metric or UNITS[read.unit].over:
        return read
    digits = min(read.digits + 1, 4)
    return Quantity(f"{read.written}{written}", read.unit, ((low + part, high + part),), digits)


def _is_quote(text: str, match: re.Match[str]) -> bool:
    """A foot's sign by itself, or an inch's that closes a quotation ("K 17"), is none."""
    return match["unit"] == "'" or (match["unit"] == '"' and _in_quotation(text[: match.start()]))


def _in_quotation(before: str) -> bool:
    """Whether a quotation is open; the sign behind a figure outside of one is an inch's."""
    is_open = False
    for sign in re.finditer(r'(\d\s{0,2})?"', before):
        is_open = not is_open and sign[1] is None
    return is_open


def _joined(match: re.Match[str], then: re.Match[str], words: _Language) -> Quantity | None:
    text = match.string
    unit, smaller = _unit(match, words), _unit(then, words)
    if _COMPOUND.get(unit) != smaller or text[match.end() : then.start()].strip():
        return None
    whole, rest = spans_of(match["number"]), spans_of(then["number"])
    if whole is None or rest is None or len(whole) > 1 or len(rest) > 1:
        return None
    times = UNITS[unit].factor / UNITS[smaller].factor
    span = (whole[0][0] * times + rest[0][0], whole[0][1] * times + rest[0][1])
    return Quantity(text[match.start() : then.end()].strip(), smaller, (span,), 4)


def _unit(match: re.Match[str], words: _Language) -> str:
    return words.units.get((match["unit"] or match["first"]).casefold(), "")


def _read(match: re.Match[str], about: str, words: _Language) -> Read | None:
    written = match[0].strip()
    number = match["number"] or match["then"]
    unit = _unit(match, words)
    spans = spans_of(number)
    unit = _meant(unit, spans or (), match, about, words)
    screw = len(spans or ()) > 1 and words.about["no_thread"].search(about)  # 4 x 1/2 in: number and length
    if screw or not spans or not unit or ends_another(match.string[: match.start()], number):
        return None
    if unit == "yarn number":
        return Unclear(written, "yarn_number")
    upside_down = unit == "ticket" or UNITS.get(unit, UNITS["inch"]).over
    if upside_down and any(low == 0 for low, _ in spans):
        return None
    if words.thousands.search(number):
        return Unclear(written, "comma")
    if _is_plied(unit, number, match.string[match.end() :]):
        return Unclear(written, "plied")
    spans = _as_range(number, unit) or spans
    return _which(written, unit, spans, digits_of(number), about, words)


def _meant(unit: str, spans: tuple[Span, ...], match: re.Match[str], about: str, words: _Language) -> str:
    """The unit; "" for one that is none without the words it belongs to, or without its kind of number."""
    if unit in _ONLY_OF:
        meant, name = _ONLY_OF[unit]
        is_one = words.about[name].search(about) and not words.about["no_thread"].search(about)
        return meant if is_one and (meant != "denier" or _is_denier(match[0], spans)) else ""
    return _NAMES.get(unit, unit) if _is_one(unit, spans, match, about, words) else ""


_NAMES = {"sixteenths": "inch", "linen thread": "linen count"}


def _is_one(unit: str, spans: tuple[Span, ...], match: re.Match[str], about: str, words: _Language) -> bool:
    if unit == "sixteenths":
        return all(low == high and low.denominator in _SIXTEENTHS for low, high in spans)
    if unit == "stone":  # alone it is one of a ring, too; with pounds behind it, it is joined
        return False
    if unit in _OF_THREAD and match["unit"]:
        of_thread = words.about["thread"].search(about) and not words.about["no_thread"].search(about)
        return match["unit"] not in _NO_COUNT and bool(of_thread)
    return unit != "linen thread" or _is_linen(match["number"] or match["then"])


def _is_plied(unit: str, number: str, behind: str) -> bool:
    """Whether plies are written, and not whether the figure is of one of them: Tex 30/3, 167x2 dtex."""
    is_thread = unit == "ticket" or (unit in UNITS and UNITS[unit].dimension == "thread")
    return is_thread and bool(
        re.search(r"[x×]", number) or _TIMES.match(behind) or ("/" in number and unit not in _COUNTS)
    )


def _is_linen(number: str) -> bool:
    """ "18/3" of a linen thread: eighteen hanks to the pound, three plies."""
    two = slashed(number)
    return two is not None and two[0] >= _LEAST_LEA and two[1] in _PLIES


def _is_denier(written: str, spans: tuple[Span, ...]) -> bool:
    """ "1000D", "70d": a small letter by itself, or a small number, is of days."""
    return all(low >= _LEAST_DENIER for low, _ in spans) and not written.endswith(" d")


def _which(
    written: str, unit: str, spans: tuple[Span, ...], digits: int, about: str, words: _Language
) -> Read:
    """The unit where it is plain, else by what is measured, else every reading of it."""
    if unit == "pound" and words.about["paper"].search(about) and not words.about["weight"].search(about):
        return Unclear(written, "paper_pound")
    if unit not in _OPEN:
        return _unless_slashed(written, unit, spans, digits)
    told = [
        meant
        for name, meant in _OPEN[unit].items()
        if name in words.about and words.about[name].search(about)
    ]
    if unit == "ticket" and "cotton ticket" in told:
        return Unclear(written, "cotton_ticket")
    if len(told) == 1:
        return _unless_slashed(written, told[0], spans, digits)
    meant = [key for key in dict.fromkeys(_OPEN[unit].values()) if key in UNITS]
    return Unclear(written, unit, tuple(Quantity(written, key, spans, digits) for key in meant))


def _may_be_range(unit: str) -> bool:
    """Inches are divided by halves, and a thread's slash tells its plies; metric units have no fractions."""
    return unit in _SOLD_IN_RANGES or (
        unit in UNITS and UNITS[unit].metric and UNITS[unit].dimension != "thread"
    )


def _as_range(number: str, unit: str) -> tuple[Span, ...] | None:
    """The span of a slash that is no fraction anybody uses: "8/9 oz", "10/12 mm"."""
    two = _two(number)
    if two is None or two[1] in _FRACTIONS or not _may_be_range(unit):
        return None
    return ((Fraction(two[0]), Fraction(two[1])),)


def _two(number: str) -> tuple[int, int] | None:
    """The numbers of "8/9", where the first is above 1 and below the second."""
    two = slashed(number)
    return two if two and 1 < two[0] < two[1] else None


def _unless_slashed(written: str, unit: str, spans: tuple[Span, ...], digits: int) -> Read:
    """The quantity; unclear where its slash can be a fraction or a range ("3/4 oz" of leather)."""
    low, high = spans[0]
    is_thickness = UNITS[unit].dimension in ("length", "cloth")
    if low == high and is_thickness and _may_be_range(unit):
        begun = re.match(r"(\d{1,3}/\d{1,3})\b", written)
        if begun and _two(begun[1]):
            return Unclear(written, "slash")
    return Quantity(written, unit, spans, digits)


# Unit as spelt -> what it is, and the words of `about` without which it is no unit: T40 is a screw's too.
_ONLY_OF: dict[str, tuple[str, str]] = {
    "thread tex": ("tex", "thread"),
    "thread denier": ("denier", "metric"),
    "thread weight": ("yarn number", "thread"),
}
# Unit as spelt -> what it is where the words of `about` are found.
_OPEN: dict[str, dict[str, str]] = {
    "ounce": {"thickness": "leather ounce", "weight": "ounce", "cloth": "cloth ounce"},
    "ticket": {"cotton": "cotton ticket", "metric": "metric ticket"},
    "mil": {"": "thou", "speech": "millimetre"},
}
