"""Which parts of a register are headings: the same pieces over again as the parts under them.

At least two parts stand under a heading, their pieces add up to its own, and where it says a material they
are of all that it says and of no other (9 + 55 pins under 64 pins; straps of cowhide and rings of brass under
a bridle of cowhide and brass, but no brass handles under drawers of oak and brass). It is counted by the
parts under it, and work on it is work on them. Any other container (a lid with its lining) is a part of its
own and counts beside what it contains. Pure.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice, takewhile
from typing import Protocol, TypeVar

from dossier.words.compare import normal


class _Part(Protocol):
    """What is asked of a part (`model.rows.Part`)."""

    @property
    def number(self) -> str: ...
    @property
    def part_of(self) -> str: ...
    @property
    def pieces(self) -> int: ...
    @property
    def material(self) -> str: ...


# Not "or": materials that are one or the other are none that is known, and in French it is gold.
_JOINING = frozenset(["and", "with", "und", "mit", "sowie", "et", "avec", "e", "ed", "con", "y", "\u3068"])
_MOST_TRIED = 3  # ways in which a part would be a heading
Part = TypeVar("Part", bound=_Part)


def pieces_of(part: _Part) -> int:
    return max(part.pieces, 1)


def children(parts: Sequence[Part]) -> dict[str, list[Part]]:
    """The parts that say that they are part of one, by its number."""
    found: dict[str, list[Part]] = defaultdict(list)
    for part in parts:
        found[part.part_of].append(part)
    return found


def containers(part: Part, parts: Mapping[str, Part]) -> Iterator[Part]:
    """The parts that contain this one, nearest first; a circle ends where it closes."""
    met = {part.number}
    while part.part_of in parts and part.part_of not in met:
        part = parts[part.part_of]
        met.add(part.number)
        yield part


def in_circle(part: Part, parts: Mapping[str, Part]) -> bool:
    """True when following "part of" comes back to this part."""
    above = [part, *containers(part, parts)]
    return above[-1].part_of == part.number


def headings(parts: Sequence[Part]) -> frozenset[str]:
    """The numbers of all headings."""
    known, under = {part.number: part for part in parts}, children(parts)
    return frozenset(part.number for part in parts if _is_heading(part, known, under))


def headed(parts: Sequence[Part]) -> dict[str, tuple[str, ...]]:
    """By heading, the numbers of all parts under it at any depth that it counts by, headings among them."""
    known, heads = {part.number: part for part in parts}, headings(parts)
    found: dict[str, list[str]] = {number: [] for number in heads}
    for part in parts:
        for above in takewhile(lambda one: one.number in heads, containers(part, known)):
            found[above.number].append(part.number)
    return {number: tuple(under) for number, under in found.items()}


def adds_up(part: Part, parts: Mapping[str, Part], under: Mapping[str, Sequence[Part]]) -> bool:
    """Whether the pieces of at least two parts under it come to its own."""
    below = [p for p in under.get(part.number, ()) if p is not part]
    return len(below) > 1 and sum(map(pieces_of, below)) == pieces_of(part) and not in_circle(part, parts)


def besides(part: Part, parts: Mapping[str, Part], under: Mapping[str, Sequence[Part]]) -> list[Part]:
    """The one or two parts under it without which it would be a heading; none where it is or never would."""
    below = [p for p in under.get(part.number, ()) if p is not part]
    excess = sum(map(pieces_of, below)) - pieces_of(part)
    if pieces_of(part) < 2 or excess < 1:
        return []
    for left in islice(_of_pieces(below, excess), _MOST_TRIED):
        if _is_heading(part, parts, {part.number: [p for p in below if p not in left]}):
            return left
    return []


def _of_pieces(some: Sequence[Part], pieces: int) -> Iterator[list[Part]]:
    """One or two of these that have so many pieces together."""
    met: dict[int, Part] = {}
    for one in some:
        n = pieces_of(one)
        if n == pieces:
            yield [one]
        elif pieces - n in met:
            yield [met[pieces - n], one]
        met.setdefault(n, one)


def _is_heading(part: Part, parts: Mapping[str, Part], under: Mapping[str, Sequence[Part]]) -> bool:
    if not adds_up(part, parts, under):
        return False
    own, below = _words(part), [_words(p) for p in under[part.number] if p is not part]
    return not own or (all(words <= own for words in below) and own <= set().union(*below)) or not any(below)


def _words(part: _Part) -> set[str]:
    """The words of its material, without those that join two of them."""
    words = normal(part.material).split()
    return {word for at, word in enumerate(words) if word not in _JOINING or at in (0, len(words) - 1)}
