"""Trade words for gold plating as people type them, held against what a plater states.

16 CFR 23.3 and 23.4 tie them to a least thickness everywhere (`plating.TERMS`, `plating.GOLD_PLATE`). The
words stand in trade.toml, table reading.term. Not here: what follows from a plating by itself (`plater`),
other countries' law.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from dossier.model.rows import Plating
from dossier.trade import plater
from dossier.trade.plating import GOLD_PLATE, LEAST_KARAT, TERMS, VERMEIL, Term, alloy_density, fine_gold
from dossier.trade.turned_off import Wanted, said, wanted
from dossier.trade.units import Span
from dossier.words import Catalogue
from dossier.words.compare import as_written

_HEAVY, *_OTHERS = TERMS
_STRICTEST = (VERMEIL, _HEAVY, GOLD_PLATE, *_OTHERS)  # "heavy gold plate" before the "gold plate" in it


class Word(NamedTuple):
    term: Term
    written: str


def word_in(text: str, language: str) -> Word | None:
    """The strictest of the words in a text; None where there is none, or it is said not to be so."""
    if not text:
        return None
    spoken = said(text)
    for term in _STRICTEST:
        found = _words(language)[term.key].search(spoken)
        if found:
            return Word(term, as_written(text, found[0]))
    return None


@lru_cache(maxsize=8)
def _words(language: str) -> dict[str, Wanted]:
    table = Catalogue(language).table("trade.reading.term")
    if language != "en":  # a word of other languages too, and of their laws: silver gilt
        table = table | {VERMEIL.key: ()}
    return {term.key: wanted(table[term.key], language, "material") for term in _STRICTEST}


def fits(term: Term, row: Plating, language: str) -> bool | None:
    """Whether what is stated of a gold plating comes to the term; None where it does not say."""
    stated = plater.read(row, language)
    if stated.metal != "gold" or stated.karat is None:
        return None
    if stated.karat < LEAST_KARAT:
        return False
    if term is VERMEIL and not plater.is_sterling(row.base, Catalogue(language)):
        return False if row.base else None
    return _thick(term, row, stated)


def _thick(term: Term, row: Plating, stated: plater.Stated) -> bool | None:
    if stated.thickness is None or stated.karat is None:
        return None
    fine: Span = fine_gold(stated.thickness, stated.karat, stated.density or alloy_density(stated.karat))
    if fine[1] < term.least:
        return False
    shown = fine[0] >= term.least and row.thickness_is not in ("mean", "one place")
    return True if shown else None
