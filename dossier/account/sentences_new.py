"""The sentences of what is new or partly renewed: material, maker, reason, difference, the old piece.

Not here: the other groups (`sentences`). A like new material is called the same only where the register says
so; where either material is blank, that is said.
"""

from __future__ import annotations

from collections.abc import Iterator

from dossier.account.likeness import likeness, normal
from dossier.account.phrases import clause
from dossier.account.speech import Thing
from dossier.account.telling import Telling, keys_of
from dossier.model.record import PartNow, Sentence
from dossier.model.rows import Part, Work


def new(telling: Telling) -> Iterator[Sentence]:
    for row in telling.now:
        if row.now.startswith("new"):
            yield _new(telling, telling.part(row), row)


def part_renewed(telling: Telling) -> Iterator[Sentence]:
    """One sentence a part that came as original and was partly renewed."""
    for part in telling.counted:
        rows = [row for row in telling.rows(part) if row.done == "part renewed"]
        if rows and part.came_as == "original" and not telling.wholly(part, "new", "taken away"):
            things = telling.worked([(part, row) for row in rows])
            head = telling.say("new.part", things=things)
            texts = [*_details(telling, part, head, rows), *_compared(telling, part, things[0])]
            texts += _told(telling, part)
            yield telling.sentence("part_renewed", texts, keys_of(things, [row.number for row in rows]))


def old_piece(telling: Telling, part: Part, pieces: int) -> str:
    """ "The original is kept by the workshop", of so many old pieces; "" where nothing is said."""
    place = clause(part.old_piece)
    if not place:
        return ""
    old = telling.say("old.original" if part.came_as == "original" else "old.other", n=pieces)
    be, was = (telling.speech.number(verb, pieces > 1) for verb in ("is", "was"))
    first = place.split(" ", 1)[0].casefold()
    lowered = place[0].lower() + place[1:]
    for verb in ("is", "was"):
        if first in telling.speech.grammar[f"place_{verb}"]:
            return telling.say(f"old.{verb}", old=old, place=lowered, be=be, was=was)
    return telling.say("old.said", old=old, place=place)


def _new(telling: Telling, part: Part, row: PartNow) -> Sentence:
    thing = telling.thing(row)
    rows = [work for work in telling.rows(part) if work.number in row.work]
    head = telling.say(f"new.{_head(part, rows)}", things=[thing])
    texts = [*_details(telling, part, head, []), *_compared(telling, part, thing), *_told(telling, part)]
    return telling.sentence(
        "new", [*texts, old_piece(telling, part, row.pieces_high)], keys_of([thing], row.work)
    )


def _head(part: Part, rows: list[Work]) -> str:
    if part.came_as == "missing":
        return "missing"
    return "added" if rows and all(row.done == "added" for row in rows) else "head"


def _details(telling: Telling, part: Part, head: str, rows: list[Work]) -> list[str]:
    """The head with how, material and maker behind a colon, and the reason."""
    hows = [telling.speech.inside(row.how, "how") for row in rows if row.how]
    attributes = [*hows, telling.speech.inside(part.new_material, "new_material"), _maker(telling, part)]
    said = ", ".join(filter(None, attributes))
    return telling.speech.with_reason(f"{head}: {said}" if said else head, part.why)


def _maker(telling: Telling, part: Part) -> str:
    who = clause(part.made_by)
    if not who:
        return ""
    if normal(who) in map(normal, telling.speech.grammar["ourselves"]):
        who = telling.say("new.workshop")
    known = telling.view.firms.get(who) or telling.view.workers.get(who)
    return telling.say("new.made_by", who=(known.name or who) if known else who)


def _compared(telling: Telling, part: Part, thing: Thing) -> Iterator[str]:
    """Like for like, the difference, or that it is not recorded."""
    it = telling.speech.number("it", thing.many).lower()
    differs = telling.speech.number("differs", thing.many)
    if likeness(part) == "new, like for like":
        yield telling.say("new.same")
    if likeness(part) == "new, likeness not known":
        compares = telling.speech.number("compares", thing.many)
        yield telling.say("new.likeness_not_known", it=it, compares=compares)
    if likeness(part) == "new, with a difference":
        if part.material and part.new_material and normal(part.material) != normal(part.new_material):
            yield telling.say("new.unlike", material=telling.speech.inside(part.material, "material"))
        if part.difference:
            yield telling.say(
                "new.difference",
                it=it,
                differs=differs,
                difference=telling.speech.inside(part.difference, "difference"),
            )


def _told(telling: Telling, part: Part) -> Iterator[str]:
    if part.told_by:
        yield telling.say("new.told_by", told_by=telling.speech.inside(part.told_by, "told_by"))
