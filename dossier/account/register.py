"""The register of parts and its work, indexed: what contains what, which rows meet which part and when.

Not here: what the rows come to (`parts`). Invariants: rows that name unknown parts are passed over, circles
of "part of" end where they close.

A part that contains parts is a heading when it is the same pieces over again: at least two parts stand under
it, their pieces add up to its own, and no material contradicts (9 + 55 pins under 64 pins). A heading is
counted by the parts under it, and work on it is work on them. Any other container (a lid with its lining) is
a part of its own and counts beside what it contains, so a lining replaced in a kept lid counts once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import takewhile

from dossier.account.likeness import normal
from dossier.model.rows import Part, Work


def in_order(work: Sequence[Work]) -> list[Work]:
    """By date; an undated row stands where it was typed, after the row before it."""
    latest, keyed = "", []
    for row in work:
        latest = row.date or latest
        keyed.append((latest, row))
    return [row for _, row in sorted(keyed, key=lambda pair: pair[0])]


def pieces_of(part: Part) -> int:
    return max(part.pieces, 1)


class Register:
    """Parts by number and the rows of work that name them, in order."""

    def __init__(self, parts: Sequence[Part], work: Sequence[Work] = ()) -> None:
        self.parts = {p.number: p for p in parts}
        self.under: dict[str, list[Part]] = defaultdict(list)
        for p in parts:
            self.under[p.part_of].append(p)
        self.rows: dict[str, list[Work]] = defaultdict(list)
        ordered = in_order(work)
        self.place = {row.number: place for place, row in enumerate(ordered)}
        for row in ordered:
            for number in dict.fromkeys(row.parts):
                self.rows[number].append(row)
        self.headings = frozenset(p.number for p in parts if self._is_heading(p))

    def counted(self) -> list[Part]:
        """Every part that counts for itself, in the order of the register."""
        return [p for p in self.parts.values() if p.number not in self.headings]

    def containers(self, part: Part) -> Iterator[Part]:
        """The parts that contain this one, nearest first."""
        met = {part.number}
        while part.part_of in self.parts and part.part_of not in met:
            part = self.parts[part.part_of]
            met.add(part.number)
            yield part

    def headed(self) -> dict[str, list[Part]]:
        """By heading, the counted parts under it at any depth, in the order of the register."""
        found: dict[str, list[Part]] = defaultdict(list)
        for part in self.counted():
            for heading in self.headings_over(part):
                found[heading.number].append(part)
        return found

    def headings_over(self, part: Part) -> Iterator[Part]:
        """The headings that this part stands under, nearest first: work on them is work on it."""
        return takewhile(lambda container: container.number in self.headings, self.containers(part))

    def in_circle(self, part: Part) -> bool:
        """True when following "part of" comes back to this part."""
        above = [part, *self.containers(part)]
        return above[-1].part_of == part.number

    def _is_heading(self, part: Part) -> bool:
        under = [p for p in self.under.get(part.number, ()) if p is not part]
        if len(under) < 2 or sum(map(pieces_of, under)) != pieces_of(part) or self.in_circle(part):
            return False
        own = normal(part.material)
        return not own or all(normal(p.material) in ("", own) for p in under)
