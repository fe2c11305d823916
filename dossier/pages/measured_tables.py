"""The account by measure: for area, length and weight a table of what is known of each state, on each side.

Only where a part of the register has such a measure. Ranges as the record gives them, rounded outwards to two
decimals (a length to three); nothing is added up to a share. Not here: counts and bars (`account_figure`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.model.counted import Account, Measured
from dossier.model.words import DIMENSIONS, NOW, SEEN, Dimension, Now
from dossier.pages import blocks
from dossier.pages.plain import plain
from dossier.pages.setting import Setting
from dossier.pages.tagging import DataTable, Space, Together

_DECIMAL = re.compile(r"[0-9]{1,18}(\.[0-9]{1,6})?", re.ASCII)
_STATE = 0.40  # of the width of the text
_STEP = {"dm2": Decimal("0.01"), "m": Decimal("0.001"), "g": Decimal("0.01")}


def measured_tables(s: Setting) -> list[Flowable]:
    """One table a dimension, each with its heading, and one note; nothing where nothing is measured."""
    rows = s.payload.account
    used = [d for d in DIMENSIONS if any(_known(row, d) for row in rows)]
    flows: list[Flowable] = []
    for dimension in used:
        title = blocks.heading(s, s.say(f"measured.{dimension}"))
        flows += [Space(3 * mm), Together([title, _table(s, rows, dimension)])]
    return [*flows, Space(1 * mm), blocks.note(s, s.say("measured.note"))] if used else []


def _table(s: Setting, rows: Sequence[Account], dimension: Dimension) -> Flowable:
    sides = [seen for seen in SEEN if any(row.seen == seen for row in rows)]
    states = [now for now in NOW if any(row.now == now and _known(row, dimension) for row in rows)]
    cells = {(row.seen, row.now): _cell(s, _of(row, dimension)) for row in rows}
    heads = [s.say("head.state"), *[s.say(f"head.{seen}") for seen in sides]]
    share = (1 - _STATE) / len(sides)
    return DataTable(
        [plain(head, s.styles.head) for head in heads],
        [_line(s, now, [cells.get((seen, now), "\u2013") for seen in sides]) for now in states],
        [s.grid.text * _STATE, *[s.grid.text * share] * len(sides)],
        s.styles.table_close,
        row_header=True,
    )


def _line(s: Setting, now: Now, cells: Sequence[str]) -> list[Flowable]:
    return [plain(text, s.styles.cell) for text in (s.token(now), *cells)]


def _of(row: Account, dimension: Dimension) -> Measured | None:
    return next((one for one in row.measured if one.dimension == dimension), None)


def _known(row: Account, dimension: Dimension) -> bool:
    """Whether any part of the line has a measure."""
    one = _of(row, dimension)
    return one is not None and _number(one.high) > 0


def _cell(s: Setting, one: Measured | None) -> str:
    """ "3.72 dm²", "0 to 3.72 dm²; 2 parts without a measure"."""
    if one is None:
        return "\u2013"
    without = s.say("measured.without", n=one.without) if one.without else ""
    if _number(one.high) <= 0:
        return without or "\u2013"
    amount = s.say(f"measured.{one.unit}", n=span(s, one))
    return s.and_also([amount, without]) if without else amount


def span(s: Setting, one: Measured) -> str:
    """The range to two decimals, a length to the millimetre, never narrower than the record's."""
    step = _STEP[one.unit]
    if one.low == one.high:
        return _written(s, _number(one.low).quantize(step, ROUND_HALF_EVEN))
    low = _number(one.low).quantize(step, ROUND_FLOOR)
    high = _number(one.high).quantize(step, ROUND_CEILING)
    return s.say("account.range", low=_written(s, low), high=_written(s, high))


def _number(text: str) -> Decimal:
    """What a record's decimal says; 0 for a text that is none (a record under check can hold anything)."""
    return Decimal(text) if _DECIMAL.fullmatch(text) else Decimal(0)


def _written(s: Setting, number: Decimal) -> str:
    text = f"{number:f}"
    return s.number(text.rstrip("0").rstrip("."))
