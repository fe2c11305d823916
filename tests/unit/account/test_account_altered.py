"""Which pieces may be altered, and how many keep what earlier records did to them, against every world.

The oracle follows each piece by itself through one to three records and a job, nothing being taken away: a
piece that is new is neither altered nor worked on, and what is not original stays so.
"""

from __future__ import annotations

import random
import re
from collections import Counter
from collections.abc import Iterator
from itertools import combinations, product

import pytest
from stories_made import job, now_of, part, record, rows

from dossier.account.history import with_history
from dossier.account.sentences import disclosure
from dossier.model.counted import PartNow
from dossier.model.rows import EarlierRecord
from dossier.words import LANGUAGES, Catalogue

Step = list[tuple[str, int]]
DEPTH = {"part renewed": 3, "new surface": 2, "cleaned": 1, "altered": 1}
NAMED = {3: "original, part renewed", 2: "original, new surface", 1: "original, treated"}


class Piece:
    def __init__(self) -> None:
        self.is_new = self.was_new = self.altered = False
        self.depth = 0

    def next_record(self) -> None:
        self.was_new, self.is_new = self.was_new or self.is_new, False
        self.depth = self.depth if self.depth >= DEPTH["new surface"] else 0

    def meet(self, done: str) -> None:
        if done == "replaced":
            self.is_new, self.altered, self.depth = True, False, 0
        else:
            self.altered = self.altered or done == "altered"
            self.depth = max(self.depth, DEPTH[done])

    @property
    def now(self) -> str:
        if self.is_new:
            return "new, likeness not known"
        return "earlier replacement" if self.was_new else NAMED.get(self.depth, "original, no work recorded")


def worlds(n: int, steps: list[Step]) -> Iterator[list[Piece]]:
    every = [list(combinations(range(n), k)) for step in steps for _, k in step]
    for chosen in product(*every):
        pieces, met = [Piece() for _ in range(n)], iter(chosen)
        for step in steps:
            for piece in pieces:
                piece.next_record()
            for done, _ in step:
                for place in next(met):
                    pieces[place].meet(done)
        yield pieces


def told(n: int, steps: list[Step], *, known: bool) -> tuple[PartNow, ...]:
    """What the program says; each record knows those before it, or none does."""
    earlier = []
    *before, last = ([(done, "1", k) for done, k in step] for step in steps)
    for year, typed in enumerate(before, 2001):
        earlier.append(record(year, [part(pieces=n)], rows(*typed), earlier if known else ()))
    return now_of(with_history(job([part(pieces=n)], rows(*last)), earlier))


def histories(count: int) -> Iterator[tuple[int, list[Step], bool]]:
    chance = random.Random(1)
    kinds = ["replaced", *DEPTH]
    for _ in range(count):
        n = chance.randint(1, 3)
        steps = [
            [(chance.choice(kinds), chance.randint(1, n)) for _ in range(chance.randint(0, 2))]
            for _ in range(chance.randint(1, 3))
        ]
        yield n, steps, chance.random() < 0.6


def test_what_may_be_altered_and_how_many_hold_in_every_world() -> None:
    for n, steps, known in histories(400):
        every = list(worlds(n, steps))
        counts = [Counter(piece.now for piece in pieces) for pieces in every]
        altered = {piece.now for pieces in every for piece in pieces if piece.altered}
        found = told(n, steps, known=known)
        spans = {row.now: (row.pieces_low, row.pieces_high) for row in found}
        for state in {state for one in counts for state in one}:
            low, high = spans.get(state, (0, 0))  # type: ignore[call-overload]
            met = [one[state] for one in counts]
            assert low <= min(met) and max(met) <= high, (n, steps, known, state)
        said = {row.now for row in found if row.altered}
        assert said & {state for one in counts for state in one} == altered, (n, steps, known)


@pytest.mark.parametrize(
    ("n", "steps", "altered"),
    [
        # one of two legs cut down today: of the other no work is recorded
        (2, [[("altered", 1)]], {"original, treated"}),
        # both cut down, one then new: the new one was not
        (2, [[("altered", 2), ("replaced", 1)], []], {"original, no work recorded"}),
        # one new, later both cut down
        (2, [[("replaced", 1)], [("altered", 2)], []], {"earlier replacement", "original, no work recorded"}),
        # three new and cut down, then one of them new again: the two others are still cut down
        (3, [[("replaced", 3), ("altered", 3), ("replaced", 1)]], {"new, likeness not known"}),
        # one of two cut down, and later both new
        (2, [[("altered", 1)], [("replaced", 2)], []], set()),
    ],
)
def test_only_what_may_be_altered_is_called_so(n: int, steps: list[Step], altered: set[str]) -> None:
    assert {row.now for row in told(n, steps, known=True) if row.altered} == altered


@pytest.mark.parametrize(
    ("steps", "counts"),
    [
        # both repolished, one of them half renewed: each has the one or the other for good
        (
            [[("new surface", 2), ("part renewed", 1)], []],
            {"original, new surface": (1, 1), "original, part renewed": (1, 1)},
        ),
        # one is new, the other half renewed; whichever is renewed today, the other is so too
        (
            [[("replaced", 1), ("part renewed", 2)], [("part renewed", 1)]],
            {"earlier replacement": (1, 1), "original, part renewed": (1, 1)},
        ),
    ],
)
def test_what_stays_done_leaves_no_piece_that_nothing_was_done_to(
    steps: list[Step], counts: dict[str, tuple[int, int]]
) -> None:
    assert {row.now: (row.pieces_low, row.pieces_high) for row in told(2, steps, known=True)} == counts


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_sentence_on_earlier_records_names_more_parts_than_can_be_read(language: str) -> None:
    """Thirty parts were cut down alike: each is named in both kinds of sentence, twelve at most in one."""
    parts = [part(str(n), part=f"Q{n}q") for n in range(30)]
    of_2020 = record(2020, parts, rows(("altered", " ".join(one.number for one in parts))))
    named = (EarlierRecord(record="urn:x", sha256=of_2020.sha256),)
    story = with_history(job(parts, earlier_records=named), [of_2020])
    told = disclosure(story.job, now_of(story), Catalogue(language), story.histories, parts)
    for group in ("changed", "earlier"):
        names = [re.findall(r"Q(\d+)q", sentence.text) for sentence in told if sentence.group == group]
        assert max(map(len, names)) <= 12
        assert sorted((name for some in names for name in some), key=int) == [one.number for one in parts]
