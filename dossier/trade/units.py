"""The units the trade meets, exactly: leather ounces, irons, inches, square feet, thread numbers, stitches.

A small table of fractions and no units library: every factor here is exact (1/64 in is 0.396875 mm, without
rounding), the leather units are in no library, and `mil` is an angle in the usual one. A unit counts either
straight (8 oz are 8 times one) or upside down (the more stitches to the inch, the shorter the stitch).
Not here: reading what people write (`written`), words.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

import msgspec

Dimension = Literal["length", "area", "mass", "cloth", "thread", "pitch"]

INCH = Fraction(254, 10)  # mm; international yard and pound agreement 1959
POUND = Fraction(45_359_237, 100_000)  # g, the same
FOOT2 = Fraction(9_290_304, 1_000_000)  # dm2
YARD2 = 9 * FOOT2 / 100  # m2


class Unit(msgspec.Struct, frozen=True):
    """One unit in the base of its dimension: mm, dm2, g, g/m2, tex, mm of pitch.

    `factor` is the base value of one; where `over` it is divided by the number instead.
    """

    symbol: str
    dimension: Dimension
    factor: Fraction
    over: bool = False
    metric: bool = False

    def base(self, amount: Fraction) -> Fraction:
        """`amount` of this unit in the base; the amount must not be 0 where the unit counts upside down."""
        return self.factor / amount if self.over else self.factor * amount

    def amount(self, base: Fraction) -> Fraction:
        """How many of this unit `base` is; the inverse of `base`."""
        return self.factor / base if self.over else base / self.factor


UNITS: dict[str, Unit] = {
    "micrometre": Unit("µm", "length", Fraction(1, 1000), metric=True),
    "millimetre": Unit("mm", "length", Fraction(1), metric=True),
    "centimetre": Unit("cm", "length", Fraction(10), metric=True),
    "metre": Unit("m", "length", Fraction(1000), metric=True),
    "microinch": Unit("µin", "length", INCH / 1_000_000),
    "thou": Unit("thou", "length", INCH / 1000),
    "inch": Unit("in", "length", INCH),
    "foot": Unit("ft", "length", 12 * INCH),
    "yard": Unit("yd", "length", 36 * INCH),
    # Leather by thickness: 1 oz is 1/64 in, 1 iron 1/48 in (common practice, no source).
    "leather ounce": Unit("oz (leather)", "length", INCH / 64),
    "iron": Unit("iron", "length", INCH / 48),
    "square centimetre": Unit("cm2", "area", Fraction(1, 100), metric=True),
    "square decimetre": Unit("dm2", "area", Fraction(1), metric=True),
    "square metre": Unit("m2", "area", Fraction(100), metric=True),
    "square inch": Unit("in2", "area", FOOT2 / 144),
    "square foot": Unit("ft2", "area", FOOT2),
    "square yard": Unit("yd2", "area", 9 * FOOT2),
    "gram": Unit("g", "mass", Fraction(1), metric=True),
    "kilogram": Unit("kg", "mass", Fraction(1000), metric=True),
    "ounce": Unit("oz", "mass", POUND / 16),
    "troy ounce": Unit("oz t", "mass", 480 * POUND / 7000),  # 480 grains; a pound has 7000
    "pound": Unit("lb", "mass", POUND),
    "stone": Unit("st", "mass", 14 * POUND),
    "gram per square metre": Unit("g/m2", "cloth", Fraction(1), metric=True),
    "cloth ounce": Unit("oz/yd2", "cloth", POUND / 16 / YARD2),
    # Thread. Tex is grams of 1000 m; denier of 9000 m; the others are lengths for a weight.
    "tex": Unit("Tex", "thread", Fraction(1), metric=True),
    "decitex": Unit("dtex", "thread", Fraction(1, 10), metric=True),
    "denier": Unit("denier", "thread", Fraction(1, 9)),
    "metric count": Unit("Nm", "thread", Fraction(1000), over=True),
    "metric ticket": Unit("metric ticket", "thread", Fraction(3000), over=True),
    # English cotton count: hanks of 840 yd in a pound, so tex = 453592.37 / 768.096 / Ne.
    "cotton count": Unit("Ne", "thread", 1000 * POUND / (840 * 36 * INCH / 1000), over=True),
    # English linen count: hanks (leas) of 300 yd in a pound (from memory).
    "linen count": Unit("NeL", "thread", 1000 * POUND / (300 * 36 * INCH / 1000), over=True),
    # Stitches: mm from hole to hole.
    "stitches to the inch": Unit("to the inch", "pitch", INCH, over=True),
    "stitches to the centimetre": Unit("to the cm", "pitch", Fraction(10), over=True, metric=True),
    "pitch": Unit("mm", "pitch", Fraction(1), metric=True),
}

Span = tuple[Fraction, Fraction]  # least and most


class Quantity(msgspec.Struct, frozen=True):
    """What was written, as numbers of one unit: one span, or one for each side ("3 x 5 in")."""

    written: str
    unit: str  # key of UNITS
    spans: tuple[Span, ...]
    digits: int = 2  # significant digits as written; 2 for a fraction

    @property
    def dimension(self) -> Dimension:
        return UNITS[self.unit].dimension

    @property
    def metric(self) -> bool:
        return UNITS[self.unit].metric

    @property
    def base(self) -> Span:
        """Least and most of the first span in the base of the dimension."""
        return self.in_base(0)

    def in_base(self, side: int) -> Span:
        unit = UNITS[self.unit]
        low, high = sorted(unit.base(amount) for amount in self.spans[side])
        return low, high


class Unclear(msgspec.Struct, frozen=True):
    """What was written can be read in more than one way, and which is not guessed."""

    written: str
    why: str  # key of trade.unclear
    readings: tuple[Quantity, ...] = ()


# What each dimension is shown in: up to the limit (in the base) the first unit, beyond it the next.
_SHOWN: dict[Dimension, tuple[tuple[str, Fraction | None], ...]] = {
    "length": (("micrometre", Fraction(1, 20)), ("millimetre", Fraction(10_000)), ("metre", None)),
    "area": (("square decimetre", Fraction(1000)), ("square metre", None)),
    "mass": (("gram", Fraction(1000)), ("kilogram", None)),
    "cloth": (("gram per square metre", None),),
    "pitch": (("pitch", None),),
    "thread": (("tex", None),),
}
_OTHER_THREAD = ("metric ticket", "denier", "metric count", "cotton count")
_LEAST_DIGITS = 3


def conversions(quantity: Quantity) -> tuple[tuple[str, str], ...]:
    """(unit, number) pairs that say the quantity in the usual units; none for what is metric already.

    A thread's Tex is said for every other number, and the other numbers for a Tex.
    """
    if quantity.dimension == "thread":
        return tuple((key, in_unit(quantity, key)) for key in _thread_targets(quantity.unit))
    if quantity.metric and quantity.dimension != "pitch":
        return ()
    key = _shown_in(quantity)
    return ((key, in_unit(quantity, key)),)


def _thread_targets(unit: str) -> tuple[str, ...]:
    if unit == "tex":
        return _OTHER_THREAD
    return ("tex", *(key for key in _OTHER_THREAD[:2] if key != unit))


def _shown_in(quantity: Quantity) -> str:
    largest = max(quantity.in_base(side)[1] for side in range(len(quantity.spans)))
    choices = _SHOWN[quantity.dimension]
    return next(key for key, limit in choices if limit is None or largest < limit)


def in_unit(quantity: Quantity, key: str) -> str:
    """The quantity as numbers of unit `key`: "3.18", "3.18–3.57", "76.2 x 127".

    As many digits as were written, at least three; halves are rounded up.
    """
    digits = max(_LEAST_DIGITS, quantity.digits)
    sides = (_span_in(quantity.in_base(side), key, digits) for side in range(len(quantity.spans)))
    return " x ".join(sides)


def _span_in(base: Span, key: str, digits: int) -> str:
    low, high = sorted(UNITS[key].amount(value) for value in base)
    if key == "millimetre" and high:
        digits = max(digits, _magnitude(high))  # no coarser than whole ones
    first, last = rounded(low, digits), rounded(high, digits)
    return first if first == last else f"{first}–{last}"


def rounded(value: Fraction, digits: int) -> str:
    """A number of `digits` significant digits in plain decimals, without trailing zeros. Halves go up."""
    if not value:
        return "0"
    return to_places(value, digits - _magnitude(abs(value)))


def to_places(value: Fraction, places: int) -> str:
    """A number to so many places after the point, without trailing zeros. Halves go up."""
    whole = int(abs(value) * Fraction(10) ** places + Fraction(1, 2))
    text = _decimal(whole, places)
    return f"-{text}" if value < 0 and whole else text


def _magnitude(value: Fraction) -> int:
    """Digits before the decimal point; 0 for 0.1, -1 for 0.01. `value` is above 0."""
    size = len(str(value.numerator)) - len(str(value.denominator))
    return size + 1 if Fraction(10) ** size <= value else size


def _decimal(whole: int, places: int) -> str:
    if places <= 0:
        return str(whole * 10**-places)
    text = str(whole).rjust(places + 1, "0")
    before, after = text[:-places], text[-places:].rstrip("0")
    return f"{before}.{after}" if after else before
