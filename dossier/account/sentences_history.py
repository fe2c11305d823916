"""The sentences of what earlier records and papers say of the parts, and of where readings differ.

Not here: which reading the account keeps to (`history`). Neutral: a reading differs, nobody is said to be
wrong.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import msgspec

from dossier.account.phrases import in_row, readable
from dossier.account.register import pieces_of
from dossier.account.telling import Telling, keys_of
from dossier.model.counted import Origin, PartHistory, PartSaid, Pieces
from dossier.model.record import Sentence
from dossier.model.rows import Part
from dossier.model.words import Now
from dossier.words.dates import long_date

_BETWEEN = " / "  # states have commas of their own
_WITH_ARTICLE: Mapping[str, str] = {
    "earlier replacement": "an_earlier_replacement",
    "later addition": "a_later_addition",
}
_TELLING = ("new", "taken away", "original, part renewed", "original, new surface")


def history(
    telling: Telling, histories: Sequence[PartHistory], typed: Sequence[Part] = ()
) -> Iterator[Sentence]:
    """Of parts of which the same is said, all at once, where that is more than that they were there."""
    read = {part.number: part for part in typed}
    for one in histories:
        parts = [part for number in one.parts if (part := telling.view.part(number))]
        if one.differs or any(map(_tells, one.said)):
            for some in readable(parts):
                yield _sentence(telling, one, some, read.get(some[0].number, some[0]))


def _tells(said: PartSaid) -> bool:
    """True where something was done that changes what is original, or the part was in another object."""
    return bool(
        said.done or said.object or said.altered or any(row.now.startswith(_TELLING) for row in said.now)
    )


def _sentence(telling: Telling, one: PartHistory, parts: Sequence[Part], read: Part) -> Sentence:
    things = [telling.speech.whole(part) for part in parts]
    readings = telling.speech.say("grammar.also").join(
        _reading(telling, said, pieces_of(read)) for said in _together(one.said)
    )
    texts = [telling.say("history.said", things=things, readings=readings)]
    if one.differs:
        texts += _differs(telling, one, read, many=len(things) > 1 or things[0].many)
    records = [row.sha256 for row in telling.job.earlier_records]
    told = dict.fromkeys(said.sha256 for said in one.said if said.sha256 in records)
    rows = [*keys_of(things), *(f"earlier_records/{records.index(digest) + 1}" for digest in told)]
    return telling.sentence("earlier", texts, rows)


def _together(told: Sequence[PartSaid]) -> Iterator[PartSaid]:
    """What one record said of rows that are one part now, as said of all of them: "8 of 64 new"."""
    rows: dict[PartSaid, list[PartSaid]] = {}
    for said in told:
        of_rows = said.part and said.sha256 and not said.object
        key = msgspec.structs.replace(said, part="", pieces=0, now=()) if of_rows else said
        rows.setdefault(key, []).append(said)
    for some in rows.values():
        spans: dict[Now, tuple[int, int]] = {}
        for row in (row for said in some for row in said.now):
            low, high = spans.get(row.now, (0, 0))
            spans[row.now] = low + row.low, high + row.high
        now = tuple(Pieces(now=one, low=low, high=high) for one, (low, high) in spans.items())
        pieces = sum(said.pieces for said in some)
        yield (
            msgspec.structs.replace(some[0], pieces=pieces, now=now)
            if some[0].part and not some[0].object
            else some[0]
        )


def _reading(telling: Telling, said: PartSaid, n: int) -> str:
    """ "9 of 64 new, like for like (Workshop by the Mill, 3 March 2020)"; the part has `n` pieces now."""
    states = [_by_paper(telling, said, n)] if said.done else [*_states(telling, said)]
    by = [said.workshop, long_date(telling.words.language, said.date)]
    if not said.sha256:
        by.insert(0, telling.speech.say("history.paper"))
    if said.object:
        by.insert(0, telling.speech.say("history.there", object=said.object, number=said.part))
    if said.altered:
        states.append(telling.speech.say("history.altered"))
    texts = [_BETWEEN.join(states)]
    if said.reason:
        texts.append(_because(telling, said.reason))
    head, aside = in_row(texts, telling.words), in_row([*filter(None, by)], telling.words)
    return telling.speech.say("grammar.aside", head=head, aside=aside)


def _by_paper(telling: Telling, said: PartSaid, n: int) -> str:
    """What a paper says was done; to so many pieces, where it was not all of those that it speaks of."""
    state, n = telling.words.token(said.done), said.of or n
    if said.pieces >= n:
        return state
    return telling.speech.say("history.some_done", count=said.pieces, n=n, state=state)


def _because(telling: Telling, reason: str) -> str:
    """A reason within a sentence."""
    why = telling.speech.reason(reason)
    if telling.speech.can_follow(why):
        return telling.speech.say("history.reason", why=telling.speech.inside(why, "why"))
    return telling.speech.lowered(telling.speech.say("grammar.reason", why=why))


def _states(telling: Telling, said: PartSaid) -> Iterator[str]:
    for row in said.now:
        if row.high:
            yield _counted(telling, telling.words.token(row.now), row, said.pieces)


def _counted(telling: Telling, state: str, row: Pieces | Origin, n: int) -> str:
    """ "original" of all pieces, "9 of 64 original" of some."""
    if row.low == row.high == n:
        return state
    span = telling.speech.say("grammar.range", low=row.low, high=row.high)
    count = str(row.high) if row.low == row.high else span
    return telling.speech.say("history.some", count=count, n=n, state=state)


def _differs(telling: Telling, one: PartHistory, read: Part, *, many: bool) -> Iterator[str]:
    """How this record reads the part, why, and what the account counts."""
    them, n = telling.speech.number("them", many), pieces_of(read)
    article = _WITH_ARTICLE.get(read.came_as)
    came_as = telling.speech.number(article, many) if article else telling.words.token(read.came_as)
    why = telling.speech.reason(read.why_otherwise)
    if why and telling.speech.can_follow(why):
        inside = telling.speech.inside(why, "why")
        yield telling.speech.say("history.otherwise", came_as=came_as, why=inside, them=them)
    else:
        here = telling.speech.say("history.here", came_as=came_as, them=them)
        yield from telling.speech.with_reason(here, why)
    rows = [row for row in one.counted_as if row.high]
    counted = [_counted(telling, telling.words.token(row.came_as), row, n) for row in rows]
    yield telling.speech.say("history.counted", counted=_BETWEEN.join(counted), them=them)
