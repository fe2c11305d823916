"""What a plater states -> what follows: fine-gold equivalent, the words it allows, the mean of the bath.

Nothing follows from what is not stated: it makes a range, or a sentence that says so. Never how to plate.
Not here: the formulas (`plating`).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import NamedTuple

from dossier.model.record import Reckoning
from dossier.model.rows import Plating
from dossier.trade import figures
from dossier.trade.plating import (
    FINE_KARAT,
    LEAST_KARAT,
    METALS,
    TERMS,
    VERMEIL,
    alloy_density,
    fine_gold,
    term_for,
    thickness_span,
)
from dossier.trade.units import Quantity, Span, Unclear, rounded
from dossier.trade.written import alone
from dossier.words import Catalogue
from dossier.words.compare import normal, phrases, runs_on
from dossier.words.dates import written_number

_DIGITS = 3
_MOST_DIGITS = 9
_TOO_THICK = Fraction(1, 4)  # mm: heavy plating is a tenth of it (common practice, no source)
_ALL = (Fraction(0), Fraction(1))  # an efficiency that is not stated


class Stated(NamedTuple):
    """The figures of a row in their bases; None where not stated or not to be read."""

    metal: str
    karat: Fraction | None
    thickness: Span | None  # µm
    density: Span | None
    current: Span | None  # A
    time: Span | None  # s
    area: Span | None  # dm2
    efficiency: Span | None
    charge: int | None


def read(row: Plating, language: str = "en") -> Stated:
    """The row's figures; a karat that stands with the metal ("18 kt gold") counts where it has none else."""
    within, metal = named(row.metal, language)
    return Stated(
        metal=metal,
        karat=_karat_of(row.karat or within, language),
        thickness=_length(least_said(row.thickness, language)[0], language),
        density=figures.figure(row.density, "density", language),
        current=figures.figure(row.current, "current", language),
        time=figures.figure(row.time, "time", language),
        area=_area(row.area, language),
        efficiency=figures.share(row.efficiency, language),
        charge=figures.charge(row.valence),
    )


def _karat_of(text: str, language: str) -> Fraction | None:
    if _is_fine(text, language):
        return Fraction(FINE_KARAT)
    return figures.karat(text.replace("-", " "), language)


def _is_fine(text: str, language: str) -> bool:
    """Whether a metal, or a karat, is called fine gold."""
    return _plain(text) in Catalogue(language).table("trade.reading")["fine"]


_FIGURES = ("karat", "thickness", "density", "current", "time", "area", "efficiency")


def unreadable(row: Plating, language: str = "en") -> tuple[str, ...]:
    """The members of a row that are written and cannot be read as a figure."""
    stated = read(row, language)
    bad = [name for name in _FIGURES if getattr(row, name) and getattr(stated, name) is None]
    return (*bad, *(["valence"] if row.valence and stated.charge is None else []))


def named(text: str, language: str = "en") -> tuple[str, str]:
    """Karat or fineness, and the metal, of "18 kt gold", "gold, 23.5 kt", "gold 750", "fine gold"; "" for
    what is not there. A karat by itself is of gold. A fineness is of gold alone: silver of 925 is not
    reckoned as silver.
    """
    if _is_fine(text, language):
        return text.strip(), "gold"
    within, rest = figures.karat_within(text, language)
    if within:
        of = Catalogue(language).table("trade.reading")["karat_of"]
        rest = " ".join(word for word in rest.split() if word.casefold() not in of)
        return within, metal_of(rest, language) if rest else "gold"
    fine, without = figures.fineness_within(text)
    return (fine, "gold") if metal_of(without, language) == "gold" else ("", metal_of(text, language))


def speaks_of_gold(text: str, language: str = "en") -> bool:
    """Whether gold stands in the name of a metal ("gold-cobalt", "white gold")."""
    names: list[str] = Catalogue(language).table("trade.reading.metal")["gold"]
    return bool(phrases(names).search(normal(text)))


def metal_of(text: str, language: str = "en") -> str:
    """The metal by its name in METALS; "" for one that is not there (an alloy such as brass)."""
    plain = _plain(text)
    names: dict[str, list[str]] = Catalogue(language).table("trade.reading.metal")
    return next((metal for metal, every in names.items() if plain in every), "")


def _plain(text: str) -> str:
    return " ".join(re.sub(r"[,;:()]", " ", text).casefold().split())


def least_said(text: str, language: str = "en") -> tuple[str, bool]:
    """A thickness without the word that calls it the least ("2.5 µm min."), and whether there was one."""
    words = Catalogue(language).table("trade.reading")["least"]
    plain = text.strip()
    for word in sorted(words, key=len, reverse=True):
        apart = not runs_on(word)  # "2.5 µm以上" has no space
        bound = r"(?!\w)" if apart and word[-1].isalnum() else ""
        before = r"(?<![^\W\d])" if apart else ""
        found = re.sub(
            rf"^{re.escape(word)}{bound}\s*|{before}{re.escape(word)}$", "", plain, flags=re.IGNORECASE
        )
        if found != plain:
            return found.strip(" ,"), True
    return text, False


