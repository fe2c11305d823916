"""Like for like: the old material compared with the new, as written. Blank is not known.

Not here: judgement of materials. Two materials are the same when their words are the same in the same order,
case, accents and punctuation apart; a difference written beside equal materials is still a difference.
"""

from __future__ import annotations

from functools import cache

from dossier.model.rows import Part
from dossier.model.words import Now
from dossier.words import LANGUAGES, Catalogue
from dossier.words.compare import normal

__all__ = ["likeness", "materials_differ", "normal", "says_difference"]


def materials_differ(part: Part) -> bool:
    """True when both materials are written and their words differ."""
    old, new = normal(part.material), normal(part.new_material)
    return bool(old and new and old != new)


def says_difference(part: Part) -> bool:
    return normal(part.difference) not in _no_difference()


@cache
def _no_difference() -> frozenset[str]:
    """What is typed for "does not differ", in every language: a record may have been typed in another."""
    said = (word for one in LANGUAGES for word in Catalogue(one).table("sentences.grammar")["no_difference"])
    return frozenset({"", *map(normal, said)})


def likeness(part: Part) -> Now:
    """How what is new compares with what was there before (model.words.Now)."""
    if says_difference(part) or materials_differ(part):
        return "new, with a difference"
    both = normal(part.material) and normal(part.new_material)
    return "new, like for like" if both else "new, likeness not known"
