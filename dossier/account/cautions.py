"""Cautions that the record carries, found by words of materials, products and ways of working.

The table is data: words/<language>/cautions.toml (words, unless, text, source; `material` are words that
count only where a material is named: "lead" is a verb elsewhere; of `unless`, "mould taken from … and cast
in" goes on so in its piece between commas, "mould taken from …, cast in" where the next begins; `gone` are
phrases that say it is there no more, which count as unless, but not in a row of work: whoever takes it off
meets it; `of` says that only the object or only the work is meant: a blade on the object, a blade that was
used; `imitated` is what is meant where it is only imitated: ivory, by celluloid). Each caution is said once,
with the rows it comes from. Not here: how to do anything; every caution defers to local rules and licensed
practice.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Any, NamedTuple

from dossier.model.job import Job
from dossier.model.record import Caution
from dossier.trade.turned_off import Said, Wanted, Where, said, wanted
from dossier.words import Catalogue
from dossier.words.compare import Phrases, alternatives, phrases

_GAP = "…"


class Continued(NamedTuple):
    """A phrase that says otherwise only where it goes on as it should: in its piece, or in the next."""

    head: Phrases
    tail: re.Pattern[str]
    next_piece: bool

    def without(self, text: Said) -> Said:
        plain = text.plain
        for one in text.finds(self.head):
            if self._goes_on(one, text):
                plain = plain[: one.start()] + " " * len(one[0]) + plain[one.end() :]
        return text.with_plain(plain)

    def _goes_on(self, head: re.Match[str], text: Said) -> bool:
        if self.next_piece:
            return bool(self.tail.match(text.next_piece(head)))
        return bool(self.tail.search(text.rest(head)))


class Rule(NamedTuple):
    code: str
    words: Wanted | None
    material: Wanted | None
    unless: Phrases | None
    gone: Phrases | None
    text: str
    source: str
    imitated: Wanted | None
    continued: tuple[Continued, ...]
    of: str  # "object": not looked for in rows of work; "work": in nothing else; "": anywhere


def cautions(job: Job, words: Catalogue, kind: str = "") -> tuple[Caution, ...]:
    """In the order of the table; only those whose code begins with `kind`."""
    texts = [(key, said(text)) for key, text in _texts(job) if text]
    materials = [(key, said(text)) for key, text in _materials(job) if text]
    every = " ".join(text.plain for _, text in texts)  # the materials are among them
    mine = (_met(rule, every) for rule in rules(words.language) if rule.code.startswith(kind))
    found = (_caution(rule, texts, materials) for rule in mine)
    return tuple(caution for caution in found if caution.rows)


def _met(rule: Rule, every: str) -> Rule:
    """The rule with those of its words alone that may stand somewhere in the job."""
    return rule._replace(
        imitated=rule.imitated and rule.imitated.standing_in(every),
        words=rule.words and rule.words.standing_in(every),
        material=rule.material and rule.material.standing_in(every),
        unless=rule.unless and _some(rule.unless.standing_in(every)),
        gone=rule.gone and _some(rule.gone.standing_in(every)),
    )


@lru_cache(maxsize=4)
def rules(language: str) -> tuple[Rule, ...]:
    """The rules in the words of a language; English words are looked for in every job, since products and
    their sheets often have English names.
    """
    table, english = Catalogue(language).table("cautions"), Catalogue("en").table("cautions")
    return tuple(_rule(code, row, english.get(code, {}), language) for code, row in table.items())


def _rule(code: str, row: dict[str, Any], english: dict[str, Any], language: str) -> Rule:
    words = [*row["words"], *english.get("words", ())]
    every = [*row.get("unless", ()), *english.get("unless", ())]
    unless = [phrase for phrase in every if _GAP not in phrase]
    material = [*row.get("material", ()), *english.get("material", ())]
    gone = [*unless, *row.get("gone", ()), *english.get("gone", ())]
    where: Where = "species" if code.startswith("species-") else "caution"
    imitated = [*row.get("imitated", ()), *english.get("imitated", ())]
    return Rule(
        code=code,
        words=wanted(words, language, where),
        material=wanted(material, language, where) if material else None,
        unless=_some(unless),
        gone=_some(gone),
        text=row["text"],
        source=row["source"],
        imitated=wanted(imitated, language, "species") if imitated else None,
        continued=tuple(_continued(phrase) for phrase in dict.fromkeys(every) if _GAP in phrase),
        of=row.get("of", ""),
    )


def _continued(phrase: str) -> Continued:
    head, tail = phrase.split(_GAP)
    return Continued(phrases([head]), re.compile(alternatives([tail])), tail.startswith(","))


def _caution(rule: Rule, texts: list[tuple[str, Said]], materials: list[tuple[str, Said]]) -> Caution:
    rows: list[str] = []
    if rule.words:
        rows += [key for key, text in texts if _speaks_of(rule, rule.words, text, key)]
    if rule.imitated:
        rows += [key for key, text in texts if rule.imitated.imitated(text)]
    if rule.material:
        rows += [key for key, text in materials if _speaks_of(rule, rule.material, text, key)]
    return Caution(code=rule.code, text=rule.text, source=rule.source, rows=tuple(dict.fromkeys(rows)))


def _speaks_of(rule: Rule, words: Wanted, text: Said, key: str) -> bool:
    at_work = key.startswith("work/")
    if (rule.of and (rule.of == "work") != at_work) or not words.may_stand(text):
        return False
    aside = rule.unless if at_work else rule.gone
    for one in rule.continued:
        text = one.without(text)
    return bool(words.search(words.aside(aside, text) if aside else text))


def _some(wanted: list[str]) -> Phrases | None:
    return phrases(wanted) if wanted else None


def _materials(job: Job) -> Iterator[tuple[str, str]]:
    """Every place where a material is named, with the row."""
    yield "job/object", " ; ".join(job.object.materials)
    for part in job.parts:
        yield from ((f"parts/{part.number}", text) for text in (part.material, part.new_material))
    for place, plating in enumerate(job.plating, 1):
        yield from ((f"plating/{place}", text) for text in (plating.metal, plating.base))
    for place, row in enumerate(job.protected, 1):
        yield from ((f"protected/{place}", text) for text in (row.species, row.what))


def _texts(job: Job) -> Iterator[tuple[str, str]]:
    """What the object is made of and what was used on it, with the row."""
    yield from _materials(job)
    yield "job/condition", job.condition
    for part in job.parts:
        yield from ((f"parts/{part.number}", text) for text in (part.part, part.condition))
    for row in job.work:
        yield from ((f"work/{row.number}", text) for text in (row.how, row.product))
    yield from (("job/looked_at", text) for text in job.looked_at.found_inside)
