"""Who said what of a part: a chain of nodes, each a statement and the node before it.

Where rows become one part the chain begins anew from all of theirs; where a part becomes rows, each row's
goes on from the part's. Not here: what is known of the pieces (`chain`). Invariant: nodes are only added, and
what was said at one never changes.
"""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from dossier.model.counted import PartSaid

NOTHING = 0  # the node at which nothing was said yet
Path = list[tuple[int, PartSaid]]  # nodes with what they say


class Nodes:
    def __init__(self) -> None:
        self._nodes: list[tuple[int, PartSaid | None]] = [(NOTHING, None)]
        self._rows: dict[int, tuple[str, Mapping[str, int]]] = {}  # by node where rows are one: its number
        self._split: dict[int, str] = {}  # by node where a part becomes rows: its number
        self._statements: dict[int, object] = {}
        self._told: dict[int, Path] = {}  # by node where rows are one: what was said of each before

    def add(self, before: int, said: PartSaid | None, statement: object = None) -> int:
        """The node at which this is said, after what was said before; `statement`: of a paper that speaks of
        several rows together, the same for all of them.
        """
        self._nodes.append((before, said))
        if statement is not None:
            self._statements[len(self._nodes) - 1] = statement
        return len(self._nodes) - 1

    def as_one(self, number: str, rows: Mapping[str, int]) -> int:
        """The node at which rows, each with its last node, are one part of this number."""
        self._rows[node := self.add(NOTHING, None)] = number, rows
        return node

    def as_rows(self, number: str, before: int) -> int:
        """The node at which the part of this number becomes rows."""
        self._split[node := self.add(before, None)] = number
        return node

    def said(self, node: int, number: str = "", was: str = "") -> tuple[PartSaid, ...]:
        """What was said up to this node, oldest first; of a row that `was` part of another, since then as of
        its own `number`.
        """
        return tuple(said for _, said in self._path(node, number, was))

    def _path(self, node: int, number: str = "", was: str = "") -> Path:
        """The nodes up to this one, oldest first, with what they say; `number` is of a row of what is one, or
        of one that `was` part of another.
        """
        found: Path = []
        before: Path = []
        while node:
            if node in self._rows:
                told = self._paths(node)
                before = told if number else _of_all(self._rows[node][0], told)
            if number:
                number = self._split.get(node, number)
                number = "" if number == was else number
            parent, said = self._nodes[node]
            if said is not None:
                found.append((node, msgspec.structs.replace(said, part=number) if number else said))
            node = parent
        return [*before, *reversed(found)]

    def _paths(self, node: int) -> Path:
        """The nodes of rows that are one later, by date, each once for each row that says it of itself."""
        # No recursion: rows may have been one, and rows again, any number of times.
        todo = [node] if node not in self._told else []
        while todo:
            rows = self._rows[todo[-1]][1]
            deeper = {self._first(last) for last in rows.values()} - self._told.keys() - {NOTHING}
            if deeper:
                todo += sorted(deeper)
                continue
            found: dict[object, tuple[int, PartSaid]] = {}
            for row, last in rows.items():
                for at, said in self._path(last, row):
                    key = self._statements.get(at, (at, said.part))
                    if key in found and at in self._statements:  # of these rows together
                        found[key] = found[key][0], msgspec.structs.replace(said, part="")
                    else:
                        found[key] = at, said
            self._told[todo.pop()] = sorted(found.values(), key=lambda one: one[1].date)
        return self._told[node]

    def _first(self, node: int) -> int:
        """The last node at which rows became one; `NOTHING` where there is none."""
        while node and node not in self._rows:
            node = self._nodes[node][0]
        return node


def _of_all(number: str, told: Path) -> Path:
    """Without a number where all of what is one now was said to be this: no row stood beside it then."""
    beside = {said.sha256 for _, said in told if said.part != number} - {""}
    every = {node for node, said in told if said.part == number and said.sha256 not in beside}
    return [(n, msgspec.structs.replace(said, part="") if n in every else said) for n, said in told]
