"""Small figures beside a unit of their own: "0.5 A", "12 min 30 s", "90 %", "14 kt", "585", "13.1 g/cm3".

Not here: lengths, areas, weights and threads (`written`). What cannot be read is None, never a guess.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from dossier.trade.numbers import HALF_WIDTH
from dossier.trade.units import Span
from dossier.words import Catalogue

_NUMBER = r"(\d{1,9}(?:[.,]\d{1,9})?|\.\d{1,9})"
_PAIR = re.compile(rf"{_NUMBER}(?:\s?(?:-|–|to)\s?{_NUMBER})?\s?(%|per cent\b|[^\W\d][\w/]*\.?|)")
_K_FIRST = re.compile(r"K\s?(\d{1,2})", re.IGNORECASE)  # as stamped in Japan
_FINE = r"(?:0?[.,](\d{3})|(\d{3}(?:[.,]\d)?)(?:\s?(?:/\s?1000|‰))?)"
_FINENESS = re.compile(_FINE)
_FINENESS_WITHIN = re.compile(rf"(?<![\w.,/]){_FINE}(?![\w%/])(?![.,]\d)")
MOST_TEXT = 60


def figure(text: str, kind: str, language: str = "en") -> Span | None:
    """Least and most of `text` in the base of `kind` ("current", "time", "density"); parts add up."""
    units = _units(kind, language)
    text = text[:MOST_TEXT].translate(HALF_WIDTH).replace("³", "3").strip()
    pairs = _PAIR.findall(text)
    if not pairs or _PAIR.sub("", text).strip():
        return None
    low = high = Fraction(0)
    for first, last, unit in pairs:
        factor = units.get(unit.casefold().rstrip("."))
        if factor is None:
            return None
        one, other = _number(first) * factor, _number(last or first) * factor
        low, high = low + min(one, other), high + max(one, other)
    return (low, high) if high > 0 else None


@lru_cache(maxsize=16)
def _units(kind: str, language: str) -> dict[str, Fraction]:
    return {
        unit: Fraction(value) for unit, value in Catalogue(language).table(f"trade.reading.{kind}").items()
    }


def _number(text: str) -> Fraction:
    return Fraction(text.replace(",", "."))


def share(text: str, language: str = "en") -> Span | None:
    """ "90 %", "85-95 %", "0.9" or "90" as 0 to 1."""
    text = text.translate(HALF_WIDTH)
    plain = text if re.search(r"[^\d\s.,–-]", text) else f"{text} %"
    bare = re.fullmatch(_NUMBER, text.strip())
    if bare and _number(bare[1]) <= 1:
        return (_number(bare[1]),) * 2 if _number(bare[1]) else None
    found = figure(plain, "share", language)
    return found if found and found[1] <= 1 else None


def karat(text: str, language: str = "en") -> Fraction | None:
    """ "14 kt", "18k", "K18", "585", ".750", "750/1000", "999.9": parts of 24."""
    text = text.translate(HALF_WIDTH)
    text = _K_FIRST.sub(r"\1 k", text.strip()) if _K_FIRST.fullmatch(text.strip()) else text
    fineness = _FINENESS.fullmatch(text.strip())
    if fineness:
        return _number(fineness[1] or fineness[2]) / 1000 * 24
    found = figure(text, "karat", language)
    return found[0] if found and found[0] == found[1] <= 24 else None


def karat_within(text: str, language: str = "en") -> tuple[str, str]:
    """The karat that stands in the name of a metal, and the rest: "18 kt", "gold" of "18 kt gold"."""
    units = "|".join(map(re.escape, sorted(_units("karat", language), key=len, reverse=True)))
    text = text.translate(HALF_WIDTH)
    number_first = rf"(?<!\w){_NUMBER}\s?-?(?:{units})(?!\w)\.?"
    found = re.search(rf"{number_first}|(?<!\w)K\s?\d{{1,2}}(?!\d)", text[:MOST_TEXT], re.IGNORECASE)
    if not found:
        return "", text
    return found[0], f"{text[: found.start()]} {text[found.end() :]}"


def fineness_within(text: str) -> tuple[str, str]:
    """The fineness that stands in the name of a metal, and the rest: "750", "gold" of "gold 750"."""
    found = _FINENESS_WITHIN.search(text[:MOST_TEXT])
    return (found[0], f"{text[: found.start()]} {text[found.end() :]}") if found else ("", text)


def charge(text: str) -> int | None:
    """ "1", "3", "Au(III)", "+1", "3+"; None where more than one may be meant."""
    found = re.findall(r"\b(III|II|I|VI|IV|[1-6])\b", text[:MOST_TEXT])
    roman = {"I": 1, "II": 2, "III": 3, "IV": 4, "VI": 6}
    meant = {roman.get(one) or int(one) for one in found}
    return meant.pop() if len(meant) == 1 else None
