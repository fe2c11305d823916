"""Words for gold plating in the register, the log and the description, and no figure that comes to them.

What is new here is asked for; of what came so, that its thickness is not stated is a note. Not here: the
words and figures (`trade.gold_words`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from dossier.account.found import Found
from dossier.account.phrases import listed
from dossier.account.view import View
from dossier.model.rows import Part, Plating, Work
from dossier.model.words import Done
from dossier.trade.gold_words import Word, fits, word_in
from dossier.trade.units import rounded
from dossier.words import Catalogue
from dossier.words.dates import written_number

_NEW_SURFACE: frozenset[Done] = frozenset({"new surface", "part renewed", "replaced", "added"})


class _Typed(NamedTuple):
    """A word where it stands, with the platings that speak of the same."""

    word: Word
    key: str
    parts: tuple[str, ...]
    platings: Sequence[Plating]
    new: bool


def look(view: View) -> Iterator[Found]:
    words = Catalogue(view.job.language)
    as_it_came: list[_Typed] = []
    for one in _typed(view, words.language):
        answers = {fits(one.word.term, row, words.language) for row in one.platings}
        if False in answers and True not in answers:
            yield _found("gold-word-above-figure", one, view, words)
        elif True not in answers and one.new:
            yield _found("gold-word-without-figure", one, view, words)
        elif True not in answers:
            as_it_came.append(one)
    if as_it_came:
        terms = listed(list(dict.fromkeys(f"“{one.word.written}”" for one in as_it_came)), words)
        yield Found("gold-word-as-it-came", as_it_came[0].key, {"terms": terms})


def _found(code: str, one: _Typed, view: View, words: Catalogue) -> Found:
    term = one.word.term
    least = words.say("findings.gold.any")
    if term.least:
        figure = written_number(words.language, rounded(term.least, 3))
        least = words.say("findings.gold.least", n=figure)
    values = {"term": one.word.written, "least": least, "section": term.section}
    return Found(code, one.key, values, one.parts, view.job.object.type if one.key == "job/object" else "")


def _typed(view: View, language: str) -> Iterator[_Typed]:
    """Each row at most once for what is new in it and once for what came."""
    for part in view.job.parts:
        yield from _of_part(view, part, language)
    for row in view.job.work:
        if row.done in _NEW_SURFACE and (word := word_in(f"{row.how} ; {row.product}", language)):
            platings = [one for one in view.job.plating if _speak_of(view, one, row.parts)]
            yield _Typed(word, f"work/{row.number}", row.parts, platings, new=True)
    thing = view.job.object
    if word := word_in(" ; ".join((thing.type, thing.title, thing.description, *thing.materials)), language):
        yield _Typed(word, "job/object", (), view.job.plating, new=False)


def _of_part(view: View, part: Part, language: str) -> Iterator[_Typed]:
    platings = [one for one in view.job.plating if _speak_of(view, one, (part.number,))]
    key, numbers = f"parts/{part.number}", (part.number,)
    if word := word_in(part.new_material, language):
        yield _Typed(word, key, numbers, platings, new=True)
    word = word_in(f"{part.part} ; {part.material} ; {part.condition}", language)
    if word and not any(_new_surface(row) for row in view.rows(part)):
        yield _Typed(word, key, numbers, platings, new=False)


def _new_surface(row: Work) -> bool:
    return row.done in _NEW_SURFACE


def _speak_of(view: View, plating: Plating, numbers: Sequence[str]) -> bool:
    """Whether a plating is of one of the parts, or of a heading above one, or names none."""
    above = {
        one.number
        for number in numbers
        if (part := view.part(number))
        for one in (part, *view.register.containers(part))
        if one is part or one.number in view.register.headings
    }
    return not plating.parts or not above.isdisjoint(plating.parts)
