"""How the job, or the first record that tells of a paper, lists its parts: the paper speaks of these rows.

Not here: what is known of the pieces (`chain`). Invariant: a row in a part which counts for itself is none of
those that were one part by their numbers.
"""

from __future__ import annotations

import re
from collections.abc import Container, Mapping, Sequence

from dossier.account.register import Register
from dossier.account.together import all_above
from dossier.model.rows import Part

# A row split off another, whose number is before the stop.
SPLIT = re.compile(r"(.+)\.([2-9]|[1-9][0-9]{1,3})")


class Listed:
    """`sizes`: pieces by part; `above`: the heading right above a part or heading, by its number."""

    def __init__(self, parts: Sequence[Part] = ()) -> None:
        headed = Register(parts).headed()
        self.sizes: Mapping[str, int] = {part.number: part.pieces for part in parts}
        self.above = {part.number: part.part_of for part in parts if part.part_of in headed}
        self._rows = {heading: frozenset(part.number for part in some) for heading, some in headed.items()}

    def headings(self, number: str) -> dict[str, frozenset[str]]:
        """The headings over a part and under these, with the rows of each at any depth."""
        *_, top = number, *all_above(number, self.above)
        every = self._rows.get(top, frozenset())
        return {heading: rows for heading, rows in self._rows.items() if rows <= every}

    def beside(self, number: str, inside: Container[str]) -> set[str]:
        """The rows that were one part with this by their numbers, and it; `inside` as in `Source`."""
        root = self._root(number)
        rows = {one for one in self.sizes if one.startswith(root) and self._root(one) == root}
        return {one for one in rows if one == number or one not in inside}

    def _root(self, number: str) -> str:
        while (match := SPLIT.fullmatch(number)) and match[1] in self.sizes:
            number = match[1]
        return number
