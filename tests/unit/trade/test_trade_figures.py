"""Figures of the trade against published and hand-worked values; the source stands beside each."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dossier.model.job import Job, Workshop
from dossier.model.rows import Calculation, Measurement, Object, Part, Plating, Value
from dossier.trade import cuts, figures, plater, plating
from dossier.trade.reckon import reckonings
from dossier.trade.units import INCH, UNITS, Quantity, Unclear
from dossier.trade.values import AmountError, Range, amount, with_changes
from dossier.trade.written import find, parse
from dossier.words import Catalogue

WORDS = Catalogue("en")
GOLD = plating.METALS["gold"]


def job(**members: object) -> Job:
    return Job(number="1", workshop=Workshop(name="W"), object=Object(type="bag"), **members)  # type: ignore[arg-type]


def metric(text: str, about: str) -> Fraction:
    """What is written, in the base unit of its dimension."""
    read = parse(text, about)
    assert isinstance(read, Quantity)
    return UNITS[read.unit].base(read.spans[0][0])


def test_faraday_gold_one() -> None:
    """Au(I): 3600 C carry 196.96657 / 96485.33 * 3600 = 7.3491 g; 0.63464 um per A min/dm2 (hand values)."""
    assert float(plating.mass(GOLD, 1, Fraction(3600))) == pytest.approx(7.3491, abs=5e-5)
    assert float(plating.mean_thickness(GOLD, 1, Fraction(60), Fraction(1))) == pytest.approx(
        0.63464, abs=5e-6
    )
    needed = Fraction(5, 2) / plating.mean_thickness(GOLD, 1, Fraction(60), Fraction(1))
    assert float(needed) == pytest.approx(3.9393, abs=1e-4)  # A min/dm2 for 2.5 um
    three = plating.mass(GOLD, 3, Fraction(3600))
    assert three * 3 == plating.mass(GOLD, 1, Fraction(3600))


@pytest.mark.parametrize(
    ("text", "base"),
    [
        (".5 micron", "0.0005"),
        (".125 in", "3.175"),
        ("0.5 µ", "0.0005"),
        ('100 µ"', "0.00254"),
        ("9 st/in", str(25.4 / 9)),
    ],
)
def test_figures_as_american_platers_and_saddlers_type_them(text: str, base: str) -> None:
    """1 in is 25.4 mm, so 100 millionths of one are 2.54 µm (international inch, 1959)."""
    assert float(metric(text, "")) == pytest.approx(float(base))


def test_a_thickness_above_what_the_bath_can_have_laid_down_is_said() -> None:
    """0.5 A, 20 min, 35 cm2 of nickel: 600 * 58.6934 / (2 * 96485.33 * 8.9 * 35) cm = 5.86 µm at most."""
    bath = Plating(metal="nickel", current="0.5 A", time="20 min", area="35 cm2")
    for thickness, what, more in (
        ("10 µm", "mean", True),
        ("10 µm", "one place", False),
        ("5.8 µm", "least", False),
        ("5.9 µm", "least", True),
    ):
        row = msgspec.structs.replace(bath, thickness=thickness, thickness_is=what)
        (found,) = plater.reckonings(row, "plating/1", WORDS)
        assert "5.86 µm" in found.text
        assert (f"The thickness stated, {thickness}, is more" in found.text) is more


def test_the_karat_may_stand_with_the_metal() -> None:
    typed = plater.read(Plating(metal="18k gold", thickness="2.5 µm"))
    assert (typed.metal, typed.karat) == ("gold", 18)
    assert plater.read(Plating(metal="14-karat yellow gold")).karat == 14
    assert plater.read(Plating(metal="18k gold", karat="750")).karat == 18
    assert plater.read(Plating(metal="gold")).karat is None


@pytest.mark.parametrize(
    ("metal", "karat"),
    [("gold, 23.5 kt", "23.5"), ("gold (18 ct)", "18"), ("gold 750", "18"), ("585/1000 gold", "14.04")],
)
def test_karat_or_fineness_behind_the_metal(metal: str, karat: str) -> None:
    """750/1000 of 24 is 18, 585/1000 is 14.04; 2.5 µm called the least are at least so much of fine gold."""
    row = Plating(metal=metal, thickness="2.5 µm min.")
    assert (plater.read(row).metal, plater.read(row).karat) == ("gold", Fraction(karat))
    (fine, term) = reckonings(job(plating=(row,)), WORDS)
    assert " is at least " in fine.text and "–" not in fine.text and "electroplate" in term.text
    assert plater.read(Plating(metal="silver 925")).metal == ""  # an alloy, not reckoned as silver


@pytest.mark.parametrize(
    ("language", "metal", "karat"),
    [
        ("en", "fine gold", 24),  # that is what fine means: 16 CFR 23.4 counts in it
        ("de", "Feingold", 24),
        ("ja", "純金", 24),
        ("ja", "K18", 18),  # a karat is of gold
        ("ja", "Ｋ１８金", 18),
        ("es", "oro de 18 quilates", 18),
        ("fr", "or à 18 carats", 18),
        ("en", "18k", 18),
    ],
)
def test_gold_by_the_names_that_platers_give_it(language: str, metal: str, karat: int) -> None:
    stated = plater.read(Plating(metal=metal), language)
    assert (stated.metal, stated.karat) == ("gold", karat)


@pytest.mark.parametrize("metal", ["gold-cobalt", "acid hard gold", "white gold", "gold over nickel"])
def test_what_is_no_plain_gold_is_said_to_be_none(metal: str) -> None:
    (term,) = reckonings(job(plating=(Plating(metal=metal, thickness="2.5 µm"),)), WORDS)
    assert "is not plain gold of one karat, so none of the words" in term.text
    assert reckonings(job(plating=(Plating(metal="brass", thickness="2.5 µm"),)), WORDS) == ()


def test_published_worked_examples() -> None:
    """Two textbook exercises on gold plating, Au(III): 80 cm2 to 8e-4 cm at 2.4 A takes 772 s (with density
    19.7, molar mass 197, F 96500); 10.2 A for 12 min lay down 4.997 g."""
    textbook = plating.Metal(Fraction(197), Fraction("19.7"), (3,))
    coulombs = Fraction("2.4") * 772
    assert float(plating.mean_thickness(textbook, 3, coulombs, Fraction("0.8"))) == pytest.approx(
        8.0, rel=1e-3
    )
    assert float(plating.mass(textbook, 3, Fraction("10.2") * 12 * 60)) == pytest.approx(4.997, rel=1e-3)


def test_fine_gold_equivalent() -> None:
    """14 kt at 13.1 g/cm3 needs 6.31 um for 2.5 um of fine gold: 2.5 * 19.3 / 13.1 * 24 / 14."""
    density = (Fraction("13.1"), Fraction("13.1"))
    low, high = plating.fine_gold((Fraction("6.315"), Fraction("6.315")), Fraction(14), density)
    assert low == high
    assert float(low) == pytest.approx(2.5, abs=2e-3)


@pytest.mark.parametrize(
    ("fine", "key"),
    [
        ("0.1", "gold_flashed"),
        ("0.175", "gold_electroplate"),
        ("2.4", "gold_electroplate"),
        ("2.5", "heavy_gold_electroplate"),
    ],
)
def test_trade_terms(fine: str, key: str) -> None:
    """16 CFR 23.3: 7 microinch (0.175 um) and 2.5 um are the limits."""
    span = (Fraction(fine), Fraction(fine))
    (term,) = plating.term_for(span)
    assert term.key == key
    assert term.section == "16 CFR 23.3"


def test_a_thickness_across_a_limit_allows_no_one_term() -> None:
    keys = [term.key for term in plating.term_for((Fraction("2.4"), Fraction("2.6")))]
    assert keys == ["gold_electroplate", "heavy_gold_electroplate"]


@pytest.mark.parametrize(
    ("written", "about", "base"),
    [
        (
            "8 oz",
            "thickness of the leather",
            "3.175",
        ),  # 1 oz = 1/64 in = 0.396875 mm (common practice, no source)
        ("1 iron", "leather", "0.529166666667"),  # 1/48 in (common practice, no source)
        ("1 ft2", "", "9.290304"),  # dm2; international foot, 0.3048 m exactly
        ("3/16 in", "", "4.7625"),
        ("12 SPI", "stitches", "2.116666666667"),  # 25.4 / 12
        ("3,5 mm", "", "3.5"),
    ],
)
def test_units_as_people_write_them(written: str, about: str, base: str) -> None:
    assert float(metric(written, about)) == pytest.approx(float(base), abs=1e-9)


def test_thread_numbers() -> None:
    """Tex 40 is 360 denier (9 * Tex) and metric ticket 75 (3000 / Tex)."""
    tex = metric("Tex 40", "thread")
    assert UNITS["denier"].amount(tex) == 360
    assert UNITS["metric ticket"].amount(tex) == 75
    assert parse("360 den", "thread") is not None
    assert metric("360 den", "thread") == tex


def test_ounces_without_a_subject_are_unclear() -> None:
    assert isinstance(parse("8 oz", ""), Unclear)


@pytest.mark.parametrize(
    ("text", "about", "least", "most"),
    [
        # Leather and soles are sold in ranges: 8/9 oz is 8 to 9 times 1/64 in (common practice, no source).
        ("8/9 oz", "leather", INCH * 8 / 64, INCH * 9 / 64),
        ("9/10 iron", "", INCH * 9 / 48, INCH * 10 / 48),
        ("10/12 mm", "", Fraction(10), Fraction(12)),
        # What inches and weights are divided into stays a fraction.
        ("7/8 in", "", INCH * 7 / 8, INCH * 7 / 8),
        ("1/2 oz leather", "", INCH / 128, INCH / 128),
        (
            "3/4 oz",
            "weight",
            Fraction(45_359_237, 1_600_000) * 3 / 4,
            Fraction(45_359_237, 1_600_000) * 3 / 4,
        ),
        # 5 ft 6 in = 66 in, with and without a space; a troy ounce is 31.1034768 g (from memory).
        ("5'6\"", "", 66 * INCH, 66 * INCH),
        ("3 oz troy", "weight", 3 * Fraction(311_034_768, 10**7), 3 * Fraction(311_034_768, 10**7)),
    ],
)
def test_a_slash_is_a_range_where_nobody_uses_such_a_fraction(
    text: str, about: str, least: Fraction, most: Fraction
) -> None:
    read = parse(text, about)
    assert isinstance(read, Quantity)
    assert read.base == (least, most)


@pytest.mark.parametrize("text", ["3/4 oz leather", "2/3 oz leather", "3/4 mm"])
def test_a_slash_that_can_be_both_is_unclear(text: str) -> None:
    """3/4 oz of leather is sold as 3 to 4 oz, and is a fraction to everybody else (common practice)."""
    read = parse(text, "")
    assert isinstance(read, Unclear) and read.why == "slash"
    made = job(parts=(Part(number="1", part="front", material=text),))
    (said,) = reckonings(made, WORDS)
    assert said.code == "unclear" and "a fraction or a range" in said.text


@pytest.mark.parametrize("language", ["de", "fr", "it", "es", "ja"])
def test_an_inch_is_read_by_its_sign_in_every_language(language: str) -> None:
    """An inch is 25.4 mm by the agreement of 1959; where a word follows, "in" is the preposition."""
    read = parse("14 1/2 in", "", language)
    assert isinstance(read, Quantity) and read.base[0] == INCH * 29 / 2
    assert find("2 in einem Stück", "", language) == []


@pytest.mark.parametrize("language", ["en", "de", "fr", "it", "es", "ja"])
def test_an_ounce_of_the_leather_of_a_cut_is_one_of_leather(language: str) -> None:
    """2 oz = 2/64 in = 0.79375 mm; the member says what is measured, in whatever language."""
    assert cuts.length("2 oz", "leather", language) == INCH * 2 / 64


def test_a_side_behind_an_inch_sign_is_read_too() -> None:
    """3 1/2 in and 2 1/4 in: the second sign closes no quotation; in one it does."""
    assert [one.written for one in find('3 1/2" x 2 1/4"')] == ['3 1/2"', '2 1/4"']
    assert [one.written for one in find('stamped "K 17", 3" wide')] == ['3"']


def test_reckonings_stand_beside_what_was_written() -> None:
    made = job(
        parts=(Part(number="1", part="front", material="8 oz leather, vegetable tanned"),),
        measurements=(Measurement(what="height", value="10", unit="in"),),
    )
    found = {one.given: one for one in reckonings(made, WORDS)}
    assert "254 mm" in found["10 in"].text
    assert found["10 in"].rows == ("measurements/1",)
    assert any("3.18 mm" in one.text or "3.175 mm" in one.text for one in found.values())


def test_a_plating_says_that_a_mean_proves_no_minimum() -> None:
    row = Plating(
        parts=("1",), metal="gold", karat="24 kt", current="1 A", time="4 min", area="1 dm2", valence="1"
    )
    texts = " ".join(one.text for one in reckonings(job(plating=(row,)), WORDS))
    assert "2.54" in texts  # 0.63464 um * 4
    assert "mean" in texts or "average" in texts


def test_a_board_is_smaller_than_its_cavity_by_the_leather_that_wraps_it() -> None:
    """Common practice, no source: each edge loses the leather's thickness, so 200 - 2 * 1.2 = 197.6 mm."""
    size = cuts.cut_size("board", Fraction(200), {"leather": Fraction("1.2"), "board": Fraction(2)})
    assert size == Fraction("197.6")
    row = Calculation(
        what="floor",
        kind="board",
        cavity_length="200 mm",
        cavity_width="100 mm",
        leather="1.2 mm",
        board="2 mm",
    )
    assert any("197.6" in one.text for one in reckonings(job(calculations=(row,)), WORDS))


