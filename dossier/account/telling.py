"""A job as the sentences look at it: its parts as things that can be named, its rows as what can be told.

Not here: which sentence is said (`sentences`). Reads nothing that a copy may leave out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from dossier.account.parts import STATE_OF
from dossier.account.register import pieces_of
from dossier.account.speech import Speech, Thing
from dossier.account.view import View
from dossier.model.job import Job
from dossier.model.record import Group, PartNow, Sentence
from dossier.model.rows import Part, Work
from dossier.words import Catalogue


class Telling:
    def __init__(self, job: Job, now: Sequence[PartNow], words: Catalogue) -> None:
        self.job, self.now, self.words = job, now, words
        self.view = View(job)
        self.register = self.view.register
        self.counted = self.register.counted()
        self.speech = Speech(job.parts, job.work, words)
        self._states: dict[str, list[PartNow]] = defaultdict(list)
        for row in now:
            self._states[row.part].append(row)

    def say(self, key: str, things: Sequence[Thing] = (), **values: object) -> str:
        agreeing = self.speech.verbs(things) if things else {}
        return self.speech.say(key, **agreeing, **values)

    def sentence(self, group: Group, texts: Iterable[str], rows: Iterable[str]) -> Sentence:
        text = self.speech.joined([text for text in texts if text])
        return Sentence(group=group, text=text, rows=tuple(dict.fromkeys(rows)))

    def part(self, row: PartNow) -> Part:
        return self.register.parts[row.part]

    def thing(self, row: PartNow) -> Thing:
        return self.speech.thing(self.part(row), row.pieces_low, row.pieces_high)

    def open(self, part: Part) -> list[Thing]:
        """The pieces of a part of which it is not known whether they are original."""
        return [self.thing(row) for row in self.states(part) if row.now == "not known"]

    def rows(self, part: Part) -> list[Work]:
        return self.view.rows(part)

    def states(self, part: Part) -> list[PartNow]:
        return self._states[part.number]

    def wholly(self, part: Part, *starts: str) -> bool:
        """True when every state of the part begins with one of these words."""
        states = self.states(part)
        return bool(states) and all(row.now.startswith(starts) for row in states)

    def treatments(self, part: Part) -> list[Work]:
        kinds = ("left", "treated", "new surface", "part renewed")
        return [row for row in self.rows(part) if STATE_OF[row.done] in kinds and row.done != "altered"]

    def worked(self, met: Sequence[tuple[Part, Work]]) -> list[Thing]:
        """Each part once, with as many pieces as its rows surely and at most speak of."""
        counts: dict[str, list[int]] = defaultdict(list)
        for part, row in met:
            counts[part.number].append(self._k(part, row))
        parts = {part.number: part for part, _ in met}
        return [
            self.speech.thing(part, max(counts[n]), min(sum(counts[n]), pieces_of(part)))
            for n, part in parts.items()
        ]

    def left_open(self, part: Part) -> list[tuple[Part, Work]]:
        """Containers replaced or taken away around a part that has no row of its own."""
        if any(row.done != "not examined" for row in self.rows(part)):
            return []
        return [
            (container, row)
            for container in self.register.containers(part)
            for row in self.register.rows.get(container.number, ())
            if STATE_OF[row.done] in ("new", "gone")
        ]

    def _k(self, part: Part, row: Work) -> int:
        own = part.number in row.parts and len(row.parts) == 1
        return min(row.pieces or pieces_of(part), pieces_of(part)) if own else pieces_of(part)


def keys_of(things: Iterable[Thing], work: Iterable[int] = ()) -> list[str]:
    return [*(thing.key for thing in things), *(f"work/{number}" for number in work)]
