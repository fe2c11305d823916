"""Numbers as people write them before a unit: "3,5", "3/16", "1 3/16", "8-9", "3 x 5", "8/9".

Not here: units, and what a slash means beside one (`written`).
"""

from __future__ import annotations

import re
from fractions import Fraction

from dossier.trade.units import Span

NUMBER = r"(?:\d{1,9}[ -]\d{1,3}/\d{1,3}|\d{1,3}/\d{1,3}|\d{1,9}(?:[.,]\d{1,9})?|\.\d{1,9})"
# Letters, digits and marks as wide as kana, which Japanese keyboards give, and the space between them.
HALF_WIDTH = {0xFF01 + n: 0x21 + n for n in range(94)} | {0x3000: 0x20}
_SPAN = rf"{NUMBER}(?:\s{{0,2}}(?:-|–|—|\bto\b)\s{{0,2}}{NUMBER})?"
_AND = re.compile(r"(?<![/\d])\d{1,4}\s{1,2}(?:in|(?:in\s{1,2})?(?:and|und|et|e|y))\s{1,2}$", re.IGNORECASE)
_NUMBERED = re.compile(r"(?:\b(?:no|nr|num)\b\.?|\bn\s?[°ºo.]|№|#)\s{0,2}$", re.IGNORECASE)
_BEFORE = 40  # characters before a number that are looked at
SIDES = rf"{_SPAN}(?:\s{{0,2}}[x×]\s{{0,2}}{NUMBER}){{0,3}}"


def spans(number: str) -> tuple[Span, ...] | None:
    """Least and most of each side; None where one is no number (3/0)."""
    sides = re.split(r"\s*[x×]\s*", number)
    found = []
    for side in sides:
        numbers = [value(one) for one in re.findall(NUMBER, side)]
        values = [one for one in numbers if one is not None]
        if not values or len(values) != len(numbers):
            return None
        found.append((min(values), max(values)))
    return tuple(found)


def value(text: str) -> Fraction | None:
    """ "3,5", "3/16", "1 3/16", "1-3/16"."""
    *whole, last = re.split(r"[ -]", text.replace(",", "."))
    try:
        return Fraction(last) + (int(whole[0]) if whole else 0)
    except ZeroDivisionError:
        return None


def digits(number: str) -> int:
    """Significant digits of the first number as written."""
    first = re.match(NUMBER, number)
    if first is None or "/" in first[0]:
        return 2
    plain = first[0].replace(",", ".").replace(".", "").lstrip("0")
    return min(max(len(plain), 1), 8)


def slashed(number: str) -> tuple[int, int] | None:
    """The two numbers of "8/9"; None of anything else."""
    match = re.fullmatch(r"(\d{1,3})/(\d{1,3})", number)
    return (int(match[1]), int(match[2])) if match else None


def ends_another(before: str, number: str) -> bool:
    """Whether a number is the end of what stands before it: "3 and 1/4", "2 in and 1/4", "No. 6 x 3/4"."""
    if re.search(r"[x×]", number):
        return bool(_NUMBERED.search(before[-_BEFORE:]))
    return "/" in number.split(maxsplit=1)[0] and bool(_AND.search(before[-_BEFORE:]))