amounts = st.decimals(min_value=0, max_value=10**6, places=2)


@given(amounts, amounts, amounts, amounts, st.fractions(0, 1), st.fractions(0, 1))
def test_interval_arithmetic_loses_no_value(
    a: Decimal, b: Decimal, c: Decimal, d: Decimal, p: Fraction, q: Fraction
) -> None:
    after, before = Range(min(a, b), max(a, b)), Range(min(c, d), max(c, d))
    change = after.less(before)
    x = Fraction(after.low) + p * (Fraction(after.high) - Fraction(after.low))
    y = Fraction(before.low) + q * (Fraction(before.high) - Fraction(before.low))
    assert Fraction(change.low) <= x - y <= Fraction(change.high)


def test_values_change_only_as_a_range() -> None:
    """140-230 before, 780-1120 after: least 780 - 230 = 550, most 1120 - 140 = 980 (by hand)."""
    before = Value(when="before", low="140", high="230", currency="EUR", by="W")
    after = Value(when="after", low="780", high="1120", currency="EUR", by="W")
    _, changed = with_changes((before, after), {"W": "W"})
    assert (changed.change_low, changed.change_high) == ("550", "980")
    assert changed.own


def said_of(**stated: str) -> str:
    rows = reckonings(job(plating=(Plating(metal="gold", **stated),)), Catalogue("en"))  # type: ignore[arg-type]
    return " ".join(row.text for row in rows)


