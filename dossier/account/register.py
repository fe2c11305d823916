"""The register of parts and its work, indexed: what contains what, which rows meet which part and when.

Not here: what the rows come to (`parts`), which part is a heading (`words.headings`). Invariants: rows that
name unknown parts are passed over, circles of "part of" end where they close. A heading is counted by the
parts under it; a container that is none counts beside what it contains, so a lining replaced in a kept lid
counts once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import takewhile

from dossier.model.rows import Part, Work
from dossier.model.words import Done
from dossier.words import headings
from dossier.words.headings import pieces_of

APART: frozenset[Done] = frozenset({"left as found", "not examined"})  # said of pieces that nothing else met
_BRING: frozenset[Done] = frozenset({"added", "replaced"})
__all__ = ["APART", "Register", "in_order", "pieces_of"]


def in_order(work: Sequence[Work]) -> list[Work]:
    """By date; an undated row stands where it was typed, after the row before it."""
    latest, keyed = "", []
    for row in work:
        latest = row.date or latest
        keyed.append((latest, row))
    return [row for _, row in sorted(keyed, key=lambda pair: pair[0])]


class Register:
    """Parts by number and the rows of work that name them, in order."""

    def __init__(self, parts: Sequence[Part], work: Sequence[Work] = ()) -> None:
        self.parts = {p.number: p for p in parts}
        self.under = headings.children(parts)
        self.rows: dict[str, list[Work]] = defaultdict(list)
        ordered = in_order(work)
        self.place = {row.number: place for place, row in enumerate(ordered)}
        for row in ordered:
            for number in dict.fromkeys(row.parts):
                self.rows[number].append(row)
        self.headings = headings.headings(parts)

    def counted(self) -> list[Part]:
        """Every part that counts for itself, in the order of the register."""
        return [p for p in self.parts.values() if p.number not in self.headings]

    def containers(self, part: Part) -> Iterator[Part]:
        """The parts that contain this one, nearest first."""
        return headings.containers(part, self.parts)

    def headed(self) -> dict[str, list[Part]]:
        """By heading, the counted parts under it at any depth, in the order of the register."""
        return self._headed

    @cached_property
    def _headed(self) -> dict[str, list[Part]]:
        found: dict[str, list[Part]] = defaultdict(list)
        for part in self.counted():
            for heading in self.headings_over(part):
                found[heading.number].append(part)
        return found

    @cached_property
    def away(self) -> dict[str, int]:
        """By heading, how many pieces under it were missing and nothing was brought in their place: no other
        work on the heading met them.
        """
        found: dict[str, int] = defaultdict(int)
        for part in self.counted() if self.headings else ():
            if self.is_away(part):
                for heading in self.headings_over(part):
                    found[heading.number] += pieces_of(part)
        return found

    def is_away(self, part: Part) -> bool:
        """Whether a part was missing and nothing was brought in its place."""
        if part.came_as != "missing":
            return False
        names = (part.number, *(heading.number for heading in self.headings_over(part)))
        return not any(row.done in _BRING for name in names for row in self.rows.get(name, ()))

    def headings_over(self, part: Part) -> Iterator[Part]:
        """The headings that this part stands under, nearest first: work on them is work on it."""
        return takewhile(lambda container: container.number in self.headings, self.containers(part))

    def said_above(self, part: Part, name: str) -> Part | None:
        """The nearest heading over a part that has a word in this column."""
        return next((heading for heading in self.headings_over(part) if getattr(heading, name)), None)

    def in_circle(self, part: Part) -> bool:
        """True when following "part of" comes back to this part."""
        return headings.in_circle(part, self.parts)