def _length(text: str, language: str) -> Span | None:
    """µm; a limit is decided by it, so that nothing may stand beside the figure ("under 2.5 µm"). What is
    thicker than any plating is a slip of the unit (2.5 mm).
    """
    found = _one(text, "length", language)
    return (found[0] * 1000, found[1] * 1000) if found and found[1] < _TOO_THICK else None


def _area(text: str, language: str) -> Span | None:
    return _one(text, "area", language)


def _one(text: str, dimension: str, language: str) -> Span | None:
    """One figure or range above 0 in the base of `dimension`, and nothing else."""
    quantity = alone(text, "", language)
    if not isinstance(quantity, Quantity) or quantity.dimension != dimension or len(quantity.spans) > 1:
        return None
    return quantity.base if quantity.base[0] > 0 else None


def reckonings(row: Plating, key: str, words: Catalogue) -> Iterator[Reckoning]:
    """What follows from the row `key` ("plating/1")."""
    stated = read(row, words.language)
    if stated.metal == "gold":
        yield from _gold(row, stated, key, words)
    elif not stated.metal and speaks_of_gold(row.metal, words.language):
        yield _term(row, words.say("trade.plating.metal_unread"), key, words)
    yield from _mean(row, stated, key, words)


def _gold(row: Plating, stated: Stated, key: str, words: Catalogue) -> Iterator[Reckoning]:
    unclear = isinstance(alone(row.thickness, "", words.language), Unclear)
    if stated.karat is None:
        yield _term(
            row, words.say(f"trade.plating.{'karat_unread' if row.karat else 'no_karat'}"), key, words
        )
    elif stated.karat < LEAST_KARAT:
        yield _term(row, words.say("trade.plating.below_karat"), key, words)
    elif stated.thickness is None:
        if not unclear:
            why = "thickness_unread" if row.thickness else "no_thickness"
            yield _term(row, words.say(f"trade.plating.{why}"), key, words)
    else:
        density = stated.density or alloy_density(stated.karat)
        fine = fine_gold(stated.thickness, stated.karat, density)
        if not _is_fine(_karat(row, words), words.language):  # fine gold is its own equivalent
            yield _fine(row, stated, density, fine, key, words)
        yield _term(row, _joined(_words_for(row, fine, words), "between", words), key, words)


def _fine(row: Plating, stated: Stated, density: Span, fine: Span, key: str, words: Catalogue) -> Reckoning:
    assert stated.thickness is not None and stated.karat is not None
    kt = written_number(words.language, rounded(stated.karat, _DIGITS))
    return Reckoning(
        code="fine-gold",
        given=_joined((row.thickness, _karat(row, words)), "comma", words),
        text=words.say(
            "trade.plating.fine_gold",
            thickness=row.thickness,
            karat=_karat(row, words),
            fine=_fine_said(row, fine, words),
            density=_density_left_open(row, stated, words),
        ),
        formula=words.say(
            "trade.plating.fine_formula",
            thickness=_said(stated.thickness, words),
            density=_said(density, words),
            karat=kt,
        ),
        source=words.say("trade.plating.fine_source"),
        rows=(key,),
    )


def _fine_said(row: Plating, fine: Span, words: Catalogue) -> str:
    """As much fine gold as the thickness; "at least" where the thickness is called the least."""
    least = least_said(row.thickness, words.language)[1]
    shown = (fine[0], fine[0]) if least else fine
    said = f"{written_number(words.language, span(shown, _digits(shown)))} µm"
    return words.say("trade.plating.at_least", least=said) if least else said


def _karat(row: Plating, words: Catalogue) -> str:
    """The karat as written, beside the metal where it stands there."""
    return row.karat or named(row.metal, words.language)[0]


def _density_left_open(row: Plating, stated: Stated, words: Catalogue) -> str:
    if stated.density or stated.karat == FINE_KARAT:
        return ""
    return words.say(f"trade.plating.{'density_unread' if row.density else 'density_not_stated'}")


def _words_for(row: Plating, fine: Span, words: Catalogue) -> Iterator[str]:
    """The sentences on which words a thickness allows."""
    terms = term_for(fine)
    if row.thickness_is in ("mean", "one place"):
        yield words.say("trade.plating.mean_only")
        return
    if len(terms) > 1:
        yield words.say("trade.plating.over_a_limit")
    is_least = row.thickness_is or least_said(row.thickness, words.language)[1]
    least = words.say(f"trade.plating.{'least_stated' if is_least else 'least_not_stated'}")
    said = words.say(f"trade.term.{terms[0].key}")
    yield words.say("trade.plating.term", least=least, term=said, section=terms[0].section)
    if fine[0] >= VERMEIL.least and is_sterling(row.base, words):
        yield words.say("trade.plating.vermeil", section=VERMEIL.section)