@pytest.mark.parametrize(
    ("base", "fits"),
    [
        ("sterling silver", True),
        ("Sterling, 925/1000", True),
        ("sterling-plated brass", False),
        ("sterling silver over copper", False),
        ("not sterling", False),
        ("brass", False),
    ],
)
def test_vermeil_is_on_sterling_silver_alone(base: str, fits: bool) -> None:
    """16 CFR 23.4: a base of sterling silver, and a base metal between must be said."""
    text = said_of(karat="24 kt", thickness="3 µm", thickness_is="least", base=base)
    assert ("vermeil" in text) is fits


def test_a_figure_just_short_of_a_limit_is_not_rounded_up_to_it() -> None:
    """6.31 x 13.1 / 19.3 x 14 / 24 = 2.49842 µm: short of 2.5, so it may not read "2.5 µm"."""
    text = said_of(karat="14 kt", thickness="6.31 µm", thickness_is="least", density="13.1 g/cm3")
    assert "2.498 µm of fine gold" in text and "heavy" not in text
    text = said_of(karat="14 kt", thickness="6.32 µm", thickness_is="least", density="13.1 g/cm3")
    assert "2.5 µm of fine gold" in text and "heavy gold electroplate" in text


@pytest.mark.parametrize(
    "thickness",
    [
        "under 2.5 µm",
        "<2.5 µm",
        "about 2.5 µm",
        "not 2.5 µm",
        "2.5 mm",
        "3 µm at corners, thinner inside",
        "2.5",
        "0 µm",
    ],
)
def test_no_trade_word_follows_from_a_thickness_that_says_less_than_its_figure(thickness: str) -> None:
    """16 CFR 23.3 asks for a least thickness: "under 2.5 µm" is none of 2.5 µm."""
    text = said_of(karat="24 kt", thickness=thickness)
    assert "of fine gold" not in text and "electroplate" not in text and "flashed" not in text
    assert "is no clear figure for a plating" in text and "not stated" not in text


