"""The account by measure, against values counted by hand and decimal arithmetic of the standard library."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal, localcontext
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.account.joint import joints
from dossier.account.lines import account_of
from dossier.account.parts import parts_now
from dossier.account.weights import amount_of, decimal
from dossier.model.counted import Measured
from dossier.model.rows import Part, Work


def measured(parts: list[Part], work: list[Work]) -> dict[tuple[str, str], tuple[str, str, int]]:
    account = account_of(parts, parts_now(parts, work))
    return {(a.now, m.dimension): (m.low, m.high, m.without) for a in account for m in a.measured}


@pytest.mark.parametrize(
    ("written", "dimension", "low", "high", "each"),
    [
        ("12.5 dm2", "area", "12.5", "12.5", False),
        ("12,5 dm\u00b2", "area", "12.5", "12.5", False),
        ("0.4 m2", "area", "40", "40", False),
        ("12-13 dm2", "area", "12", "13", False),
        ("1 ft2", "area", "9.290304", "9.290304", False),  # 0.3048 m squared, 1959 agreement
        ("1.2 m", "length", "1.2", "1.2", False),
        ("35 mm long", "length", "0.035", "0.035", False),
        ("1 in each", "length", "0.0254", "0.0254", True),
        ("2.4 m together", "length", "2.4", "2.4", False),
        ("30 cm each", "length", "0.3", "0.3", True),
        ("2\u00bd m long", "length", "2.5", "2.5", False),
        ("2.4 m total length", "length", "2.4", "2.4", False),
        ("1 m (each)", "length", "1", "1", True),
        ("6 ft 3 in", "length", "1.905", "1.905", False),
        ("60 cm length", "length", "0.6", "0.6", False),
        ("340 g", "mass", "340", "340", False),
        ("1.5 kg", "mass", "1500", "1500", False),
        ("1 lb", "mass", "453.59237", "453.59237", False),  # 1959 agreement
        ("2 g each", "mass", "2", "2", True),
        ("each 3 g", "mass", "3", "3", True),
        ("60 cm (long, each)", "length", "0.6", "0.6", True),
        ("3 g [each].", "mass", "3", "3", True),
        ("3 g per piece", "mass", "3", "3", True),
        ("3 g/pc", "mass", "3", "3", True),
        ("60 cm each long", "length", "0.6", "0.6", True),
    ],
)
def test_what_is_read(written: str, dimension: str, low: str, high: str, each: bool) -> None:
    amount = amount_of(written)
    assert amount is not None
    assert (amount.dimension, decimal(amount.low), decimal(amount.high, up=True)) == (dimension, low, high)
    assert amount.each is each


@pytest.mark.parametrize(
    ("language", "written", "metres_or_grams"),
    [
        ("de", "je 1,42 m", "1.42"),
        ("de", "1,42 m je St\u00fcck", "1.42"),
        ("de", "je 142 cm", "1.42"),
        ("fr", "3,5 g chacun", "3.5"),
        ("it", "3,5 g ciascuno", "3.5"),
        ("es", "cada uno 3,5 g", "3.5"),
        ("ja", "\u54043.5 g", "3.5"),
        ("en", "3,5 g each", "3.5"),
    ],
)
def test_of_each_in_any_language(language: str, written: str, metres_or_grams: str) -> None:
    amount = amount_of(written, language)
    assert amount is not None and amount.each
    assert decimal(amount.low) == metres_or_grams


@pytest.mark.parametrize(
    "written",
    [
        "",
        "large",
        "12",
        "8 oz",
        "8 oz leather",
        "9 iron",
        "30 x 40 cm",
        "2 m and 3 m",
        "0 dm2",
        "Tex 40",
        "12 SPI",
        "356 mm",  # of a sphere: any length but one along the part
        "6.35 mm across",
        "3 m high",
        "24 mm across each",
        "3 mm thick each",
        "2 m wide",
        "2 m overall height",
        "2\u00bd m \u00d8",
        "340 g (altogether, not for each)",
        "340 g, not each",
        "3 g (dry, each)",
        "3 g each, except one",
        "a piece 12 dm2",
        "340 g (a piece is missing)",
        "12 dm2 (each side)",
        "3 mm thickness each",
        "2 m of cord",  # or of a cord of 2 m across
        "2 m in diameter",
        "24 mm (across)",
        "1 in",
    ],
)
def test_what_cannot_be_added_up_is_no_measure(written: str) -> None:
    """A thickness, two sides, several, or what can be read in two ways (an ounce of leather or of weight)."""
    assert amount_of(written) is None


def test_some_pieces_of_a_row_measured_together() -> None:
    """12 rivets of 60 g in all, 5 replaced: of the new between 0 and 60 g are known, of the others too."""
    rivets = [Part(number="1", part="rivets", pieces=12, came_as="original", measure="60 g")]
    found = measured(rivets, [Work(number=1, parts=("1",), pieces=5, done="replaced")])
    assert found["new, likeness not known", "mass"] == ("0", "60", 0)
    assert found["original, no work recorded", "mass"] == ("0", "60", 0)


def test_without_any_measure_there_is_none() -> None:
    parts = [Part(number="1", part="body", came_as="original")]
    assert all(not a.measured for a in account_of(parts, parts_now(parts, [])))


@settings(deadline=None, max_examples=300)
@given(st.fractions(min_value=0, max_value=10**6))
def test_decimal_text_rounds_a_range_outward(value: Fraction) -> None:
    """Against decimal.Decimal: six places, down and up."""
    with localcontext(prec=60):
        exact = Decimal(value.numerator) / Decimal(value.denominator)
        six = Decimal("0.000001")
        assert Decimal(decimal(value)) == exact.quantize(six, ROUND_FLOOR)
        assert Decimal(decimal(value, up=True)) == exact.quantize(six, ROUND_CEILING)


@settings(deadline=None, max_examples=200)
@given(
    st.lists(
        st.tuples(st.integers(1, 9999), st.sampled_from(["cleaned", "replaced", ""])), min_size=1, max_size=9
    )
)
def test_whole_parts_add_up_to_what_was_measured(typed: list[tuple[int, str]]) -> None:
    """In hundredths of a square decimetre, added up by integers."""
    parts = [
        Part(number=str(n), part="panel", came_as="original", measure=f"{hundredths / 100:.2f} dm2")
        for n, (hundredths, _) in enumerate(typed)
    ]
    work = [
        Work(number=n, parts=(str(n),), done=done)  # type: ignore[arg-type]
        for n, (_, done) in enumerate(typed)
        if done
    ]
    lines: list[Measured] = [m for a in account_of(parts, parts_now(parts, work)) for m in a.measured]
    assert all(m.low == m.high and m.without == 0 for m in lines)
    assert sum(Decimal(m.low) for m in lines) * 100 == sum(hundredths for hundredths, _ in typed)


@pytest.mark.parametrize(
    "written", ["under 12 dm2", "<12 dm2", "about 12 dm2", "up to 12 dm2", "-12 dm2", "not 12 dm2"]
)
def test_a_measure_that_says_less_than_its_figure_counts_for_nothing(written: str) -> None:
    assert amount_of(written) is None
    assert amount_of("12 dm2 of the front") is not None


def test_a_measure_of_each_goes_with_the_pieces_of_its_line() -> None:
    """Two of ten of 3 g each in two rows: 6 g are new, whichever they are."""
    straps = [
        Part(number="1", part="straps", pieces=10),
        Part(number="2", part="old", part_of="1", pieces=5, came_as="original", measure="3 g each"),
        Part(number="3", part="others", part_of="1", pieces=5, came_as="original", measure="3 g each"),
    ]
    work = [Work(number=1, parts=("1",), pieces=2, done="replaced")]
    now = parts_now(straps, work)
    found = {a.now: a.measured[0] for a in account_of(straps, now, joints(straps, work))}
    assert (found["new, likeness not known"].low, found["new, likeness not known"].high) == ("6", "6")
    assert (found["original, no work recorded"].low, found["original, no work recorded"].high) == ("24", "24")
