"""Opinions of worth: ranges in one currency, in exact decimals, and what follows from two of them.

The difference between before and after is only ever a range: the least is the lowest after less the highest
before (interval arithmetic), so no value inside the two ranges is lost. It is made only where the same one
gave both in the same currency, on the same basis as written. Not here: words and the marks of a language;
whether an opinion is right.

Minor units are those of ISO 4217 list one (from memory, held to a reference list by the tests): CLDR, where
the codes come from, gives other digits for some currencies, as used in cash.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from functools import cache

import msgspec

from dossier.model.rows import Value
from dossier.trade.numbers import HALF_WIDTH

_NO_MINOR = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
_THREE = "BHD IQD JOD KWD LYD OMR TND"
_MINOR = {"CLF": 4, "UYW": 4} | dict.fromkeys(_NO_MINOR.split(), 0) | dict.fromkeys(_THREE.split(), 3)
_USUAL = 2
MOST_DIGITS = 15
_GROUPED = re.compile(
    r"[1-9]\d{0,2}(?P<group>[.,'\u2019 \u00a0\u202f])\d{3}(?:(?P=group)\d{3})*(?:(?P<mark>[.,])\d{1,4})?"
)
_PLAIN = re.compile(r"\d+(?:[.,]\d{1,4})?")


class AmountError(ValueError):
    """An amount that cannot be read; `why` is a key of intake's words."""

    def __init__(self, why: str) -> None:
        super().__init__(why)
        self.why = why


class Range(msgspec.Struct, frozen=True):
    low: Decimal
    high: Decimal

    def less(self, other: Range) -> Range:
        """This range less the other: every difference of a value of each lies inside it."""
        return Range(self.low - other.high, self.high - other.low)


def minor_units(currency: str) -> int:
    return _MINOR.get(currency, _USUAL)


@cache
def currencies() -> frozenset[str]:
    """The codes of ISO 4217, also of currencies that are no more (an old valuation stays in its own)."""
    from babel.core import get_global  # noqa: PLC0415 - 30 ms, only where a job gives values

    return frozenset(get_global("all_currencies"))


def amount(text: str, currency: str) -> Decimal:
    """ "780", "1,250.00", "1.250,00", "1 250" as an exact number of the currency.

    Raises AmountError: "amount" for what is no number or too long, "digits" for more decimals than the
    currency has, "thousands" where a mark before three digits can be either; a 0 in front ("021.125") makes
    it one of decimals, since nobody groups so.
    """
    text = text.translate(HALF_WIDTH).strip()
    minor = minor_units(currency)
    grouped = _GROUPED.fullmatch(text)
    if grouped and not (grouped["mark"] and grouped["mark"] == grouped["group"]):
        if (
            minor == 3
            and grouped["group"] in ".,"
            and not grouped["mark"]
            and text.count(grouped["group"]) == 1
        ):
            raise AmountError("thousands")
        text = text.replace(grouped["group"], "")
    if not _PLAIN.fullmatch(text) or len(text) > MOST_DIGITS:
        raise AmountError("amount")
    number = Decimal(text.replace(",", "."))
    if -int(number.as_tuple().exponent) > minor:
        raise AmountError("digits")
    return number


def range_of(value: Value) -> Range:
    """The range that an opinion gives. Raises AmountError ("order" where low is above high)."""
    found = Range(amount(value.low, value.currency), amount(value.high, value.currency))
    if found.low > found.high:
        raise AmountError("order")
    return found


def plain(number: Decimal, currency: str) -> str:
    """A number as text: whole, or with all the currency's decimals. No marks of a language."""
    whole = number == number.to_integral_value()
    return f"{number:.0f}" if whole else f"{number:.{minor_units(currency)}f}"


def with_changes(values: Sequence[Value], own: Mapping[str, str]) -> tuple[Value, ...]:
    """The values, each said to be the workshop's own or not, and what changed from before to after.

    `own`: the name of the workshop and of its people, by itself and by their marks; nobody named is taken as
    the workshop.
    """
    names = {as_written.casefold(): name for as_written, name in own.items()}
    said = tuple(
        msgspec.structs.replace(value, own=not value.by or value.by.casefold() in names) for value in values
    )
    return tuple(_with_change(value, said, names) for value in said)


def _with_change(value: Value, values: Sequence[Value], names: Mapping[str, str]) -> Value:
    like = [other for other in values if _of_one(other, names) == _of_one(value, names)]
    before = [other for other in like if other.when == "before"]
    after = [other for other in like if other.when == "after"]
    if value.when != "after" or len(before) != 1 or len(after) != 1:
        return value
    try:
        change = range_of(value).less(range_of(before[0]))
    except AmountError:
        return value
    low, high = (plain(number, value.currency) for number in (change.low, change.high))
    return msgspec.structs.replace(value, change_low=low, change_high=high)


def _of_one(value: Value, names: Mapping[str, str]) -> tuple[str, str, bool, str]:
    """What two opinions must share to be taken from each other: a price at auction is none for insurance."""
    by = names.get(value.by.casefold(), value.by)
    by, basis = (" ".join(text.casefold().split()) for text in (by, value.basis))
    return value.currency, by, value.own, basis
