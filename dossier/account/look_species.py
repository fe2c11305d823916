"""What a permit form asks for of a protected species, and is not written.

The fields are those of the standard form for permits of CITES (species, specimen, quantity, origin, source,
date of acquisition; from memory). Not here: which species are listed, legal advice.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

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
    keys = dict.fromkeys(key for one in cautions(view.job, words, "species-") for key in one.rows)
    parts = [key for key in keys if key.startswith("parts/")]
    numbers = [key.removeprefix("parts/") for key in parts]
    named = _with_headed(view, {number for row in view.job.protected for number in row.parts}, numbers)
    for key, number in zip(parts, numbers, strict=True):
        if number not in named:
            yield Found("species-not-named", key, {}, (number,))
    if _OBJECT in keys and not parts and not named:
        yield Found("species-not-named", _OBJECT, label=view.job.object.type)


def _with_headed(view: View, named: set[str], spoken_of: Collection[str]) -> set[str]:
    """With the parts of a heading that is named, and a heading that its parts name."""
    under = {number: {part.number for part in parts} for number, parts in view.register.headed().items()}
    below = named.union(*(parts for number, parts in under.items() if number in named))
    return below | {number for number, parts in under.items() if _is_named_of(parts, spoken_of, below)}


def _is_named_of(parts: set[str], spoken_of: Collection[str], named: set[str]) -> bool:
    """Whether a heading's kind is named by its parts: by all in whose words one stands, else by any."""
    listed = parts.intersection(spoken_of)
    return listed <= named if listed else not parts.isdisjoint(named)
