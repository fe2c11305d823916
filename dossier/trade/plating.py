"""Plating by figures: what a bath laid down on average, what it holds of fine gold, which words that allows.

Faraday's law gives a mean over the whole surface; it never proves the least thickness "throughout" that the
trade terms ask for. What is not stated makes a range. Not here: reading what a plater wrote (`plater`),
words, and anything on how to run a bath.

Sources: F is exact since the SI of 2019 (CODATA 96485.33212 C/mol); molar masses are IUPAC's abridged values;
densities are usual handbook values (from memory), gold 19.3 g/cm3 as the fine-gold equivalent takes it.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from dossier.trade.units import Span

FARADAY = Fraction("96485.33212")  # C/mol
FINE_KARAT = 24
FINE_DENSITY = Fraction("19.3")  # g/cm3
_LIGHT, _HEAVY = Fraction("8.96"), Fraction("10.49")  # copper and silver, between which gold's alloys lie


class Metal(NamedTuple):
    """Molar mass in g/mol, density in g/cm3, and the charges it has in plating baths."""

    molar: Fraction
    density: Fraction
    charges: tuple[int, ...]


METALS: dict[str, Metal] = {
    "gold": Metal(Fraction("196.96657"), FINE_DENSITY, (1, 3)),
    "silver": Metal(Fraction("107.8682"), _HEAVY, (1,)),
    "copper": Metal(Fraction("63.546"), _LIGHT, (1, 2)),
    "nickel": Metal(Fraction("58.6934"), Fraction("8.90"), (2,)),
    "palladium": Metal(Fraction("106.42"), Fraction("12.02"), (2,)),
    "rhodium": Metal(Fraction("102.9055"), Fraction("12.41"), (3,)),
}


def mass(metal: Metal, charge: int, coulombs: Fraction, efficiency: Fraction = Fraction(1)) -> Fraction:
    """Grams laid down by `coulombs` at a current efficiency of 0 to 1."""
    return coulombs * metal.molar * efficiency / (charge * FARADAY)


def mean_thickness(
    metal: Metal, charge: int, coulombs: Fraction, area: Fraction, efficiency: Fraction = Fraction(1)
) -> Fraction:
    """Mean thickness in micrometres over `area` (dm2): t = I tau M eff / (n F rho A)."""
    centimetres = mass(metal, charge, coulombs, efficiency) / (metal.density * area * 100)
    return centimetres * 10_000


def thickness_span(
    metal: Metal, charges: tuple[int, ...], coulombs: Span, area: Span, efficiency: Span
) -> Span:
    """Least and most mean thickness (µm) of everything that the figures leave open."""
    low = mean_thickness(metal, max(charges), coulombs[0], area[1], efficiency[0])
    high = mean_thickness(metal, min(charges), coulombs[1], area[0], efficiency[1])
    return low, high


def fine_gold(thickness: Span, karat: Fraction, density: Span) -> Span:
    """Fine-gold equivalent (µm): thickness * (density / 19.3) * (karat / 24)."""
    share = karat / FINE_KARAT / FINE_DENSITY
    return thickness[0] * density[0] * share, thickness[1] * density[1] * share


def alloy_density(karat: Fraction) -> Span:
    """Density (g/cm3) of an alloy whose other metals are not known: from all copper to all silver.

    By the rule of mixtures (volumes add up), which real alloys keep to within a few hundredths.
    """
    gold = karat / FINE_KARAT
    low, high = (1 / (gold / FINE_DENSITY + (1 - gold) / other) for other in (_LIGHT, _HEAVY))
    return low, high


class Term(NamedTuple):
    """A trade term, from how many micrometres of fine gold, and where it stands."""

    key: str  # in words, trade.term
    least: Fraction
    section: str


# 16 CFR 23.3 (its thickness terms were read in an earlier edition and in secondary pages only) and 23.4
# (read), both of at least 10 kt and of fine-gold equivalent.
LEAST_KARAT = 10
TERMS = (
    Term("heavy_gold_electroplate", Fraction("2.5"), "16 CFR 23.3"),
    Term("gold_electroplate", Fraction("0.175"), "16 CFR 23.3"),
    Term("gold_flashed", Fraction(0), "16 CFR 23.3"),
)
# Not what a figure allows, only what typed words ask for: it is above the electroplate's and by any process.
GOLD_PLATE = Term("gold_plate", Fraction("0.5"), "16 CFR 23.3, from memory")
VERMEIL = Term("vermeil", Fraction("2.5"), "16 CFR 23.4")


def term_for(fine: Span) -> tuple[Term, ...]:
    """The term that a fine-gold equivalent (µm) allows if it is the least everywhere.

    Several where the span reaches over a limit, the one for its lower end first; none for a thickness of 0.
    """
    reached = [term for term in reversed(TERMS) if term.least <= fine[1]]
    sure = [term for term in reached if term.least <= fine[0]]
    return tuple(reached[len(sure) - 1 :]) if fine[0] > 0 else ()
