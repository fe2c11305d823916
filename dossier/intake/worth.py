"""Opinions of worth as typed: the currency, two amounts of it, the lower one first.

Not here: what follows from them (`trade.values`). Invariant: a row that does not hold is left out and said.
"""

from __future__ import annotations

from dossier.intake.entries import Read
from dossier.intake.report import Report
from dossier.model.rows import Value
from dossier.trade.values import AmountError, amount, currencies, minor_units, range_of

_CODES = {"amount": "amount-wrong", "digits": "amount-digits", "thousands": "amount-unclear"}


def read_values(reads: list[Read], report: Report) -> tuple[Value, ...]:
    values = [Value(**read.values | {"currency": read.text("currency").upper()}) for read in reads]
    return tuple(
        value
        for value, read in zip(values, reads, strict=True)
        if _currency(value, read, report) and _amounts(value, read, report)
    )


def _currency(value: Value, read: Read, report: Report) -> bool:
    known = value.currency in currencies()
    if not known:
        report.say("currency-unknown", read.place("currency"), typed=read.text("currency"))
    return known


def _amounts(value: Value, read: Read, report: Report) -> bool:
    fit = [_amount(name, value, read, report) for name in ("low", "high")]
    if not all(fit):
        return False
    try:
        range_of(value)
    except AmountError:
        report.say("values-order", read.place("low"), low=value.low, high=value.high)
        return False
    return True


def _amount(name: str, value: Value, read: Read, report: Report) -> bool:
    typed = read.text(name)
    try:
        amount(typed, value.currency)
    except AmountError as error:
        digits = minor_units(value.currency)
        code = _CODES[error.why]
        report.say(code, read.place(name), typed=typed, name=name, currency=value.currency, digits=digits)
        return False
    return True