@pytest.mark.parametrize("thickness", ["2.5 microns min.", "≥ 2.5 µm", "at least 2.5 µm", "min 2.5µ"])
def test_a_thickness_that_is_called_the_least_is_one(thickness: str) -> None:
    """As platers quote it (common practice, no source); a mean that is called so is none all the same."""
    text = said_of(karat="24 kt", thickness=thickness)
    assert "heavy gold electroplate" in text and "As the least thickness everywhere, which" in text
    assert "of 24 kt is at least 2.5 µm of fine gold" in text
    assert "heavy" not in said_of(karat="24 kt", thickness=thickness, thickness_is="mean")


@pytest.mark.parametrize(
    ("language", "thickness"),
    [
        ("de", "2,5 µm oder mehr"),
        ("fr", "2,5 µm ou plus"),
        ("it", "almeno 2,5 µm"),
        ("es", "2,5 µm o más"),
        ("ja", "2.5 µm以上"),
        ("ja", "最低2.5 µm"),
    ],
)
def test_the_least_is_read_in_other_languages(language: str, thickness: str) -> None:
    stated = plater.read(Plating(metal="gold", karat="24 kt", thickness=thickness), language)
    assert stated.thickness == (Fraction("2.5"), Fraction("2.5"))
    assert plater.least_said(thickness, language)[1]


