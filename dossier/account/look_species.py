"""What a permit form asks for of a protected species, and is not written.

The fields are those of the standard form for permits of CITES (species, specimen, quantity, origin, source,
date of acquisition; from memory). Not here: which species are listed, legal advice.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from dossier.account.cautions import cautions
from dossier.account.found import Found
from dossier.account.phrases import in_row
from dossier.account.view import View
from dossier.words import Catalogue

_ASKED = ("what", "parts", "quantity", "acquired", "origin", "source")
_OBJECT = "job/object"


def look(view: View) -> Iterator[Found]:
    words = Catalogue(view.job.language)
    yield from _not_complete(view, words)
    yield from _not_named(view, words)


def _not_complete(view: View, words: Catalogue) -> Iterator[Found]:
    for place, row in enumerate(view.job.protected, 1):
        blank = [words.say(f"findings.permit.{name}") for name in _ASKED if not getattr(row, name)]
        if blank:
            said = in_row(blank, words)
            name = words.say("findings.label.lacks", name=row.species, blank=said)
            yield Found(
                "permit-not-complete",
                f"protected/{place}",
                {"species": row.species, "blank": said},
                row.parts,
                name,
            )


def _not_named(view: View, words: Catalogue) -> Iterator[Found]:
    """Parts in whose words a listed kind stands, and the object where no part has one."""
    if any(not row.parts for row in view.job.protected):
        return
    under = {number: {part.number for part in parts} for number, parts in view.register.headed().items()}
    named = {number for row in view.job.protected for number in row.parts}
    named |= {below for number in named for below in under.get(number, ())}
    kinds = cautions(view.job, words, "species-")
    spoken_of = [_numbers(one.rows) for one in kinds]
    every = dict.fromkeys(number for some in spoken_of for number in some)
    blank = {part.number for part in view.job.parts if not part.material}
    for number in every:
        own = [set(some) for some in spoken_of if number in some]
        meant = [_meant(under.get(number, set()), one, blank, every) for one in own]
        if number not in named and not all(some and some <= named for some in meant):
            yield Found("species-not-named", f"parts/{number}", {}, (number,))
    if not (named or any(spoken_of)) and any(_OBJECT in one.rows for one in kinds):
        yield Found("species-not-named", _OBJECT, label=view.job.object.type)


def _numbers(rows: Iterable[str]) -> list[str]:
    return [key.removeprefix("parts/") for key in rows if key.startswith("parts/")]


def _meant(below: set[str], of_kind: set[str], blank: set[str], spoken_of: Iterable[str]) -> set[str]:
    """Of the parts under a heading in whose words a kind stands those that it is said of: in whose own words
    it stands too; where there are none, those without a material of their own, or of no kind that is listed.
    """
    others = below.difference(spoken_of)
    return below & of_kind or others & blank or others or below
