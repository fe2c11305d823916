"""What the row of a heading says of new work, said of the parts under it that this work was done on.

A heading is counted by its parts (`words.headings`), and work on it is work on them: so the new material,
reason, maker and whereabouts that stand in its row are theirs, where their own rows leave them blank and a
line of work that names the heading made them new. Of work on one part alone that part's row speaks, and of
one that was missing there is no old piece. The heading's row stays as it was typed. Pure.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import msgspec

from dossier.model.rows import Part, Work
from dossier.model.words import Done
from dossier.words.headings import containers, headings

_OF_OLD = ("why", "old_piece")
_OF_NEW = ("new_material", "made_by", "difference", "told_by", "undone_by", *_OF_OLD)
_SAYS: dict[Done, tuple[str, ...]] = {
    "replaced": _OF_NEW,
    "added": _OF_NEW,
    "part renewed": _OF_NEW,
    "taken away": _OF_OLD,
}


def said_of_parts(parts: Sequence[Part], work: Iterable[Work]) -> tuple[Part, ...]:
    """The register with what each heading says of its parts' new work in their rows too."""
    known, heads = {part.number: part for part in parts}, headings(parts)
    if not heads:
        return tuple(parts)
    fields: dict[str, dict[str, None]] = {}
    for row in work:
        for number in row.parts:
            fields.setdefault(number, {}).update(dict.fromkeys(_SAYS.get(row.done, ())))
    return tuple(part if part.number in heads else _filled(part, known, heads, fields) for part in parts)


def _filled(
    part: Part, known: dict[str, Part], heads: frozenset[str], fields: dict[str, dict[str, None]]
) -> Part:
    said: dict[str, str] = {}
    for one in _above(part, known, heads):
        texts = {name: getattr(one, name) for name in fields.get(one.number, ())}
        said = {name: text for name, text in texts.items() if text} | said
    if part.came_as == "missing":
        said.pop("old_piece", None)
    return msgspec.structs.replace(part, **{name: said[name] for name in said if not getattr(part, name)})


def _above(part: Part, known: dict[str, Part], heads: frozenset[str]) -> Iterator[Part]:
    """The headings over a part, nearest first, as far as nothing but headings lies between."""
    for one in containers(part, known):
        if one.number not in heads:
            return
        yield one
