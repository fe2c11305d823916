"""Cautions that the record carries, found by words of materials, products and ways of working.

The table is data: words/<language>/cautions.toml (words, unless, text, source). Each caution is said once,
with the rows it comes from. Not here: how to do anything; every caution defers to local rules and licensed
practice.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Any, NamedTuple

from dossier.model.job import Job
from dossier.model.record import Caution
from dossier.words import Catalogue
from dossier.words.compare import Phrases, normal, phrases


class Rule(NamedTuple):
    code: str
    words: Phrases
    unless: Phrases | None
    text: str
    source: str


def cautions(job: Job, words: Catalogue) -> tuple[Caution, ...]:
    """In the order of the table."""
    texts = [(key, normal(text)) for key, text in _texts(job) if text]
    found = (_caution(rule, texts) for rule in rules(words.language))
    return tuple(caution for caution in found if caution.rows)


@lru_cache(maxsize=4)
def rules(language: str) -> tuple[Rule, ...]:
    """The rules in the words of a language; English words are looked for in every job, since products and
    their sheets often have English names.
    """
    table, english = Catalogue(language).table("cautions"), Catalogue("en").table("cautions")
    return tuple(_rule(code, row, english.get(code, {})) for code, row in table.items())


def _rule(code: str, row: dict[str, Any], english: dict[str, Any]) -> Rule:
    words = [*row["words"], *english.get("words", ())]
    unless = [*row.get("unless", ()), *english.get("unless", ())]
    return Rule(code, phrases(words), _unless(unless), row["text"], row["source"])


def _caution(rule: Rule, texts: list[tuple[str, str]]) -> Caution:
    rows = dict.fromkeys(key for key, text in texts if _speaks_of(rule, text))
    return Caution(code=rule.code, text=rule.text, source=rule.source, rows=tuple(rows))


def _speaks_of(rule: Rule, text: str) -> bool:
    if rule.unless:
        text = rule.unless.without(text)
    return bool(rule.words.search(text))


def _unless(taken_out: list[str]) -> Phrases | None:
    return phrases(taken_out) if taken_out else None


def _texts(job: Job) -> Iterator[tuple[str, str]]:
    """What the object is made of and what was used on it, with the row."""
    yield "job/object", " ; ".join(job.object.materials)
    yield "job/condition", job.condition
    for part in job.parts:
        key = f"parts/{part.number}"
        yield from ((key, text) for text in (part.part, part.material, part.new_material, part.condition))
    for row in job.work:
        yield from ((f"work/{row.number}", text) for text in (row.how, row.product))
    yield from (("job/looked_at", text) for text in job.looked_at.found_inside)
