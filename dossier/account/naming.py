"""What pieces are called now: how they came and what was done to them, as one word of `Now`.

Not here: counting (`spread`, `mix`). Invariant: what did not come as original is never called original.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from dossier.account.likeness import likeness
from dossier.account.mix import Mix
from dossier.account.spread import Count, merged
from dossier.model.rows import Part
from dossier.model.words import CameAs, Done, Now

State = Literal["new", "gone", "part renewed", "new surface", "treated", "left", "unknown", "nothing"]

STATE_OF: dict[Done, State] = {
    "left as found": "left",
    "not examined": "unknown",
    "cleaned": "treated",
    "fed or protected": "treated",
    "secured": "treated",
    "repaired": "treated",
    "part renewed": "part renewed",
    "new surface": "new surface",
    "altered": "treated",
    "replaced": "new",
    "added": "new",
    "taken off and refitted": "treated",
    "taken away": "gone",
}
_MOVED: frozenset[State] = frozenset({"new", "gone"})

_OF_ORIGINAL: dict[State, Now] = {
    "part renewed": "original, part renewed",
    "new surface": "original, new surface",
    "treated": "original, treated",
    "left": "original, left as found",
    "nothing": "original, no work recorded",
}
_OF_OTHERS: dict[str, Now] = {
    "earlier replacement": "earlier replacement",
    "later addition": "later addition",
    "from another object": "from another object",
    "missing": "missing",
    "not known": "not known",
}


def name(part: Part, state: State, came_as: CameAs) -> Now:
    """Of pieces that came so; "not examined" means not known, but for what is known not to be original."""
    if state == "unknown" and came_as in ("original", "not known"):
        return "not known"
    return _known(part, state, came_as)


def _known(part: Part, state: State, came_as: str) -> Now:
    if state == "new":
        return likeness(part)
    if state == "gone":
        return "missing" if came_as == "missing" else "taken away"
    return _OF_ORIGINAL[state] if came_as == "original" else _OF_OTHERS[came_as]


def named(part: Part, n: int, counts: Sequence[Count[State]]) -> list[Count[Now]]:
    """The counts by what they are called, where the part came as its own row says."""
    return merged(n, [Count(name(part, c.state, part.came_as), c.low, c.high, c.rows) for c in counts])


def named_by(part: Part, n: int, counts: Sequence[Count[State]], origin: Mix) -> list[Count[Now]]:
    """The same where earlier records say how the pieces came. What they call not original stays so when it is
    not examined now; which pieces of which origin met which work is not known, so the counts are ranges.
    """
    return merged(n, list(_by(part, n, counts, origin)))


def _by(part: Part, n: int, counts: Sequence[Count[State]], origin: Mix) -> Iterator[Count[Now]]:
    moved = [c for c in counts if c.state in _MOVED]
    rest = [c for c in counts if c.state not in _MOVED]
    low, high = sum(c.low for c in moved), sum(c.high for c in moved)
    for c in moved:
        yield Count(_known(part, c.state, origin.label), c.low, c.high, c.rows)
    for label, least, most in origin.counts:
        if label in ("original", "not known"):
            yield from (_cell(n, c, label, least, min(most, n - low)) for c in rest)
        else:
            rows = tuple(row for c in rest for row in c.rows)
            yield Count(_OF_OTHERS[label], max(0, least - high), min(most, n - low), rows)


def _cell(n: int, c: Count[State], label: str, least: int, most: int) -> Count[Now]:
    """Of pieces with this origin, how many were met so."""
    called: Now = "not known" if c.state == "unknown" or label == "not known" else _OF_ORIGINAL[c.state]
    return Count(called, max(0, c.low + least - n), min(c.high, most), c.rows)
