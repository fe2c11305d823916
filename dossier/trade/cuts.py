"""Cut sizes of board and leather for a cavity, with the sum written out.

- board: on each edge set in by the thickness of the leather that wraps it (common practice, no source), so
  the cavity less two thicknesses.
- wrapped leather: what goes round that board: its size, and on each edge the board's thickness and turn-in.
- sewn leather: the cavity, and on each edge the margin outside the seam.

Thickness of the leather is that after skiving. Not here: stretch, the leather's bend at an edge, play.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from dossier.model.record import Reckoning
from dossier.model.rows import Calculation
from dossier.model.words import CutKind
from dossier.trade.units import Quantity, to_places
from dossier.trade.written import alone, word_for
from dossier.words import Catalogue
from dossier.words.dates import written_number

# What each kind needs besides the cavity.
NEEDED: dict[CutKind, tuple[str, ...]] = {
    "board": ("leather",),
    "wrapped leather": ("leather", "board", "turn_in"),
    "sewn leather": ("seam",),
}
CAVITY = ("cavity_length", "cavity_width")
_PLACES = 2  # of a millimetre; the sum is exact and finer than a knife
_PLACES_OF_A_SUM = 4  # so that whoever adds up what is written comes to the result
_ABOUT = {"leather": "thickness"}  # an ounce here is one of leather


def lacking(row: Calculation, language: str = "en") -> tuple[str, ...]:
    """The members that the calculation needs and that are blank or no one clear length."""
    return tuple(
        name for name in (*CAVITY, *NEEDED[row.kind]) if length(getattr(row, name), name, language) is None
    )


def blank(row: Calculation) -> tuple[str, ...]:
    """The members that the calculation needs and that are not written."""
    return tuple(name for name in (*CAVITY, *NEEDED[row.kind]) if not getattr(row, name))


def length(text: str, name: str, language: str = "en") -> Fraction | None:
    """Millimetres of one length as written; None for a range, a weight, an estimate or nothing."""
    measured = word_for(language, _ABOUT[name]) if name in _ABOUT else ""
    quantity = alone(text, measured, language)
    if not isinstance(quantity, Quantity) or quantity.dimension != "length" or len(quantity.spans) > 1:
        return None
    low, high = quantity.base
    return low if low == high else None


def cut_size(kind: CutKind, cavity: Fraction, given: dict[str, Fraction]) -> Fraction:
    """One side of the cut in mm; below 0 where the leather fills the cavity."""
    if kind == "sewn leather":
        return cavity + 2 * given["seam"]
    board = cavity - 2 * given["leather"]
    return board if kind == "board" else board + 2 * (given["board"] + given["turn_in"])


def _said(value: Fraction, words: Catalogue, places: int = _PLACES) -> str:
    return written_number(words.language, to_places(value, places)).replace("-", "−")


def reckonings(row: Calculation, key: str, words: Catalogue) -> Iterator[Reckoning]:
    """The cut of row `key` ("calculations/1"); none where something is lacking."""
    if lacking(row, words.language):
        return
    given = {
        name: length(getattr(row, name), name, words.language) or Fraction(0) for name in NEEDED[row.kind]
    }
    cavity = [length(getattr(row, name), name, words.language) or Fraction(0) for name in CAVITY]
    sides = [cut_size(row.kind, side, given) for side in cavity]
    values = {name: _said(value, words, _PLACES_OF_A_SUM) for name, value in given.items()}
    key_of = row.kind.replace(" ", "_")
    sums = [
        words.say(
            f"trade.cut.{key_of}",
            cavity=_said(side, words, _PLACES_OF_A_SUM),
            result=_said(cut, words),
            **values,
        )
        for side, cut in zip(cavity, sides, strict=True)
    ]
    fits = all(side > 0 for side in sides)
    size = " × ".join(_said(side, words) for side in sides)
    yield Reckoning(
        code="cut-size",
        given=words.say("sentences.grammar.comma").join(_as_written(row, words)),
        text=words.say("trade.cut.result" if fits else "trade.cut.no_room", what=row.what, size=size),
        formula=words.say("sentences.grammar.also").join(sums),
        source=words.say("trade.cut.source"),
        rows=(key,),
    )


def _as_written(row: Calculation, words: Catalogue) -> Iterator[str]:
    for name in (*CAVITY, *NEEDED[row.kind]):
        yield words.say("trade.cut.given", name=words.say(f"trade.cut.name.{name}"), value=getattr(row, name))
