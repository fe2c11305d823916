"""Every way in which rows of work can have met the pieces of a part: an oracle, each piece by itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import combinations, product

Done = list[tuple[str, int]]  # what was done, to how many pieces

DEPTH = {"part renewed": 4, "new surface": 3, "cleaned": 2, "taken off and refitted": 2}
NAMED = {4: "original, part renewed", 3: "original, new surface", 2: "original, treated"}


class Piece:
    """One piece and what happened to it: what is taken away comes back as it was."""

    def __init__(self) -> None:
        self.gone = self.new = False
        self.depth = 0

    def meet(self, done: str) -> None:
        if done == "replaced":
            self.gone, self.new = False, True
        elif done in ("taken away", "taken off and refitted"):
            self.gone = done == "taken away"
        self.depth = max(self.depth, DEPTH.get(done, 0))

    @property
    def now(self) -> str:
        if self.gone or self.new:
            return "taken away" if self.gone else "new"
        return NAMED.get(self.depth, "original, no work recorded")


def worlds(n: int, done: Done) -> Iterator[Counter[str]]:
    """What there is then of `n` pieces, by every choice."""
    yield from (Counter(piece.now for piece in pieces) for pieces in _choices(n, done))


def worlds_after(n: int, before: Done, done: Done) -> Iterator[Counter[str]]:
    """The same after a record in which `before` was done, and a job that reads all pieces as original."""
    for first in _choices(n, before):
        for second in _choices(n, done):
            yield Counter(map(_later, first, second))


def _later(before: Piece, now: Piece) -> str:
    """What was replaced or taken away before and is here is no original; what was renewed in part or given a
    new surface stays so.
    """
    if before.depth >= DEPTH["new surface"]:
        now.depth = max(now.depth, before.depth)
    return "earlier replacement" if (before.new or before.gone) and not (now.new or now.gone) else now.now


def worlds_of(n: int, *steps: Done) -> Iterator[Counter[str]]:
    """The same after one record or more, in none of which anything was taken away."""
    for ways in product(*(list(_choices(n, step)) for step in steps)):
        yield Counter(map(_in_the_end, *ways))


def _in_the_end(*pieces: Piece) -> str:
    *before, now = pieces
    if now.new or any(piece.new for piece in before):
        return "new" if now.new else "earlier replacement"
    depth = max([now.depth, *(one.depth for one in before if one.depth >= DEPTH["new surface"])])
    return NAMED.get(depth, "original, no work recorded")


def _choices(n: int, done: Done) -> Iterator[list[Piece]]:
    for met in product(*(combinations(range(n), k) for _, k in done)):
        pieces = [Piece() for _ in range(n)]
        for (what, _), some in zip(done, met, strict=True):
            for piece in some:
                pieces[piece].meet(what)
        yield pieces
