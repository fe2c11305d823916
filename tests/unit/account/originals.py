"""How many pieces are original in any state, reckoned from what is there now: a figure no page prints."""

from __future__ import annotations

from collections.abc import Sequence

from dossier.account.register import Register, pieces_of
from dossier.model.counted import PartNow
from dossier.model.rows import Part


def original_range(now: Sequence[PartNow], pieces: int) -> tuple[int, int]:
    """Fewest and most of the `pieces` of one part that are original; "not known" may be original."""
    mine = [r for r in now if r.now.startswith("original")]
    others = [r for r in now if not r.now.startswith("original")]
    surely_not = sum(r.pieces_low for r in others if r.now != "not known")
    most = sum(r.pieces_high for r in now if r in mine or r.now == "not known")
    least = max(sum(r.pieces_low for r in mine), pieces - sum(r.pieces_high for r in others))
    return least, min(most, pieces - surely_not)


def originals(parts: Sequence[Part], now: Sequence[PartNow]) -> tuple[int, int]:
    """The same over a whole register: the parts' ranges added up, as each part has its own pieces."""
    each = [
        original_range([row for row in now if row.part == part.number], pieces_of(part))
        for part in Register(parts).counted()
    ]
    return sum(low for low, _ in each), sum(high for _, high in each)
