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
from dossier.account.naming import STATE_OF
from dossier.account.parts import now_of, together
from dossier.account.register import APART, Register, pieces_of
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
    came: Mapping[frozenset[str], Mix] | None = None,
    origins: Mapping[str, Mix] | None = None,
) -> tuple[Joint, ...]:
    """`families` were one part in an earlier record; `came`: how all their pieces came;
    `origins`: how those of each row did.
    """
    register, came, origins = Register(parts, work), came or {}, origins or {}
    found: dict[frozenset[str], Joint] = {}
    for numbers in (*families, *_headed(register)):
        known = came.get(frozenset(numbers))
        origin = known or _came(register, numbers, origins)
        one = _joint(register, numbers, origin, known is not None or _read_apart(register, numbers))
        if one is not None:
            found.setdefault(one.parts, one)
    return tuple(found.values())


def _headed(register: Register) -> Iterator[tuple[str, ...]]:
    """The rows under each heading on some pieces of which work was done, without what was missing and is."""
    for heading, parts in register.headed().items():
        n = pieces_of(register.parts[heading])
        if any(0 < row.pieces < n for row in register.rows.get(heading, ())):
            there = tuple(part.number for part in parts if not register.is_away(part))
            if there:
                yield there


def _came(register: Register, numbers: tuple[str, ...], origins: Mapping[str, Mix]) -> Mix | None:
    """How the pieces of rows came, where they came in several ways, or earlier records say more of any than
    its own row.
    """
    if origins.keys().isdisjoint(numbers) and not _read_apart(register, numbers):
        return None
    parts = [register.parts[number] for number in numbers]
    return joined([origins.get(p.number) or whole(p.came_as, pieces_of(p)) for p in parts])


def _read_apart(register: Register, numbers: Sequence[str]) -> bool:
    """Whether the pieces of rows came in several ways."""
    return len({register.parts[number].came_as for number in numbers}) > 1


def _joint(register: Register, numbers: tuple[str, ...], origin: Mix | None, known: bool) -> Joint | None:
    """`known`: how all came is known of them together, whatever each of them counts as."""
    members = [register.parts[number] for number in numbers]
    if not _are_one(register, members, known):
        return None
    if _alike(register, members):
        whole = msgspec.structs.replace(members[0], pieces=sum(map(pieces_of, members)))
        rows: list[PartNow] = now_of(register, whole, origin)
    elif _may_be_another(register, members):
        return None
    else:
        rows = together(register, members, origin)
    return Joint(frozenset(numbers), _counts(rows, members))


def _counts(rows: Sequence[PartNow], members: Sequence[Part]) -> dict[Now, tuple[int, int]]:
    """Low and high by state; where what is new is not alike in all of them, it may be of any."""
    found = {row.now: (row.pieces_low, row.pieces_high) for row in rows}
    kinds = {likeness(part) for part in members}
    if len(kinds) > 1:
        _, most = found.pop(likeness(members[0]), (0, 0))
        found.update(dict.fromkeys(kinds, (0, most)))
    return found


def _are_one(register: Register, members: Sequence[Part], known: bool) -> bool:
    """True where every row is seen, stands and came alike, the last only where it is not known of all."""
    if any(part.number in register.headings for part in members):
        return False
    mine = {part.number for part in members} | register.headings
    outside = {
        next((c.number for c in register.containers(part) if c.number not in mine), "") for part in members
    }
    came = {part.came_as for part in members}
    seen = {part.seen for part in members}
    return len(outside) == len(seen) == 1 and (known or len(came) == 1)


def _alike(register: Register, members: Sequence[Part]) -> bool:
    """True where all work on them is on all of them."""
    if any(map(register.is_away, members)):
        return False
    own = [register.rows.get(part.number, []) for part in members]
    over = {
        tuple(one.number for one in register.headings_over(part) if one.number in register.rows)
        for part in members
    }
    return len(over) == 1 and all(rows == own[0] for rows in own) and not any(row.pieces for row in own[0])


def _may_be_another(register: Register, members: Sequence[Part]) -> bool:
    """Whether it matters of which of them a row is: what is refitted in one brings back nothing of another;
    what is left as found is none of what was worked on, unless one row says both; and one without a row is
    not known where what contains it is new.
    """
    above = [{container.number for container in register.containers(part)} for part in members]
    every, shared = set[str]().union(*above), set.intersection(*above)
    around = {row.done for n in every - register.headings for row in register.rows.get(n, ())}
    each = [one - shared | {part.number} for one, part in zip(above, members, strict=True)]
    dones = [
        {row.done for n in some for row in register.rows.get(n, ())}
        for some in (*({n} for n in shared), *each)
    ]
    both = any(len(done) > 1 and not done.isdisjoint(APART) for done in dones)
    return (
        both or any("taken away" in done for done in dones) or any(STATE_OF[done] == "new" for done in around)
    )
