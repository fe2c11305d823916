"""The sentences of what is new or partly renewed: material, maker, reason, difference, the old piece.

Not here: the other groups (`sentences`). A like new material is called the same only where the register says
so; where either material is blank, that is said.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

import msgspec

from dossier.account.likeness import likeness, materials_differ, normal, says_difference
from dossier.account.naming import STATE_OF
from dossier.account.phrases import clause, in_row
from dossier.account.speech import Thing
from dossier.account.telling import Telling, keys_of
from dossier.model.counted import PartNow
from dossier.model.record import Sentence
from dossier.model.rows import Part, Work
from dossier.model.words import CameAs, Done
from dossier.words.compare import runs_on
from dossier.words.marks import with_names

_COMMA = re.compile(r"[,;、，；]")
NOT_THE_FIRST: tuple[CameAs, ...] = ("earlier replacement", "later addition", "from another object")
_WORKSHOP = "workshop"  # known in every language, as the pages know it

_NEW_WORK: frozenset[Done] = frozenset({"replaced", "added", "part renewed"})
_OF_NEW_WORK = ("new_material", "made_by", "why", "difference", "told_by", "undone_by", "old_piece")


def new(telling: Telling) -> Iterator[Sentence]:
    """One sentence for all parts of which the same is said."""
    alike: dict[tuple[str, ...], list[PartNow]] = {}
    for row in telling.now:
        if row.now.startswith("new"):
            alike.setdefault(_said_of(telling, row), []).append(row)
    for rows in alike.values():
        yield _new(telling, rows)


def part_renewed(telling: Telling) -> Iterator[Sentence]:
    """One sentence a part that came as original and was partly renewed."""
    for part in telling.counted:
        rows = [row for row in telling.rows(part) if row.done == "part renewed"]
        if rows and part.came_as == "original" and not telling.wholly(part, "new", "taken away"):
            things = telling.worked_of(part, rows)
            keys = keys_of(things, [row.number for row in rows])
            yield telling.sentence("part_renewed", renewed(telling, part, rows), keys)


def renewed(telling: Telling, part: Part, rows: list[Work]) -> list[str]:
    """That a part was partly renewed by these rows, and all that is said of the new piece; not what its row
    says of other new work, where these are on a heading.
    """
    things = telling.worked_of(part, rows)
    if not any(part.number in row.parts for row in rows) and any(
        part.number in row.parts and row.done in _NEW_WORK for row in telling.rows(part)
    ):
        part = msgspec.structs.replace(part, **dict.fromkeys(_OF_NEW_WORK, ""))
    head = telling.say("new.part", things=things)
    attributes = [*_hows(telling, rows), _material(telling, part), _maker(telling, part)]
    details = _details(telling, part, head, attributes)
    return [*details, *_compared(telling, part, _many(things)), *_told(telling, part)]


def came(telling: Telling, parts: Sequence[Part]) -> list[str]:
    """How parts came of which nothing is left that did, and which were not the first: what is new or gone is
    not the maker's piece.
    """
    part = parts[0]
    if part.came_as not in NOT_THE_FIRST or not telling.wholly(part, "new", "taken away"):
        return []
    known = telling.say(f"known.{part.known_from}")
    return [telling.say(f"earlier.{part.came_as}", things=[*map(telling.speech.whole, parts)], known=known)]


def old_piece(telling: Telling, part: Part, *, many: bool, ask: bool) -> str:
    """ "The original is kept by the workshop", or the originals.

    Where nothing is said: that it is not recorded, if there must be an old piece (`ask`), else "".
    """
    place = clause(part.old_piece)
    old = telling.say("old.original" if telling.only_originals(part) else "old.other", n=2 if many else 1)
    be, was = (telling.speech.number(verb, many) for verb in ("is", "was"))
    if not place and ask and (heading := telling.register.said_above(part, "old_piece")):
        place, every = clause(heading.old_piece), telling.say("old.other", n=2)
        old = telling.say("old.of_heading", old=every, name=telling.speech.name(heading))
        be, was = (telling.speech.number(verb, many=True) for verb in ("is", "was"))
    if not place:
        return telling.say("old.not_said", old=telling.speech.lowered(old), be=be) if ask else ""
    first = place.split(" ", 1)[0].casefold()
    lowered = telling.speech.lowered(place)
    for verb in ("is", "was"):
        if first in telling.speech.grammar[f"place_{verb}"]:
            return telling.say(f"old.{verb}", old=old, place=lowered, be=be, was=was)
    return telling.say("old.said", old=old, place=place)


def _said_of(telling: Telling, row: PartNow) -> tuple[str, ...]:
    """All that the sentence takes from the part besides its name."""
    part = telling.part(row)
    came_as: tuple[str, str] = ("", "")  # of what is still there in part it is told elsewhere
    if telling.wholly(part, "new", "taken away"):
        came_as = part.came_as, part.known_from if part.came_as in NOT_THE_FIRST else ""
    typed = (part.material, part.new_material, part.made_by, part.why, part.difference, part.told_by)
    return (
        row.now,
        *came_as,
        _head(telling, row),
        part.old_piece or _told_above(telling, row),
        *typed,
        *_hows(telling, _made(telling, row)),
    )


def _told_above(telling: Telling, row: PartNow) -> str:
    """The number of the heading whose row says where the old piece is, if that is told of it."""
    heading = telling.register.said_above(telling.part(row), "old_piece")
    return heading.number if heading and _head(telling, row) == "head" else ""


def _new(telling: Telling, rows: list[PartNow]) -> Sentence:
    part, things = telling.part(rows[0]), _things(telling, rows)
    how_new = _head(telling, rows[0])
    attributes = [_material(telling, part), *_hows(telling, _made(telling, rows[0])), _maker(telling, part)]
    texts = came(telling, list(dict.fromkeys(map(telling.part, rows))))
    texts += _details(telling, part, telling.say(f"new.{how_new}", things=things), attributes)
    texts += [*_compared(telling, part, _many(things)), *_told(telling, part)]
    many = _many(things) or sum(row.pieces_high for row in rows) > 1
    others = (one for one in map(telling.part, rows) if not telling.only_originals(one))
    texts.append(old_piece(telling, next(others, part), many=many, ask=how_new == "head"))
    keys = [*keys_of(things), *(f"parts/{row.part}" for row in rows)]
    return telling.sentence("new", texts, [*keys, *(f"work/{n}" for row in rows for n in row.work)])


def _things(telling: Telling, rows: list[PartNow]) -> list[Thing]:
    """The parts; the heading above them, where it is so many of that one's pieces that are new, all of these
    parts and still there: "9 of the 64 pins", not "0 to 9 of the front pins and 0 to 9 of the back pins".
    """
    made = [(telling.part(row), work) for row in rows for work in _made(telling, row)]
    heads = {telling.spoken_of(part, work).number for part, work in made}
    under = [row for head in heads for part in telling.register.under[head] for row in telling.states(part)]
    others = [row for row in under if row not in rows and row.now.startswith(("new", "taken away"))]
    if len(heads) == 1 and heads <= telling.register.headings and not others:
        return telling.worked(made)
    return [telling.thing(row) for row in rows]


def _many(things: list[Thing]) -> bool:
    return len(things) > 1 or things[0].many


def _head(telling: Telling, row: PartNow) -> str:
    """Which head of table "new" fits: in place of what was missing, added, or replaced."""
    part = telling.part(row)
    if part.came_as == "missing":
        return "missing"
    done = {work.done for work in telling.rows(part) if work.number in row.work}
    return "added" if done == {"added"} else "head"


def _made(telling: Telling, row: PartNow) -> list[Work]:
    """The rows of work by which the pieces are new."""
    return [w for w in telling.rows(telling.part(row)) if w.number in row.work and STATE_OF[w.done] == "new"]


def _details(telling: Telling, part: Part, head: str, attributes: list[str]) -> list[str]:
    """The head with material, how and maker behind a colon, and the reason. What has commas of its own is
    parted by semicolons, behind which no "because" would tell what it belongs to.
    """
    every = [*filter(None, attributes)]
    if len(every) < 2 or not any(_COMMA.search(text) for text in every):
        said = in_row(every, telling.words)
        return telling.speech.with_reason(telling.speech.detailed(head, said), part.why)
    said = telling.speech.say("grammar.also").join(every)
    return telling.speech.with_reason(telling.speech.detailed(head, said), part.why, joined=False)


def _hows(telling: Telling, rows: list[Work]) -> list[str]:
    """How it was done, each way once."""
    return list(dict.fromkeys(telling.speech.inside(row.how, "how") for row in rows if row.how))


def _material(telling: Telling, part: Part) -> str:
    return telling.speech.inside(part.new_material, "new_material")


def _maker(telling: Telling, part: Part) -> str:
    who = clause(part.made_by)
    if not who:
        return ""
    grammar = telling.speech.grammar
    if normal(who) in map(normal, (_WORKSHOP, *grammar["ourselves"])):
        return telling.say("new.made_by", who=telling.say("new.workshop"))
    if _begins(who, grammar["maker_unknown"]):
        return telling.say("new.maker_not_known")
    if _begins(who, grammar["made_says"]):
        return _named(telling, telling.speech.inside(who, "made_by"))
    return telling.say("new.made_by", who=_named(telling, who))


def _begins(text: str, phrases: list[str]) -> bool:
    """Whether a text begins with one of these phrases, as whole words where the script parts words."""
    begun = f"{normal(text)} "
    return any(begun.startswith(normal(words) + ("" if runs_on(words) else " ")) for words in phrases)


def _named(telling: Telling, text: str) -> str:
    """With the names of the record, as the pages have them (`Setting.maker`)."""
    return with_names(text, telling.view.names)


def _compared(telling: Telling, part: Part, many: bool) -> Iterator[str]:
    """What it was of before, the difference, or that it is not recorded. Of two materials that are called the
    same nobody said that they are.
    """
    speech = telling.speech
    it = speech.lowered(speech.number("it", many))
    if likeness(part) == "new, likeness not known":
        key = "likeness_to_missing" if part.came_as == "missing" else "likeness_not_known"
        yield telling.say(f"new.{key}", it=it, compares=speech.number("compares", many))
    if likeness(part) == "new, like for like" or materials_differ(part):
        yield telling.say("new.before", material=speech.inside(part.material, "material"))
    if says_difference(part):
        difference, differs = speech.inside(part.difference, "difference"), speech.number("differs", many)
        key = "difference_of_missing" if part.came_as == "missing" else "difference"
        yield telling.say(f"new.{key}", it=it, differs=differs, difference=difference)


def _told(telling: Telling, part: Part) -> Iterator[str]:
    if part.told_by:
        yield telling.say("new.told_by", told_by=telling.speech.inside(part.told_by, "told_by"))