def test_what_is_written_and_not_clear_is_not_called_unstated() -> None:
    assert "karat is no clear figure" in said_of(karat="18", thickness="3 µm")
    assert "density of the alloy being no clear figure" in said_of(
        karat="18 kt", thickness="3 µm", density="15"
    )


@pytest.mark.parametrize("cavity", ["about 200 mm", "200 mm less play", "-200 mm", "200-202 mm", "200"])
def test_a_cut_is_worked_out_from_plain_lengths_alone(cavity: str) -> None:
    row = Calculation(what="floor", kind="board", cavity_length=cavity, cavity_width="1 m", leather="1 mm")
    assert cuts.lacking(row) == ("cavity_length",) and cuts.blank(row) == ()


@pytest.mark.parametrize(
    ("language", "cavity"),
    [("en", "10 in."), ("en", "10 inches."), ("ja", "２５４ｍｍ"), ("ja", "２５．４　ｃｍ")],
)
def test_a_length_with_a_full_stop_and_one_as_wide_as_kana(language: str, cavity: str) -> None:
    assert cuts.length(cavity, "cavity_length", language) == 254


def test_what_is_written_of_a_cut_adds_up_by_hand() -> None:
    """5 7/8 in are 149.225 mm and 2 oz of leather 2/64 in, 0.79375 mm: 149.225 - 1.5875 = 147.6375 mm."""
    row = Calculation(
        what="tray", kind="board", cavity_length="5 7/8 in", cavity_width="50 mm", leather="2 oz"
    )
    (found,) = cuts.reckonings(row, "calculations/1", WORDS)
    assert found.formula.split("; ")[0] == "149.225 − 2 × 0.7938 = 147.64 mm"
    assert "147.64 × 48.41 mm" in found.text


