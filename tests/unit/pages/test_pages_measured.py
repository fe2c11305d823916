"""The account by measure, opinions of worth and stitch holes on the pages.

Values by hand: two square feet are 18.580608 dm2 (international foot, 0.3048 m exactly).
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from typing import Any

import msgspec
import pytest
from babel.numbers import format_decimal
from hypothesis import given
from hypothesis import strategies as st

from dossier.model.counted import Account, Measured
from dossier.model.record import OpenRecord
from dossier.model.rows import AgreementDetail, Value, Work
from dossier.pages import measured_tables
from dossier.pages.document import PageOptions
from dossier.pages.sections import agreements, work_log
from dossier.pages.setting import Setting
from dossier.words.dates import written_number

TWO_SQUARE_FEET = "18.580608"


@pytest.fixture
def setting(rich_record: OpenRecord, page_options: Callable[..., PageOptions]) -> Setting:
    return Setting(rich_record, {}, page_options())


def area(low: str, high: str, without: int = 0) -> Measured:
    return Measured(dimension="area", unit="dm2", low=low, high=high, without=without)


def row(*measured: Measured, now: Any = "original, treated") -> Account:
    return Account(
        seen="outside",
        now=now,
        parts_low=1,
        parts_high=1,
        pieces_low=1,
        pieces_high=1,
        parts=("1",),
        measured=measured,
    )


def test_nothing_is_said_where_nothing_is_measured(setting: Setting) -> None:
    for account in ((row(),), (row(area("0", "0", without=1)),)):
        setting.payload = msgspec.structs.replace(setting.payload, account=account)
        assert measured_tables.measured_tables(setting) == []


def test_an_exact_measure_is_rounded_and_a_range_only_widened(setting: Setting) -> None:
    assert measured_tables.span(setting, area(TWO_SQUARE_FEET, TWO_SQUARE_FEET)) == "18.58"
    assert measured_tables.span(setting, area("0", TWO_SQUARE_FEET)) == "0 to 18.59"
    assert measured_tables.span(setting, area("18.580608", "18.589")) == "18.58 to 18.59"


@given(
    st.decimals(0, 10**6, places=6).map(lambda d: f"{d:f}"),
    st.decimals(0, 10**6, places=6).map(lambda d: f"{d:f}"),
)
def test_a_range_is_never_narrower_than_the_records(one: str, other: str) -> None:
    low, high = sorted((one, other), key=Fraction)

    class Plain:
        def say(self, _key: str, **values: object) -> str:
            return f"{values['low']} {values['high']}"

        def number(self, text: str) -> str:
            return text

    shown = measured_tables.span(Plain(), area(low, high)).split()  # type: ignore[arg-type]
    if Fraction(low) == Fraction(high):
        return
    assert Fraction(shown[0]) <= Fraction(low) <= Fraction(high) <= Fraction(shown[-1])
    assert Fraction(low) - Fraction(shown[0]) < Fraction(1, 100)


def test_a_part_without_a_measure_is_said_to_count_for_nothing(setting: Setting) -> None:
    rows = (row(area("0", "0", without=2)), row(area("3", "3", without=1), now="not known"))
    cells = [measured_tables._cell(setting, one.measured[0]) for one in rows]
    assert cells == ["2 parts without such a measure", "3 dm²; 1 part without such a measure"]


def test_what_has_no_measure_stands_behind_the_mark_of_its_language(
    rich_record: OpenRecord, page_options: Callable[..., PageOptions]
) -> None:
    """French has a space before a semicolon (Lexique des règles typographiques, from memory)."""
    french = Setting(rich_record, {}, page_options(language="fr"))
    cell = measured_tables._cell(french, area("3.72", "3.72", without=2))
    assert cell == "3,72 dm²\u00a0; 2 éléments sans une telle mesure"


def test_a_number_has_the_decimal_mark_of_its_language() -> None:
    """Held against Babel's own formatting of the same number."""
    for language in ("de", "fr", "it", "es", "ja"):
        own = format_decimal(Decimal("12.5"), locale=language)
        assert written_number(language, "12.5") == own