def is_sterling(base: str, words: Catalogue) -> bool:
    """True where the base is said to be sterling silver and nothing else (no plate, no "not")."""
    sterling: list[str] = words.table("trade.reading.base")["sterling"]
    silver: list[str] = words.table("trade.reading.metal")["silver"]
    known = {word for name in (*sterling, *silver) for word in re.findall(r"\w+", name.casefold())}
    said = re.findall(r"\w+", base.casefold())
    return any(word in said for word in sterling) and all(word in known or word == "1000" for word in said)


def _term(row: Plating, text: str, key: str, words: Catalogue) -> Reckoning:
    return Reckoning(
        code="plating-term",
        given=_joined((row.metal, row.karat, row.thickness), "comma", words),
        text=_joined((text, words.say("trade.plating.check")), "between", words),
        source=words.say("trade.plating.term_source"),
        rows=(key,),
    )


def _mean(row: Plating, stated: Stated, key: str, words: Catalogue) -> Iterator[Reckoning]:
    """The mean thickness where metal, current, time and area are stated."""
    if not stated.metal or not stated.current or not stated.time or not stated.area:
        return
    metal = METALS[stated.metal]
    charges = (stated.charge,) if stated.charge else metal.charges
    coulombs = (stated.current[0] * stated.time[0], stated.current[1] * stated.time[1])
    found = thickness_span(metal, charges, coulombs, stated.area, stated.efficiency or _ALL)
    opened = _joined(_open(stated, charges, words), "also", words)
    yield Reckoning(
        code="mean-thickness",
        given=_joined((row.current, row.time, row.area, row.efficiency, row.valence), "comma", words),
        text=_mean_text(row, stated, found, opened, words),
        formula=words.say(
            "trade.plating.mean_formula",
            current=row.current,
            time=row.time,
            area=row.area,
            efficiency=row.efficiency or words.say("trade.plating.not_stated"),
            charge="–".join(str(n) for n in charges),
            molar=written_number(words.language, rounded(metal.molar, 8)),
            density=written_number(words.language, rounded(metal.density, 4)),
        ),
        source=words.say("trade.plating.mean_source"),
        rows=(key,),
    )


def _mean_text(row: Plating, stated: Stated, found: Span, opened: str, words: Catalogue) -> str:
    text = words.say(
        "trade.plating.mean",
        result=f"{_said(found, words)} µm"
        if found[0]
        else words.say("trade.plating.at_most", most=f"{_said((found[1], found[1]), words)} µm"),
        open=words.say("trade.plating.open", what=opened) if opened else "",
    )
    if not _is_more(row, stated, found, words.language):
        return text
    less = words.say("trade.plating.mean_less", thickness=row.thickness)
    return _joined((text, less), "between", words)


def _is_more(row: Plating, stated: Stated, mean: Span, language: str) -> bool:
    """Whether a thickness stated as the least or the mean is above any mean of the bath; of an alloy of gold,
    which is reckoned as fine gold, nothing is said.
    """
    alloy = stated.metal == "gold" and stated.karat != FINE_KARAT
    told = row.thickness_is or ("least" if least_said(row.thickness, language)[1] else "")
    if alloy or stated.thickness is None or told not in ("least", "mean"):
        return False
    return stated.thickness[0] > mean[1]


def _open(stated: Stated, charges: tuple[int, ...], words: Catalogue) -> Iterator[str]:
    """What the mean leaves open."""
    if stated.efficiency is None:
        yield words.say("trade.plating.efficiency")
    if len(charges) > 1:
        yield words.say("trade.plating.charge")
    if stated.metal == "gold" and stated.karat != 24:
        yield words.say("trade.plating.karat_alloy")


def _joined(some: Iterable[str], by: str, words: Catalogue) -> str:
    """What is said, with what stands between in the language: "comma", "also", "between" (sentences)."""
    return words.say(f"sentences.grammar.{by}").join(filter(None, some))


def _said(value: Span, words: Catalogue) -> str:
    return written_number(words.language, span(value))


def _digits(fine: Span) -> int:
    """As many digits as show on which side of a limit the figure lies: 2.498 is not 2.5."""
    return next((n for n in range(_DIGITS, _MOST_DIGITS) if _same_side(fine, n)), _MOST_DIGITS)


def _same_side(fine: Span, digits: int) -> bool:
    return all(
        (value >= term.least) == (Fraction(rounded(value, digits)) >= term.least)
        for value in fine
        for term in TERMS
    )


def span(value: Span, digits: int = _DIGITS) -> str:
    first, last = rounded(value[0], digits), rounded(value[1], digits)
    return first if first == last else f"{first}–{last}"
