"""What pieces are called now: how they came and what was done to them, as one word of `Now`.

Not here: counting (`spread`, `mix`). Invariant: what did not come as original is never called original.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from typing import Literal

from dossier.account.likeness import likeness
from dossier.account.meeting import Crossing
from dossier.account.mix import DEPTH_OF, Depth, Mix
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
_OPEN = ("original", "not known")

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
    if state == "unknown" and came_as in _OPEN:
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


def named_by(
    part: Part,
    n: int,
    counts: Sequence[Count[State]],
    origin: Mix,
    of_absent: Set[State],
    *,
    every: bool = False,
) -> list[Count[Now]]:
    """The same where earlier records say how the pieces came, and what stays done to them. What they call not
    original stays so when it is not examined now; which pieces met which work is not known: ranges.
    `of_absent`: the states of what may meet pieces that were missing; `every`: some work met all others.
    """
    states = [c.state for c in counts]
    crossing = Crossing(
        origin,
        [(c.low, c.high) for c in counts],
        lambda label, _, at: _may_be(label, states[at], of_absent, every),
    )
    found: dict[Now, set[tuple[str, Depth, int]]] = {}
    for at in sorted(range(len(states)), key=lambda at: states[at] not in _MOVED):
        for label, depths in crossing.depths.items():
            for depth in depths:
                found.setdefault(_called(part, states[at], label, depth), set()).add((label, depth, at))
    return merged(n, [_counted(now, cells, crossing, counts) for now, cells in found.items()])


def _counted(
    now: Now, cells: Set[tuple[str, Depth, int]], crossing: Crossing, counts: Sequence[Count[State]]
) -> Count[Now]:
    pairs = {(label, at) for label, _, at in cells}
    if now.startswith("original"):
        low, high = crossing.deep("original", lambda depth, at: ("original", depth, at) in cells)
    else:
        low, high = crossing.of(lambda label, at: (label, at) in pairs)
    return Count(
        now, low, high, tuple(row for at in sorted({at for _, at in pairs}) for row in counts[at].rows)
    )


def _may_be(label: str, state: State, of_absent: Set[State], every: bool) -> bool:
    """Whether a piece that came so may be met so: what is missing is not worked on."""
    if label == "missing":
        return state == "nothing" or state in of_absent
    return state != "nothing" or not every


def _called(part: Part, state: State, label: str, depth: Depth) -> Now:
    if label != "original" or state in _MOVED or state == "unknown":
        return "not known" if state == "unknown" and label in _OPEN else _known(part, state, label)
    deep = max(depth, DEPTH_OF.get(_OF_ORIGINAL[state], 0))
    return next((now for now, one in DEPTH_OF.items() if one == deep), _OF_ORIGINAL[state])
