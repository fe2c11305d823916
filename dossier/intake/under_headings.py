"""What the row of a heading says of new work, said of the parts under it that this work was done on.

A heading is counted by its parts (`words.headings`), and work on it is work on them: so the new material,
reason, maker and whereabouts that stand in its row are theirs, where their own rows leave them blank and a
line of work that names the heading, or lines that name each of its parts, made them new. What the nearest
heading says goes first. Of work on some of the parts alone their rows speak, and of one that was missing
there is no old piece. The heading's row stays as it was typed. Pure.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from itertools import takewhile

import msgspec

from dossier.model.rows import Part, Work
from dossier.model.words import Done
from dossier.words.headings import children, containers, headed

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
    under = headed(parts)
    if not under:
        return tuple(parts)
    made: dict[str, dict[str, None]] = {}  # by part or heading, what its work owes a word of
    for row in work:
        for number in row.parts:
            made.setdefault(number, {}).update(dict.fromkeys(_SAYS.get(row.done, ())))
    known, below = {part.number: part for part in parts}, children(parts)
    depth = {heading: len(list(containers(known[heading], known))) for heading in under}
    for heading in sorted(under, key=depth.__getitem__, reverse=True):  # inner ones first
        rows = [made.get(part.number, {}) for part in below[heading]]
        every = {name: None for name in rows[0] if all(name in row for row in rows)}
        made[heading] = made.get(heading, {}) | every
    return tuple(part if part.number in under else _filled(part, known, under, made) for part in parts)


def _filled(
    part: Part, known: Mapping[str, Part], heads: Container[str], made: Mapping[str, Mapping[str, None]]
) -> Part:
    above = list(takewhile(lambda one: one.number in heads, containers(part, known)))
    said: dict[str, str] = {}
    for place, one in enumerate(above):  # of work on a heading, what it says and those within it
        for name in made.get(one.number, ()):
            said[name] = next((text for near in above[: place + 1] if (text := getattr(near, name))), "")
    if part.came_as == "missing":
        said.pop("old_piece", None)
    return msgspec.structs.replace(part, **{name: said[name] for name in said if not getattr(part, name)})
