"""Pairs of percent, as places on a photograph are typed: "12.5,40 30,60" or, with decimal commas, "12,5;40".

A text such as "17,0 42,5" may be two pairs or, with decimal commas, one: which, only the count of points and
the lines around it can tell (`marklist`). Not done here: saying so.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

_FIGURE = re.compile(r"\d{1,3}(\.\d{1,6})?%?")
_FINE = re.compile(r"\d{1,2},(\d|0\d*)%?")  # as a pair it would lie on the edge, or nobody would write it so


def read(text: str) -> tuple[Decimal, ...]:
    """Parts of 1,000, as finely as written; ValueError for what are no pairs."""
    return tuple(_one_per_mille(figure) for pair in text.split() for figure in _apart(pair))


def with_commas(text: str) -> tuple[Decimal, ...]:
    """The same, of numbers with decimal commas parted by spaces; () where they are none, or no pairs."""
    words = text.split()
    if len(words) % 2 or not any("," in word for word in words) or any(";" in word for word in words):
        return ()
    try:
        return tuple(_one_per_mille(word.replace(",", ".")) for word in words)
    except ValueError:
        return ()


def finely(text: str) -> bool:
    """Whether all behind the commas looks like decimals: one figure each, or with a nought in front."""
    return all(_FINE.fullmatch(word) for word in text.split())


def told_apart(text: str) -> str:
    """Pairs as nobody can misread them: "17,0 42,5" as "17;0 42;5"."""
    return " ".join(word.replace(",", ";") for word in text.split())


def joined(text: str) -> str:
    """Numbers with decimal commas as pairs: "17,0 42,5" as "17,0;42,5"."""
    words: Sequence[str] = text.split()
    return " ".join(f"{x};{y}" for x, y in zip(words[::2], words[1::2], strict=True))


def _apart(pair: str) -> tuple[str, str]:
    x, y = pair.replace(",", ".").split(";") if ";" in pair else pair.split(",")
    return x, y


def _one_per_mille(figure: str) -> Decimal:
    if not _FIGURE.fullmatch(figure):
        raise ValueError(figure)
    percent = Decimal(figure.rstrip("%"))
    if percent > 100:
        raise ValueError(figure)
    return percent.scaleb(1)