def test_an_area_of_sides_and_two_charges_are_no_figure() -> None:
    row = Plating(metal="gold", area="2 x 40 cm2", valence="1 or 3")
    assert plater.unreadable(row) == ("area", "valence")


@pytest.mark.parametrize(
    ("currency", "by", "basis", "changed"),
    [
        ("EUR", "w", "Sales  of like pieces", True),
        ("EUR", "Wilma", "sales of like pieces", True),  # whose mark is W
        ("CHF", "W", "sales of like pieces", False),
        ("EUR", "A. Valuer", "sales of like pieces", False),
        ("EUR", "W", "insurance, to buy again", False),
    ],
)
def test_a_change_is_of_one_currency_one_voice_and_one_basis(
    currency: str, by: str, basis: str, changed: bool
) -> None:
    """A price to buy again less a price at auction is no change of anything."""
    before = Value(when="before", low="140", high="230", currency="EUR", by="W", basis="sales of like pieces")
    after = Value(when="after", low="780", high="1120", currency=currency, by=by, basis=basis)
    found = with_changes((before, after), {"W": "Wilma", "Wilma": "Wilma"})[1]
    assert (found.change_low, found.change_high) == (("550", "980") if changed else ("", ""))


@pytest.mark.parametrize(
    ("currency", "low", "high", "change"),
    [("JPY", "80000", "90000", ("60000", "80000")), ("KWD", "021.125", "021.250", ("1.125", "11.250"))],
)
def test_a_change_keeps_the_minor_units_of_its_currency(
    currency: str, low: str, high: str, change: tuple[str, str]
) -> None:
    """By hand: 80000 - 20000, 90000 - 10000; 21.125 - 20, 21.250 - 10 (ISO 4217: none, and three)."""
    first = {"JPY": ("10000", "20000"), "KWD": ("10", "20")}[currency]
    before = Value(when="before", low=first[0], high=first[1], currency=currency)
    after = Value(when="after", low=low, high=high, currency=currency)
    found = with_changes((before, after), {})[1]
    assert (found.change_low, found.change_high) == change


@pytest.mark.parametrize(
    ("text", "currency", "number"),
    [
        ("0.125", "KWD", "0.125"),
        ("021,125", "TND", "21.125"),
        ("1 021.125", "BHD", "1021.125"),
        ("0.5", "EUR", "0.5"),
        ("１２０，０００", "JPY", "120000"),  # as wide as kana
    ],
)
def test_three_decimals_can_be_written_so_that_they_are_no_thousands(
    text: str, currency: str, number: str
) -> None:
    assert amount(text, currency) == Decimal(number)


@pytest.mark.parametrize(
    ("text", "currency", "why"),
    [("21.125", "KWD", "thousands"), ("0.125", "EUR", "digits"), ("0,5", "JPY", "digits")],
)
def test_an_amount_is_never_guessed(text: str, currency: str, why: str) -> None:
    """ "0.125" is an eighth of a euro, which has no such coin, and not 125."""
    with pytest.raises(AmountError) as raised:
        amount(text, currency)
    assert raised.value.why == why


@pytest.mark.parametrize(
    ("text", "karat"),
    [("K18", 18), ("k 14", 14), ("18K", 18), ("18 ct", 18), ("750", 18), ("K25", None), ("K", None)],
)
def test_karat_as_it_is_stamped(text: str, karat: int | None) -> None:
    """750/1000 of 24 is 18; nothing is above 24."""
    assert figures.karat(text) == karat
    assert figures.karat("K18", "ja") == figures.karat("Ｋ１８", "ja") == 18
