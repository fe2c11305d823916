"""Opinions of worth as typed: the currency, two amounts of it, the lower one first.

"Our opinion" in the place of a name, in whichever language, is the workshop's. Not here: what follows from
them (`trade.values`). Invariants: a row that does not hold is left out and said; one that does not say whose
it is, of which day or on what basis is kept and said.
"""

from __future__ import annotations

from functools import cache

from dossier.intake.entries import Read
from dossier.intake.report import Report, listed
from dossier.intake.schema import plain_word
from dossier.model.job import Workshop
from dossier.model.rows import Value
from dossier.trade.values import AmountError, amount, currencies, minor_units, range_of
from dossier.words import LANGUAGES, Catalogue

_CODES = {"amount": "amount-wrong", "digits": "amount-digits", "thousands": "amount-unclear"}


_NEEDED_TO_WEIGH = ("by", "date", "basis")


def read_values(reads: list[Read], workshop: Workshop, report: Report) -> tuple[Value, ...]:
    values = [_value(read, workshop) for read in reads]
    for value, read in zip(values, reads, strict=True):
        _say_lacking(value, read, report)
    return tuple(
        value
        for value, read in zip(values, reads, strict=True)
        if all((_currency(value, read, report), _amounts(value, read, report)))
    )


@cache
def _ours() -> frozenset[str]:
    """How "our opinion" is written, in every language: the one of the job need not be that of the sheet."""
    tables = (Catalogue(language).table("trade.reading.ours") for language in LANGUAGES)
    return frozenset(_plain(text) for table in tables for text in table["opinion"])


def _plain(text: str) -> str:
    return plain_word(text).replace("\u2019", "'")


def _value(read: Read, workshop: Workshop) -> Value:
    by = read.text("by")
    mine = {"currency": read.text("currency").upper(), "by": workshop.name if _plain(by) in _ours() else by}
    return Value(**read.values | mine)


def _say_lacking(value: Value, read: Read, report: Report) -> None:
    """A gap for what nobody can weigh the opinion without; what was typed wrong has been said."""
    said = {finding.at for finding in report.findings} | report.hidden
    names = [
        name for name in _NEEDED_TO_WEIGH if not getattr(value, name) and read.places.get(name) not in said
    ]
    if names:
        report.say(
            "value-lacks",
            read.at,
            low=value.low,
            high=value.high,
            currency=value.currency,
            names=listed(names),
        )


def _currency(value: Value, read: Read, report: Report) -> bool:
    known = value.currency in currencies()
    if not known:
        report.say("currency-unknown", read.place("currency"), typed=read.text("currency"))
    return known


def _amounts(value: Value, read: Read, report: Report) -> bool:
    fit = [_amount(name, value, read, report) for name in ("low", "high")]
    if not all(fit) or value.currency not in currencies():
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
        if error.why != "amount" and value.currency not in currencies():
            return True  # how many decimals it has is not known
        digits = minor_units(value.currency)
        code = _CODES[error.why]
        report.say(code, read.place(name), typed=typed, name=name, currency=value.currency, digits=digits)
        return False
    return True
