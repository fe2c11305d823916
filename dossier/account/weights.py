"""The account by measure: how much of each line is known as area, length or mass.

`Part.measure` is of all the pieces of its row together, or of each where it says so ("3 g each"). What is a
measure of something else (a thickness in leather ounces, two sides, 6 mm across) or cannot be read for
certain ("under 12 dm2") is counted as none: of lengths only those in metres, yards or feet or of each piece,
with nothing else said, and such as say that they are one ("60 cm long"), since a bare 356 mm may be a width.
Of some pieces of a row whose pieces are measured only together, anything from nothing to all is known. Not
here: reading units (`trade.written`). Exact fractions inside, decimal text outside.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Literal, NamedTuple

from dossier.account.register import pieces_of
from dossier.model.counted import Measured, PartNow
from dossier.model.rows import Part
from dossier.model.words import DIMENSIONS, Dimension
from dossier.trade.units import Quantity
from dossier.trade.written import alone, behind, leading, measure_words, without_each

Unit = Literal["dm2", "m", "g"]
UNIT: Mapping[Dimension, tuple[Unit, Fraction]] = {
    "area": ("dm2", Fraction(1)),
    "length": ("m", Fraction(1000)),  # lengths are read in mm
    "mass": ("g", Fraction(1)),
}
_THICKNESS = frozenset({"leather ounce", "iron", "micrometre", "thou", "microinch"})
_FEET = re.compile(r"\d\s?(?:'|ft\b|feet\b|foot\b)")
_RUNS = frozenset({"kilometre", "metre", "yard", "foot"})
_PLACES = 6


class Amount(NamedTuple):
    """A measure in the unit of its dimension: of each piece, or of all together."""

    dimension: Dimension
    low: Fraction
    high: Fraction
    each: bool


@lru_cache(maxsize=20_000)
def amount_of(written: str, language: str = "en") -> Amount | None:
    """What `written` says; None where it is no area, length or mass that can be added up."""
    text, each = without_each(written, language)
    if not text or each is None:
        return None
    found = leading(text, "", language)
    if not isinstance(found, Quantity) or found.unit in _THICKNESS or len(found.spans) != 1:
        return None
    if _digits(text) != _digits(found.written):
        return None  # there is another number beside it
    dimension = next((name for name in DIMENSIONS if name == found.dimension), None)
    low, high = found.base
    if dimension is None or high <= 0:
        return None
    if dimension == "length" and not _is_run(found, text, each, language):
        return None
    unit = UNIT[dimension][1]
    return Amount(dimension, low / unit, high / unit, each)


def is_length_alone(written: str, language: str = "en") -> bool:
    """Whether it is a length and nothing else, and not added up: what it is the length of is not said."""
    if not written or amount_of(written, language) is not None:
        return False
    found = alone(written, "", language)
    return isinstance(found, Quantity) and found.dimension == "length" and found.unit not in _THICKNESS


def _is_run(found: Quantity, text: str, each: bool, language: str) -> bool:
    """Whether a length surely is one along the part: bare and in metres, yards or feet, bare and of each
    piece, or in words.
    """
    rest = behind(text, found).casefold().strip(" .,;:()")
    in_runs = found.unit in _RUNS or _FEET.search(found.written.casefold()) is not None
    return rest in measure_words(language, "run") if rest else each or in_runs


def measured(
    rows: Sequence[tuple[Part, PartNow]],
    dimensions: Iterable[Dimension],
    language: str = "en",
    pieces: tuple[int, int] | None = None,
) -> tuple[Measured, ...]:
    """How much of the rows of one line is known in each of `dimensions`; of so many `pieces` together."""
    return tuple(_of(rows, dimension, language, pieces) for dimension in dimensions)


def dimensions_of(parts: Iterable[Part], language: str = "en") -> tuple[Dimension, ...]:
    """The dimensions in which any part has a measure."""
    found = {a.dimension for part in parts if part.measure and (a := amount_of(part.measure, language))}
    return tuple(name for name in DIMENSIONS if name in found)


def _of(
    rows: Sequence[tuple[Part, PartNow]],
    dimension: Dimension,
    language: str,
    pieces: tuple[int, int] | None,
) -> Measured:
    low = high = Fraction(0)
    without = 0
    each: list[Amount] = []
    for part, row in rows:
        amount = amount_of(part.measure, language)
        if amount is None or amount.dimension != dimension:
            without += 1
            continue
        least, most = _share(amount, row, pieces_of(part))
        low, high = low + least, high + most
        if amount.each:
            each.append(amount)
    if pieces and len(each) == len(rows) - without and each:  # all that is measured is measured by the piece
        high = min(high, max(amount.high for amount in each) * pieces[1])
        low = max(low, min(amount.low for amount in each) * pieces[0] if not without else low)
    unit = UNIT[dimension][0]
    return Measured(
        dimension=dimension, unit=unit, low=decimal(low), high=decimal(high, up=True), without=without
    )


def _share(amount: Amount, row: PartNow, n: int) -> tuple[Fraction, Fraction]:
    """What falls to the pieces of this row."""
    if amount.each:
        return amount.low * row.pieces_low, amount.high * row.pieces_high
    return (amount.low if row.pieces_low >= n else Fraction(0)), amount.high


def decimal(value: Fraction, *, up: bool = False) -> str:
    """Decimal text; a fraction without end is cut at six places, down or up, so that a range stays one."""
    scaled = value * 10**_PLACES
    whole = -(-scaled.numerator // scaled.denominator) if up else scaled.numerator // scaled.denominator
    digits = f"{whole:0{_PLACES + 1}d}"
    return f"{digits[:-_PLACES]}.{digits[-_PLACES:]}".rstrip("0").rstrip(".")


def _digits(text: str) -> str:
    """The digits of a text, also of signs such as a raised 2."""
    plain = (c for letter in text for c in unicodedata.normalize("NFKD", letter))
    return "".join(c for c in plain if c.isdecimal())
