"""What is there now of each part, derived from how it came and from the work log, and the account of it.

Rules, in words:
- No row means "no work recorded", never "left alone". "Not examined" means "not known".
- Whatever met a piece most deeply decides: new or gone (the later of the two), part renewed, new surface,
  treated, left as found, not examined, nothing. Cleaning a new piece leaves it new.
- A piece taken away and refitted later is there again, with its own history.
- Parts keep their own account inside a container; one without a row (but "not examined") in a container that
  was replaced or taken away is "not known". Headings (see `register`) have no row of their own.
- What did not come as original is never original, whatever was done to it.

Not here: other records (an earlier record's word comes in through `came_as`), sentences, judgement.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Literal, NamedTuple

from dossier.account.likeness import likeness
from dossier.account.register import Register, pieces_of
from dossier.account.spread import Count, Layer, Meets, merged, spread
from dossier.model.record import Account, PartNow
from dossier.model.rows import Part, Work
from dossier.model.words import NOW, SEEN, CameAs, Done, Now, Seen

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
_DEPTH: tuple[State, ...] = ("part renewed", "new surface", "treated", "left", "unknown")
_APART: frozenset[State] = frozenset({"left", "unknown"})

_OF_ORIGINAL: dict[State, Now] = {
    "part renewed": "original, part renewed",
    "new surface": "original, new surface",
    "treated": "original, treated",
    "left": "original, left as found",
    "nothing": "original, no work recorded",
}
_OF_OTHERS: dict[CameAs, Now] = {
    "earlier replacement": "earlier replacement",
    "later addition": "later addition",
    "from another object": "from another object",
    "missing": "missing",
    "not known": "not known",
}


class Met(NamedTuple):
    """A row of work and how many pieces of one part it met."""

    row: Work
    meets: Meets

    @property
    def state(self) -> State:
        return STATE_OF[self.row.done]


def parts_now(parts: Sequence[Part], work: Sequence[Work]) -> tuple[PartNow, ...]:
    """What is there now, part by part in the order of the register; several rows where pieces differ.

    A part without a row is a heading, counted by the parts under it.
    """
    register = Register(parts, work)
    return tuple(row for part in register.counted() for row in _now(register, part))


def account_of(parts: Sequence[Part], now: Sequence[PartNow]) -> tuple[Account, ...]:
    """The account by where it is seen and what is there now. Pieces are ranges; a part counts in `parts_low`
    when all its pieces are surely in that state, in `parts_high` when any piece may be.
    """
    lines: dict[tuple[Seen, Now], list[tuple[Part, PartNow]]] = defaultdict(list)
    by_number = {p.number: p for p in parts}
    for row in now:
        part = by_number[row.part]
        lines[part.seen, row.now].append((part, row))
    order = sorted(lines, key=lambda key: (SEEN.index(key[0]), NOW.index(key[1])))
    return tuple(_line(seen, state, lines[seen, state]) for seen, state in order)


def original_range(now: Sequence[PartNow], pieces: int) -> tuple[int, int]:
    """Fewest and most of `pieces` in all that are original in any state; "not known" may be original."""
    sure = sum(r.pieces_low for r in now if r.now.startswith("original"))
    not_original = (r for r in now if not r.now.startswith("original") and r.now != "not known")
    return sure, pieces - sum(r.pieces_low for r in not_original)


def _line(seen: Seen, now: Now, rows: list[tuple[Part, PartNow]]) -> Account:
    return Account(
        seen=seen,
        now=now,
        parts_low=sum(row.pieces_low >= pieces_of(part) for part, row in rows),
        parts_high=len(rows),
        pieces_low=sum(row.pieces_low for _, row in rows),
        pieces_high=sum(row.pieces_high for _, row in rows),
        parts=tuple(part.number for part, _ in rows),
    )


def _now(register: Register, part: Part) -> list[PartNow]:
    n = pieces_of(part)
    met = list(_met(register, part))
    if all(m.row.done == "not examined" for m in met):
        met += _left_open(register, part)
    counts = spread(n, _layers(n, met), "nothing")
    named = merged(n, [Count(_name(part, c.state), c.low, c.high, c.rows) for c in counts])
    return [
        PartNow(
            part=part.number,
            now=c.state,
            pieces_low=c.low,
            pieces_high=c.high,
            work=tuple(sorted(set(c.rows))),
            altered=_altered(met, c.state),
        )
        for c in named
    ]


def _name(part: Part, state: State) -> Now:
    if state == "unknown":
        return "not known"
    if state == "new":
        return likeness(part)
    if state == "gone":
        return "missing" if part.came_as == "missing" else "taken away"
    return _OF_ORIGINAL[state] if part.came_as == "original" else _OF_OTHERS[part.came_as]


def _met(register: Register, part: Part) -> Iterator[Met]:
    """Rows that name the part, and rows that name a heading above it, in order."""
    found = [Met(row, _own(row, pieces_of(part))) for row in register.rows.get(part.number, ())]
    for container in register.containers(part):
        if container.number not in register.headings:
            break
        for row in register.rows.get(container.number, ()):
            found.append(Met(row, _share(row, pieces_of(container), pieces_of(part))))
    return iter(found if len(found) < 2 else _by_date(found))


def _by_date(found: list[Met]) -> list[Met]:
    return (
        sorted(found, key=lambda m: (m.row.date, m.row.number)) if all(m.row.date for m in found) else found
    )


def _own(row: Work, n: int) -> Meets:
    if row.pieces <= 0 or row.pieces >= n:
        return Meets(0 if _spoilt(row) else n, n, row.number)
    return Meets(0 if _spoilt(row) else row.pieces, row.pieces, row.number)


def _spoilt(row: Work) -> bool:
    """A number of pieces beside several parts says nothing of any one of them (a finding says so)."""
    return row.pieces > 0 and len(row.parts) > 1


def _share(row: Work, n: int, own: int) -> Meets:
    """Of k among the n pieces of a heading, at least k - (n - own) and at most k are among these `own`."""
    k = _own(row, n)
    return Meets(max(0, k.low - (n - own)), min(k.high, own), row.number)


def _left_open(register: Register, part: Part) -> Iterator[Met]:
    """Of a part without a row, in a container replaced or taken away, nobody said what became."""
    n = pieces_of(part)
    for container in register.containers(part):
        for row in register.rows.get(container.number, ()):
            if STATE_OF[row.done] in ("new", "gone"):
                whole = _own(row, pieces_of(container)).low == pieces_of(container)
                yield Met(_as_unknown(row), Meets(n if whole else 0, n, row.number))


def _as_unknown(row: Work) -> Work:
    return Work(number=row.number, date=row.date, done="not examined")


def _layers(n: int, met: Sequence[Met]) -> list[Layer[State]]:
    layers = list(_presence(n, met))
    for state in _DEPTH:
        rows = tuple(m.meets for m in met if m.state == state)
        if rows:
            layers.append(Layer(state, rows, state in _APART))
    return layers


def _presence(n: int, met: Sequence[Met]) -> Iterator[Layer[State]]:
    """Layers of what was brought or taken away, the latest on top; neighbours of one state are one layer."""
    layers: list[Layer[State]] = []
    for m in _refitted(n, met):
        if m.state not in ("new", "gone"):
            continue
        if layers and layers[-1].state == m.state:
            layers[-1] = Layer(m.state, (*layers[-1].meets, m.meets))
        else:
            layers.append(Layer(m.state, (m.meets,)))
    return reversed(layers)


def _refitted(n: int, met: Iterable[Met]) -> list[Met]:
    """Lessens "taken away" by what was refitted later."""
    done: list[Met] = []
    for m in met:
        if m.row.done == "taken off and refitted":
            done = [_back(n, old, m.meets) if old.state == "gone" else old for old in done]
        done.append(m)
    return [m for m in done if m.meets.high > 0]


def _back(n: int, gone: Met, back: Meets) -> Met:
    low = max(0, gone.meets.low - back.high)
    return Met(gone.row, Meets(low, max(low, min(gone.meets.high, n - back.low)), gone.meets.row))


def _altered(met: Sequence[Met], now: Now) -> bool:
    if now in ("taken away", "missing"):
        return False
    rows = [m.row.done for m in met]
    if now.startswith("new"):
        last_new = max(i for i, done in enumerate(rows) if STATE_OF[done] == "new")
        return "altered" in rows[last_new:]
    return "altered" in rows
