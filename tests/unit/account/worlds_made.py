"""Every way in which rows of work can have met the pieces of a part: an oracle, each piece by itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations, product

Done = list[tuple[str, int]]  # what was done, to how many pieces

DEPTH = {"part renewed": 4, "new surface": 3, "cleaned": 2, "taken off and refitted": 2}
NAMED = {4: "original, part renewed", 3: "original, new surface", 2: "original, treated"}


class Piece:
    """One piece and what happened to it over one record or more, each of which reads it as original."""

    def __init__(self) -> None:
        self.gone = self.new = False
        self.other = (
            False  # no original: replaced in an earlier record, or another in the place of one taken away
        )
        self.depth = self.kept = 0

    def come_in(self, done: Sequence[str]) -> None:
        """The next record: what was taken away comes back as it was, or is another."""
        stays = self.depth if self.depth >= DEPTH["new surface"] else 0
        self.kept, self.depth = max(self.kept, stays), 0
        if self.new or (self.gone and "taken off and refitted" not in done):
            self.other, self.kept = True, 0
        self.new = self.gone = False

    def meet(self, done: str) -> None:
        if done == "replaced":
            self.gone, self.new, self.kept = False, True, 0
        elif done in ("taken away", "taken off and refitted"):
            self.gone = done == "taken away"
        self.depth = max(self.depth, DEPTH.get(done, 0))

    @property
    def now(self) -> str:
        if self.gone or self.new:
            return "taken away" if self.gone else "new"
        depth = max(self.depth, self.kept)
        return "earlier replacement" if self.other else NAMED.get(depth, "original, no work recorded")


def worlds(n: int, *steps: Done) -> Iterator[Counter[str]]:
    """What there is then of `n` pieces, by every choice of those that each row met, record after record."""
    for ways in product(*(list(_choices(n, step)) for step in steps)):
        yield Counter(_end(*(way[i] for way in ways)) for i in range(n))


def _end(*steps: Sequence[str]) -> str:
    piece = Piece()
    for done in steps:
        piece.come_in(done)
        for what in done:
            piece.meet(what)
    return piece.now


def _choices(n: int, done: Done) -> Iterator[list[list[str]]]:
    """What was done to each piece."""
    for met in product(*(combinations(range(n), k) for _, k in done)):
        yield [[what for (what, _), some in zip(done, met, strict=True) if i in some] for i in range(n)]
