"""What goes with what: a readable table of products and ways of working against materials.

The table is data: words/<language>/rules.toml, and before it a workshop's own. Matching is by whole words,
as written; what nobody wrote is not guessed, what is said not to be there is not found (`turned_off`). What
is "fine" is taken out of the text first; of the other rules that speak of a row and a part the strictest is
said. Not here: whether a test was recorded, how to work.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Any, NamedTuple

from dossier.model.job import TradeRule
from dossier.model.rows import Part, Work
from dossier.trade.turned_off import Said, Wanted, said, turned_off, wanted
from dossier.words import Catalogue
from dossier.words.compare import Phrases, as_written, normal, phrases

_TEMPERATURE = re.compile(
    r"(?<![A-Za-z\d.])(\d{2,3})(?:\s?(?:-|–|~|～|to)\s?(\d{2,3}))?\s?(?:°\s?|degrees\s|deg\.?\s)?"
    r"([CF℃])(?![A-Za-z\d])",
    re.IGNORECASE,
)
_LISTS = ("use", "done", "on", "unless")
_STRICT = {"test first": 1, "keep off": 2}


class Match(NamedTuple):
    rule: TradeRule
    work: int
    parts: tuple[str, ...]
    used: str  # the words found in the row, as written
    material: str  # the clause found in the material


class _Ready(NamedTuple):
    rule: TradeRule
    use: Wanted | None
    on: tuple[str, ...]  # each a phrase: all its words must be there
    unless: Phrases | None
    language: str


@lru_cache(maxsize=4)
def shipped(language: str = "en") -> tuple[TradeRule, ...]:
    """The rules that come with the program; a language adds its words to look for to the English ones."""
    more: dict[str, dict[str, list[str]]] = Catalogue(language).table("rules")["rule"]
    rows: dict[str, dict[str, Any]] = Catalogue("en").table("rules")["rule"]
    return tuple(_rule(name, row, more.get(name, {})) for name, row in rows.items())


def _rule(name: str, row: dict[str, Any], more: dict[str, list[str]]) -> TradeRule:
    both = {key: dict.fromkeys([*row.get(key, []), *more.get(key, [])]) for key in _LISTS}
    lists = {key: tuple(words) for key, words in both.items() if words}
    return TradeRule(name=name, **(row | lists))


def in_force(own: Sequence[TradeRule], language: str = "en") -> tuple[TradeRule, ...]:
    """A workshop's own rules, then those shipped; one of the same name takes the other's place."""
    names = {rule.name for rule in own}
    return (*own, *(rule for rule in shipped(language) if rule.name not in names))


def matches(
    work: Iterable[Work], parts: dict[str, Part], rules: Sequence[TradeRule], language: str = "en"
) -> Iterator[Match]:
    """What is said of each row: one match for each rule that is the strictest for some of its parts."""
    rows = tuple(work)
    looking = _Looking(_met(_ready(tuple(rules), language), rows, parts), _joins(language), {})
    for row in rows:
        text = f"{row.how} ; {row.product}"
        if text.strip(" ;"):
            yield from _of_row(row, text, parts, looking)


def silent_rows(
    work: Iterable[Work], parts: dict[str, Part], rules: Sequence[TradeRule], language: str = "en"
) -> Iterator[Work]:
    """The rows of which no rule speaks on any of their parts, not even as fine."""
    rows = tuple(work)
    ready, joins = _met(_ready(tuple(rules), language), rows, parts), _joins(language)
    known: dict[tuple[str, str, str], bool] = {}
    for row in rows:
        text = f"{row.how} ; {row.product}"
        keys = [(text, row.done, _material(parts[number])) for number in row.parts if number in parts]
        for key in keys:
            if key not in known:
                known[key] = _any_speaks(row, text, key[2], ready, joins)
        if not any(known[key] for key in keys):
            yield row


def _met(ready: Iterable[_Ready], work: Sequence[Work], parts: dict[str, Part]) -> tuple[_Ready, ...]:
    """The rules that may speak of one of the rows on one of its parts, with those of their words alone that
    may stand in them: most are met nowhere, which is seen once and not row by row.
    """
    numbers = dict.fromkeys(number for row in work for number in row.parts if number in parts)
    used = " ".join(dict.fromkeys(said(f"{row.how} ; {row.product}").plain for row in work))
    made_of = " ".join(dict.fromkeys(said(_material(parts[number])).plain for number in numbers))
    return tuple(met for one in ready if (met := _of_these(one, used, made_of)))


def _of_these(one: _Ready, used: str, made_of: str) -> _Ready | None:
    use = one.use and one.use.standing_in(used)
    on = tuple(phrase for phrase in one.on if all(word in made_of for word in _plain(phrase)))
    if (one.use and not use) or (one.on and not on):
        return None
    unless = one.unless and phrases(one.unless.standing_in(f"{used} {made_of}"))
    return one._replace(use=use, on=on, unless=unless)


def _any_speaks(
    row: Work, text: str, material: str, ready: tuple[_Ready, ...], joins: re.Pattern[str]
) -> bool:
    clauses = [said(clause) for clause in joins.split(material)]
    plain, heat = said(text), hottest(text)
    return any(_speaks(one, row, plain, clauses, heat) for one in ready)


class _Looking(NamedTuple):
    """The rules, and what was found of work that is written alike on a material: many rows of a job are."""

    ready: tuple[_Ready, ...]
    joins: re.Pattern[str]
    known: dict[tuple[str, str, str], Match | None]


def _of_row(row: Work, text: str, parts: dict[str, Part], looking: _Looking) -> Iterator[Match]:
    """Parts of one material are looked at once."""
    by_material: dict[str, list[str]] = {}
    for number in row.parts:
        if number in parts:
            by_material.setdefault(_material(parts[number]), []).append(number)
    found: dict[str, Match] = {}
    for material, numbers in by_material.items():
        key = text, row.done, material
        if key not in looking.known:
            looking.known[key] = _strictest(row, text, material, looking.ready, looking.joins)
        match = looking.known[key]
        if match:
            before = found.get(match.rule.name, match)
            found[match.rule.name] = match._replace(work=row.number, parts=(*before.parts, *numbers))
    yield from found.values()


def _material(part: Part) -> str:
    return " ; ".join(dict.fromkeys(text for text in (part.material, part.new_material) if text))


def _strictest(
    row: Work, text: str, material: str, ready: tuple[_Ready, ...], joins: re.Pattern[str]
) -> Match | None:
    clauses = [said(clause) for clause in joins.split(material)]
    plain, heat = said(text), hottest(text)
    for one in ready:
        if one.rule.answer == "fine" and one.use and _speaks(one, row, plain, clauses, heat):
            plain = one.use.without(plain)
    best: Match | None = None
    for one in ready:
        match = _speaks(one, row, plain, clauses, heat) if one.rule.answer != "fine" else None
        if match and (best is None or _STRICT[match.rule.answer] > _STRICT[best.rule.answer]):
            best = match
    return best


def _speaks(one: _Ready, row: Work, text: Said, clauses: list[Said], heat: int) -> Match | None:
    """The match of one rule without its parts; None where it does not speak of this."""
    rule = one.rule
    if (rule.done and row.done not in rule.done) or (rule.hot_from and heat < rule.hot_from):
        return None
    if one.use and not one.use.search(text):  # most rules: before anything is looked for in the material
        return None
    if one.unless:
        text = one.use.aside(one.unless, text) if one.use else text
        clauses = [clause for clause in clauses if not one.unless.search(clause.plain)]
    used = one.use.search(text) if one.use else None
    clause = _clause(one, clauses)
    if (one.use and not used) or clause is None or _is_kept_off(one, used, text):
        return None
    written = as_written(f"{row.how} ; {row.product}", used[0]) if used else f"{heat} °C"
    return Match(rule, row.number, (), written, clause)


def _is_kept_off(one: _Ready, used: re.Match[str] | None, text: Said) -> bool:
    """Whether the row says that what was used was kept off such a material ("kept off the celluloid"),
    which it names nowhere else: not that something else was ("alcohol, water kept off the shellac").
    """
    kept = _kept_off(one.on, one.language).search(text.plain) if used and one.on else None
    if kept is None or used is None:
        return False
    begins = kept.start() in text.starts
    follows = not any(used.end() <= at <= kept.start() for at in text.starts) and (
        len(text.plain[used.end() : kept.start()].split()) < 2  # "was"
    )
    rest = said(f"{text.plain[: kept.start()]} ; {text.plain[kept.end() :]}")
    return (begins or follows) and _clause(one, [rest]) is None


@lru_cache(maxsize=64)
def _kept_off(on: tuple[str, ...], language: str) -> re.Pattern[str]:
    return turned_off(language, "use").kept_off(on)


def _clause(one: _Ready, clauses: list[Said]) -> str | None:
    """The first clause of the material that the rule speaks of; "" where it speaks of any."""
    if not one.on:
        return ""
    return next(
        (clause.plain for clause in clauses if any(_all(phrase, clause, one) for phrase in one.on)), None
    )


def _all(phrase: str, clause: Said, one: _Ready) -> bool:
    return all(
        word.search(clause) if isinstance(word, Wanted) else word.search(clause.plain)
        for word in _phrase(phrase, one.language)
    )


@lru_cache(maxsize=8)
def _ready(rules: tuple[TradeRule, ...], language: str) -> tuple[_Ready, ...]:
    return tuple(
        _Ready(
            rule,
            wanted(rule.use, language, "use") if rule.use else None,
            rule.on,
            phrases(rule.unless) if rule.unless else None,
            language,
        )
        for rule in rules
    )


@lru_cache(maxsize=4096)
def _phrase(phrase: str, language: str) -> tuple[Wanted | Phrases, ...]:
    """The words of a phrase; one that is an imitation by its own words is found as it stands."""
    if turned_off(language, "material").touches(phrase):
        return tuple(phrases([word]) for word in _words(phrase))
    return tuple(wanted([word], language, "material") for word in _words(phrase))


def _words(phrase: str) -> list[str]:
    """The words of a phrase, "*" kept."""
    return [_starred(word) for word in phrase.replace("-", " ").split()]


@lru_cache(maxsize=4096)
def _plain(phrase: str) -> tuple[str, ...]:
    """The same in normal form, without "*"."""
    return tuple(normal(word) for word in _words(phrase))


def _starred(word: str) -> str:
    return f"{'*' if word.startswith('*') else ''}{normal(word)}{'*' if word.endswith('*') else ''}"


@lru_cache(maxsize=4)
def _joins(language: str) -> re.Pattern[str]:
    joins = Catalogue(language).table("rules")["joins"]
    paint = "".join(rf"(?<!\b{re.escape(word)} )" for word in joins["paints"])
    return re.compile(rf"[;/+&]|\b{paint}(?:{'|'.join(map(re.escape, joins['words']))})\b", re.IGNORECASE)


def hottest(text: str) -> int:
    """The highest temperature written in a text, in whole degrees Celsius; -1 where there is none."""
    return max((_celsius(match) for match in _TEMPERATURE.finditer(text)), default=-1)


def _celsius(match: re.Match[str]) -> int:
    degrees = int(match[2] or match[1])
    return round(Fraction(5 * (degrees - 32), 9)) if match[3].casefold() == "f" else degrees
