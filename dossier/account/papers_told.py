"""Papers that a record tells of, though another had them typed in: told on where that one is not at hand.

A paper typed in again is the same by its date, maker, kind of work and number of pieces. Not here: what
papers count (`chain`), in which order (`sources`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

import msgspec

from dossier.account.together import all_above
from dossier.model.counted import PartHistory, PartSaid
from dossier.model.record import Payload
from dossier.model.rows import HistoryClaim

_OF_A_PAPER = ("date", "workshop", "done", "pieces", "of")
ByPart = dict[str, tuple[PartSaid, ...]]


def is_same(paper: PartSaid, said: PartSaid) -> bool:
    """Whether both are one paper, told of one part."""
    return all(getattr(paper, name) == getattr(said, name) for name in _OF_A_PAPER)


def by_record(payload: Payload) -> Mapping[str, ByPart]:
    """The papers told, by the record that is told next (none for the record itself), and by part."""
    found: dict[str, ByPart] = defaultdict(dict)
    for history in payload.part_history:
        waiting: list[PartSaid] = []
        for said in history.said:
            if said.done and not said.object:
                waiting.append(said)
            elif said.sha256 and not said.object:
                _put(found[said.sha256], history, waiting)
                waiting = []
        _put(found[""], history, waiting)
    return found


def _put(told: ByPart, history: PartHistory, papers: Iterable[PartSaid]) -> None:
    for said in papers:
        for number in history.parts if said.part or not history.was else (history.was,):
            add(told, said.part or number, (msgspec.structs.replace(said, part=""),))


def add(told: ByPart, number: str, papers: Sequence[PartSaid]) -> None:
    """Each paper once for each part, however many rows tell it."""
    there = told.get(number, ())
    told[number] = (*there, *(one for one in papers if not any(is_same(one, old) for old in there)))


class Typed:
    """Whether a record tells of a paper that is typed in."""

    def __init__(self, payload: Payload) -> None:
        above = {part.number: part.part_of for part in payload.parts if part.part_of}
        self._sizes = {part.number: part.pieces for part in payload.parts}
        self._told: dict[tuple[str, str, str], list[tuple[PartSaid, set[str]]]] = defaultdict(list)
        for history in payload.part_history:
            for said in history.said:
                if said.done and not said.object:
                    numbers = {*history.parts, *filter(None, (history.was, said.part))}
                    over = {heading for number in numbers for heading in all_above(number, above)}
                    spoken = self._spoken_of(said, numbers, over)
                    self._told[said.date, said.workshop, said.done].append((said, spoken))

    def _spoken_of(self, said: PartSaid, numbers: set[str], over: set[str]) -> set[str]:
        """The headings over parts, if it is of as many pieces as they have, else the parts."""
        whole = said.of or said.pieces
        headings = {one for one in over if self._sizes.get(one) == whole}
        return (
            headings | numbers
            if any(self._sizes.get(one) == whole for one in numbers)
            else headings or numbers
        )

    def told(self, claim: HistoryClaim) -> PartSaid | None:
        """What it tells of the paper; None where that is not of each part or heading that the paper is of."""
        if not (claim.date or claim.by):
            return None
        every = self._told.get((claim.date, claim.by, claim.done), ())
        some = [(said, parts) for said, parts in every if _as_many(said, claim)]
        if not some or not set[str]().union(*(parts for _, parts in some)).issuperset(claim.parts):
            return None
        return some[0][0]


def _as_many(said: PartSaid, claim: HistoryClaim) -> bool:
    return said.pieces == claim.pieces if claim.pieces else said.of in (0, said.pieces)