def test_what_changed_is_a_range_with_its_signs(setting: Setting) -> None:
    """Before 400 to 600, after 500 to 900: 500 - 600 = -100 to 900 - 400 = 500, by hand."""
    value = Value(
        when="after",
        low="500",
        high="900",
        currency="GBP",
        date="2026-05-01",
        by="A. Valuer",
        basis="sales of like pieces",
        change_low="-100",
        change_high="500",
    )
    assert agreements._value(setting, value) == (
        "500 to 900 GBP (after, 1 May 2026, the opinion of A. Valuer, sales of like pieces). An opinion, not "
        "a fact about the object. After less before, each a range: \u2212100 to +500 GBP."
    )


def test_an_amount_is_shown_without_the_zeros_in_front(setting: Setting) -> None:
    value = Value(low="021.125", high="0.5", currency="KWD")
    assert agreements._value(setting, value).startswith("21.125 to 0.5 KWD")


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"currency": "EUR"}, "are in different currencies"),
        ({"by": "B. Other"}, "do not name the same person"),
        ({"basis": "to buy again"}, "do not state the same basis"),
        ({}, "several opinions could be meant"),
        ({"when": ""}, ""),
    ],
)
def test_why_no_change_is_worked_out_is_said(setting: Setting, changed: Any, why: str) -> None:
    after = Value(when="after", low="5", high="9", currency="GBP", by="A. Valuer", basis="sales")
    before = msgspec.structs.replace(after, **({"when": "before"} | changed))
    apart = msgspec.structs.replace(setting.apart, values=(before, after))
    setting.apart = apart
    said = agreements._value(setting, after)
    assert (why in said) and ("not worked out" in said) is bool(why)


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("yes", "by hand; the old stitch holes were used"),
        ("partly", "by hand; the old stitch holes were used in part"),
        ("no", "by hand; the old stitch holes were not used"),
        ("", "by hand"),
    ],
)
def test_stitch_holes_are_said_where_they_are_given(setting: Setting, word: Any, said: str) -> None:
    work = Work(number=1, parts=("1",), done="repaired", how="by hand", stitch_holes=word)
    assert work_log.how(setting, work) == said


@pytest.mark.parametrize(
    ("word", "before", "after", "said"),
    [
        ("yes", 64, 64, "the old stitch holes were used; stitch holes counted: 64 before, 64 after"),
        ("partly", 60, None, "the old stitch holes were used in part; stitch holes counted before: 60"),
        ("", None, 7, "stitch holes counted after: 7"),
        ("no", 0, 64, "the old stitch holes were not used; stitch holes counted: 0 before, 64 after"),
    ],
)
def test_counted_stitch_holes_are_said_as_far_as_they_are_given(
    setting: Setting, word: Any, before: int | None, after: int | None, said: str
) -> None:
    work = Work(
        number=1, parts=("1",), done="repaired", stitch_holes=word, holes_before=before, holes_after=after
    )
    assert work_log.how(setting, work) == said


@pytest.mark.parametrize(
    ("product", "said"),
    [("wax", "by hand; wax (batch 61)"), ("", "by hand; batch 61"), ("By hand.", "by hand; batch 61")],
)
def test_a_batch_stands_behind_its_product(setting: Setting, product: str, said: str) -> None:
    """Nothing stands in brackets alone; what was typed in both columns stands once."""
    work = Work(number=1, parts=("1",), done="added", how="by hand", product=product, batch="61")
    assert work_log.how(setting, work) == said


def test_what_was_agreed_has_no_stop_before_a_semicolon(
    rich_record: OpenRecord, page_options: Callable[..., PageOptions]
) -> None:
    setting = Setting(rich_record, {}, page_options())
    told = AgreementDetail(number="A1", what="A new cap.", how="on the telephone")
    assert agreements._detail(setting, told) == "A new cap; on the telephone"
    assert agreements._detail(setting, AgreementDetail(number="A1", what="A new cap.")) == "A new cap."
