"""Wire and sheet by gauge number, where the gauge is named: inches of diameter or thickness.

- American wire gauge (Brown & Sharpe): 0.005 in x 92^((36 - n) / 39), ASTM B258 (formula from memory).
- British standard wire gauge (SWG): a table, BS 3737 (from memory).

Sizes beyond 0 are 00, 000 and so on, or 2/0, 3/0: here -1, -2.

A bare "18 gauge" is another size in each gauge, and for sheet in each metal, and is none of these.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from fractions import Fraction

from dossier.trade.units import Span

_PLACES = 10**8  # of an inch
_AMERICAN = range(-3, 41)
# Thousandths of an inch from 7/0.
_STANDARD = (
    *("500", "464", "432", "400", "372", "348"),
    *("324", "300", "276", "252", "232", "212", "192", "176", "160", "144"),
    *("128", "116", "104", "92", "80", "72", "64", "56", "48", "40"),
    *("36", "32", "28", "24", "22", "20", "18", "16.4", "14.8", "13.6"),
    *("12.4", "11.6", "10.8", "10", "9.2", "8.4", "7.6", "6.8", "6", "5.2"),
    *("4.8", "4.4", "4", "3.6", "3.2", "2.8", "2.4", "2", "1.6", "1.2", "1"),
)
_NOUGHTS = _STANDARD.index("324")


def american(number: int) -> Fraction | None:
    """Inches of a number from 4/0 to 40; None beyond."""
    if number not in _AMERICAN:
        return None
    return Fraction(round(0.005 * 92 ** ((36 - number) / 39) * _PLACES), _PLACES)


def standard(number: int) -> Fraction | None:
    """Inches of a number from 7/0 to 50; None beyond."""
    place = number + _NOUGHTS
    return Fraction(_STANDARD[place]) / 1000 if 0 <= place < len(_STANDARD) else None


GAUGES: Mapping[str, Callable[[int], Fraction | None]] = {
    "american gauge": american,
    "standard gauge": standard,
}


def gauged(number: str, gauge: str) -> tuple[Span, ...] | None:
    """Inches of a number of a gauge ("12", "3/0", "000"), or of one and the next; None for what is none."""
    numbers = re.split(r"\s*(?:-|–|—|\bto\b)\s*", number)
    if not all(re.fullmatch(r"[1-9]\d?|0{1,7}|[1-9]/0", one) for one in numbers):
        return None
    found = [GAUGES[gauge](_place(one)) for one in numbers]
    values = [value for value in found if value is not None]
    return ((min(values), max(values)),) if len(values) == len(found) else None


def _place(number: str) -> int:
    """12; 0 of "0", -2 of "000" and "3/0"."""
    if number.endswith("/0"):
        return 1 - int(number[0])
    return int(number) or 1 - len(number)
