"""A job as the sentences look at it: its parts as things that can be named, its rows as what can be told.

Not here: which sentence is said (`sentences`). Reads nothing that a copy may leave out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from dossier.account.naming import STATE_OF
from dossier.account.register import pieces_of
from dossier.account.speech import Speech, Thing
from dossier.account.view import View
from dossier.model.counted import Origin, PartHistory, PartNow
from dossier.model.job import Job
from dossier.model.record import Group, Sentence
from dossier.model.rows import Part, Work
from dossier.words import Catalogue


class Telling:
    def __init__(
        self,
        job: Job,
        now: Sequence[PartNow],
        words: Catalogue,
        histories: Sequence[PartHistory] = (),
    ) -> None:
        self.job, self.now, self.words = job, now, words
        self.view = View(job)
        self.register = self.view.register
        self.counted = self.register.counted()
        self.speech = Speech(job.parts, job.work, words)
        self._mixed = {n for one in histories if any(map(_is_other, one.counted_as)) for n in one.parts}
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

    def inside(self, thing: Thing) -> str:
        """The thing within a sentence: "the felt", "1 of the 2 drawers"."""
        return thing.name if thing.some else self.say("grammar.the_inside", name=thing.name)

    def is_told(self, row: PartNow) -> bool:
        """Not of the one piece that may be so or not: that it is left open has its own sentence."""
        one = pieces_of(self.part(row)) == 1 and row.pieces_low == 0
        return not (one and self.left_open(self.part(row)))

    def open(self, part: Part) -> list[Thing]:
        """The pieces of a part of which it is not known whether they are original."""
        return [self.thing(row) for row in self.states(part) if row.now == "not known"]

    def only_originals(self, part: Part) -> bool:
        """Whether all pieces came as original, as far as earlier records say too."""
        return part.came_as == "original" and part.number not in self._mixed

    def rows(self, part: Part) -> list[Work]:
        return self.view.may_have_met(part)

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
        """Each part once, with as many pieces as its rows surely and at most speak of; its heading, where
        a row says so many of that one's pieces and not which.
        """
        spoken = {(self.spoken_of(part, row).number, row.number): row for part, row in met}
        counts: dict[str, list[int]] = defaultdict(list)
        for (number, _), row in spoken.items():
            counts[number].append(self._k(self.register.parts[number], row))
        return [self._counted(self.register.parts[n], max(ks), sum(ks)) for n, ks in counts.items()]

    def worked_of(self, part: Part, rows: Sequence[Work]) -> list[Thing]:
        """The part alone, with as many of its pieces as the rows surely and at most speak of."""
        n, spans = pieces_of(part), []
        for row in rows:
            above = self.spoken_of(part, row)
            k = self._k(above, row)
            spans.append((max(0, k - (pieces_of(above) - n)), min(k, n)))
        return [self._counted(part, max(low for low, _ in spans), sum(high for _, high in spans))]

    def _counted(self, part: Part, low: int, high: int) -> Thing:
        return self.speech.thing(part, low, min(high, pieces_of(part)))

    def still_here(self, part: Part) -> Thing:
        """The pieces of a part that are not new, taken away or missing."""
        n, moved = pieces_of(part), ("new", "taken away", "missing")
        rows = [row for row in self.states(part) if row.now.startswith(moved)]
        low, high = sum(row.pieces_low for row in rows), sum(row.pieces_high for row in rows)
        return self.speech.thing(part, n - high, n - low)

    def spoken_of(self, part: Part, row: Work) -> Part:
        """The part, or the heading above it of which the row says so many pieces, not which."""
        return part if part.number in row.parts else next(self._some_of_heading(part, row), part)

    def of_some(self, part: Part, row: Work) -> bool:
        """Whether a row speaks of some pieces of the part, or of some of a heading's."""
        above = self.spoken_of(part, row)
        return above is not part or 0 < row.pieces < pieces_of(part)

    def _some_of_heading(self, part: Part, row: Work) -> Iterator[Part]:
        for above in self.register.containers(part):
            heads = above.number in row.parts and above.number in self.register.headings
            if heads and 0 < row.pieces < pieces_of(above):
                yield above

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


def _is_other(origin: Origin) -> bool:
    return origin.high > 0 and origin.came_as != "original"


def keys_of(things: Iterable[Thing], work: Iterable[int] = ()) -> list[str]:
    return [*(thing.key for thing in things), *(f"work/{number}" for number in work)]
