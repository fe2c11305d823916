"""Rows of the register that are one part in several rows, counted together in the account.

Of 20 among 64 pins in rows of 9 and 55, each row alone has a range; together they have 20. Not here: what
each row has (`parts`). Invariant: the account of a part split into rows that are read alike is that of the
part whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

import msgspec

from dossier.account.likeness import likeness
from dossier.account.mix import Mix, joined, whole
from dossier.account.parts import now_of
from dossier.account.register import Register, pieces_of
from dossier.model.counted import PartNow
from dossier.model.rows import Part, Work
from dossier.model.words import Now


class Joint(NamedTuple):
    """Rows that are one part, and what there is of them together: low and high by state."""

    parts: frozenset[str]
    counts: Mapping[Now, tuple[int, int]]


def joints(
    parts: Sequence[Part],
    work: Sequence[Work],
    families: Iterable[tuple[str, ...]] = (),
    together: Mapping[str, Mix] | None = None,
    origins: Mapping[str, Mix] | None = None,
) -> tuple[Joint, ...]:
    """`families` were one part in an earlier record; `together`: how all their pieces came, by the first
    row; `origins`: how those of each row did.
    """
    register, together, origins = Register(parts, work), together or {}, origins or {}
    found: dict[frozenset[str], Joint] = {}
    for numbers in (*families, *_headed(register)):
        one = _joint(register, numbers, together.get(numbers[0]) or _came(register, numbers, origins))
        if one is not None:
            found.setdefault(one.parts, one)
    return tuple(found.values())


def _headed(register: Register) -> Iterator[tuple[str, ...]]:
    """The rows under each heading on some pieces of which work was done."""
    for heading in register.headings:
        n = pieces_of(register.parts[heading])
        if any(0 < row.pieces < n for row in register.rows.get(heading, ())):
            yield tuple(part.number for part in register.under[heading])


def _came(register: Register, numbers: tuple[str, ...], origins: Mapping[str, Mix]) -> Mix | None:
    """How the pieces of rows came, where earlier records say more of any than its own row."""
    if origins.keys().isdisjoint(numbers):
        return None
    parts = [register.parts[number] for number in numbers]
    return joined([origins.get(p.number) or whole(p.came_as, pieces_of(p)) for p in parts])


def _joint(register: Register, numbers: tuple[str, ...], origin: Mix | None) -> Joint | None:
    members = [register.parts[number] for number in numbers]
    if not _alike(register, members):
        return None
    whole = msgspec.structs.replace(members[0], pieces=sum(map(pieces_of, members)))
    rows: list[PartNow] = now_of(register, whole, origin)
    return Joint(frozenset(numbers), {row.now: (row.pieces_low, row.pieces_high) for row in rows})


def _alike(register: Register, members: Sequence[Part]) -> bool:
    """True where the same is said of every row, and all work on them is on all of them."""
    if any(part.number in register.headings for part in members):
        return False
    own = [register.rows.get(part.number, []) for part in members]
    if any(rows != own[0] for rows in own) or any(row.pieces for row in own[0]):
        return False
    mine = {part.number for part in members}
    outside = {part.part_of for part in members if part.part_of not in mine}
    return len(outside) == 1 and len({(part.seen, part.came_as, likeness(part)) for part in members}) == 1
