"""Blocks of the page on materials: what a plater stated, protected species, what was worked out from figures.

Each is left out where the record has nothing of it. Not done here: the sums (they stand in the record).
"""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier.model.record import Reckoning
from dossier.model.rows import Plating, Protected
from dossier.pages import blocks
from dossier.pages.setting import Setting


def trade(s: Setting) -> list[Flowable]:
    """All three, in this order."""
    return [*_platings(s), *_protected(s), *_reckonings(s)]


def _platings(s: Setting) -> list[Flowable]:
    lines = [_plating(s, row) for row in s.payload.plating]
    return blocks.group(s, s.say("trade.plating"), lines) if lines else []


def _plating(s: Setting, row: Plating) -> str:
    """What the plater stated, as written, each figure with its name; then who plated, and when."""
    stated = (
        ("metal", row.metal),
        ("karat", row.karat),
        ("base", row.base),
        ("thickness", _thickness(s, row)),
        ("stripped", s.token(row.stripped)),
        ("polished", s.token(row.polished)),
        ("stamps", row.stamps),
        ("by", s.persons(row.by)),
        ("date", s.date(row.date)),
    )
    said = s.in_row(s.say(f"trade.stated.{key}", text=text) for key, text in stated if text)
    return s.say(
        "trade.line",
        parts=s.part_names(row.parts, 8) or s.say("not_said"),
        said=said or s.say("not_said"),
        known=s.known(row.known_from),
    )


def _thickness(s: Setting, row: Plating) -> str:
    """A mean is another thing than the least everywhere, so which it is stands beside the figure."""
    return s.beside(s.typed(row.thickness), s.token(row.thickness_is)) if row.thickness else ""


_NOT_KNOWN = "not known"
_OF_SPECIES = ("what", "quantity", "acquired", "origin", "source", "permit")


def _protected(s: Setting) -> list[Flowable]:
    lines = [_species(s, row) for row in s.payload.protected]
    return blocks.group(s, s.say("trade.protected"), lines) if lines else []


def _answer(s: Setting, text: str) -> str:
    """As it was typed; an answer that `check` gives as an example in the language of the dossier."""
    return s.token(_NOT_KNOWN) if text == _NOT_KNOWN else text or s.say("not_said")


def _species(s: Setting, row: Protected) -> str:
    said = s.say(
        "trade.species",
        species=s.beside(row.species, s.known(row.known_from)),
        **{name: _answer(s, getattr(row, name)) for name in _OF_SPECIES},
    )
    line = s.labelled(s.part_names(row.parts, 8) or s.say("not_said"), said)
    stop, between = (s.words.say(f"sentences.grammar.{key}") for key in ("stop", "between"))
    return f"{line}{stop}{between}{s.say('trade.lists')}{stop}"


def _reckonings(s: Setting) -> list[Flowable]:
    lines = [_reckoning(s, row) for row in s.payload.reckonings]
    return blocks.group(s, s.say("trade.reckoned"), lines) if lines else []


def _reckoning(s: Setting, row: Reckoning) -> str:
    tail = s.and_also(filter(None, (row.formula, row.source)))
    return s.say("materials.source", text=row.text, source=tail) if tail else row.text
