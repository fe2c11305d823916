"""What is there now of each part, derived from how it came and from the work log.

Rules, in words:
- No row means "no work recorded", never "left alone". "Not examined" means "not known", but where the
  part is known not to be original.
- Whatever met a piece most deeply decides: new or gone (the later of the two), part renewed, new surface,
  treated, left as found, not examined, nothing. Cleaning a new piece leaves it new. Of so many pieces that
  were left as found, or not examined, none was met by another row, unless the rows contradict each other.
- A piece taken away and refitted later is there again, with its own history.
- Parts keep their own account inside a container; one without a row (but "not examined") in a container that
  was replaced or taken away is "not known". Headings (see `register`) have no row of their own.
- What did not come as original is never original, whatever was done to it.
- What earlier records say of a part comes in as `origins` (see `history`): how its pieces came, and what
  stays done to those that are original.

Not here: reading other records (`history`), the account of all parts (`lines`), sentences, judgement.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from typing import NamedTuple

import msgspec

from dossier.account.mix import Mix, not_apart
from dossier.account.naming import STATE_OF, State, named, named_by
from dossier.account.register import Register, pieces_of
from dossier.account.spread import Layer, Meets, spread
from dossier.model.counted import PartNow
from dossier.model.rows import Part, Work
from dossier.model.words import Now

_DEPTH: tuple[State, ...] = ("part renewed", "new surface", "treated", "left", "unknown")
_APART: frozenset[State] = frozenset({"left", "unknown"})
_OF_ABSENT: frozenset[State] = frozenset({"new", "unknown"})
_OF_ABSENT_AND_AWAY: frozenset[State] = frozenset({"new", "unknown", "gone"})
_OVER: frozenset[State] = frozenset({"new", "part renewed", "new surface"})


class Met(NamedTuple):
    """A row of work and how many pieces of one part it met."""

    row: Work
    meets: Meets

    @property
    def state(self) -> State:
        return STATE_OF[self.row.done]


_AS_TYPED: Mapping[str, Mix] = {}


def parts_now(
    parts: Sequence[Part], work: Sequence[Work], origins: Mapping[str, Mix] = _AS_TYPED
) -> tuple[PartNow, ...]:
    """What is there now, part by part in the order of the register; several rows where pieces differ.

    `origins`: how the pieces of a part came, by number, where earlier records say more than `came_as`.
    A part without a row is a heading, counted by the parts under it.
    """
    register = Register(parts, work)
    return tuple(
        row for part in register.counted() for row in now_of(register, part, origins.get(part.number))
    )


def now_of(register: Register, part: Part, origin: Mix | None = None) -> list[PartNow]:
    """The rows of one part."""
    met = list(_met(register, part))
    if all(m.row.done == "not examined" for m in met):
        met += _left_open(register, part)
    return _rows(part, met, origin)


def together(register: Register, members: Sequence[Part], origin: Mix | None) -> list[PartNow]:
    """The rows of parts that stand under one heading, as if they were one part: which of all the pieces are
    each one's is left open, so that nothing is counted that cannot be.
    """
    whole = msgspec.structs.replace(members[0], pieces=sum(map(pieces_of, members)))
    above = _from_headings(register, members)
    found: dict[int | State, Met] = {}
    for part in members:
        for key, some in _by_kind(register.rows.get(part.number, ())).items():
            low, high = Layer(key, tuple(_own(row, pieces_of(part)) for row in some)).union(pieces_of(part))
            old = found.get(key, Met(some[0], Meets(0, 0, some[0].number)))
            found[key] = Met(old.row, Meets(old.meets.low + low, old.meets.high + high, old.row.number))
    return _rows(whole, sorted((*above, *found.values()), key=lambda m: register.place[m.row.number]), origin)


def _by_kind(rows: Iterable[Work]) -> dict[int | State, list[Work]]:
    """Rows by the state they leave, whose order is nothing; each by itself that brings or takes a piece."""
    found: dict[int | State, list[Work]] = {}
    for row in rows:
        state = STATE_OF[row.done]
        found.setdefault(row.number if state in ("new", "gone") else state, []).append(row)
    return found


def _rows(part: Part, met: Sequence[Met], origin: Mix | None) -> list[PartNow]:
    n = pieces_of(part)
    absent = origin.of("missing")[1] if origin else 0
    brought = any(m.state == "new" for m in met)  # and what was brought may be taken away again
    of_absent = _OF_ABSENT_AND_AWAY if brought else _OF_ABSENT
    every = any(m.meets.low >= n and m.state not in of_absent for m in met)
    layers = _layers(n, [_of_present(n - absent, m, of_absent) for m in met] if absent else met)
    counts = spread(n, layers, "nothing")
    found = named_by(part, n, counts, origin, of_absent, every=every) if origin else named(part, n, counts)
    of_missing = {m.row.number for m in met if m.state in _APART}
    return [
        PartNow(
            part=part.number,
            now=c.state,
            pieces_low=c.low,
            pieces_high=c.high,
            work=tuple(sorted(of_missing.intersection(c.rows) if c.state == "missing" else {*c.rows})),
            altered=_altered(n, met, c.state, origin),
        )
        for c in found
    ]


def _of_present(present: int, m: Met, of_absent: Set[State]) -> Met:
    """What was missing is met by no work but such as brings a piece: of all, it met those that were there."""
    if m.state in of_absent or m.meets.low <= present:
        return m
    return m._replace(meets=m.meets._replace(low=max(0, present)))


def _met(register: Register, part: Part) -> Iterator[Met]:
    """Rows that name the part, and rows that name a heading above it, in order."""
    found = [Met(row, _own(row, pieces_of(part))) for row in register.rows.get(part.number, ())]
    if part.part_of in register.headings:
        found += _from_headings(register, (part,))
    return iter(sorted(found, key=lambda m: register.place[m.row.number]) if len(found) > 1 else found)


def _from_headings(register: Register, members: Sequence[Part]) -> Iterator[Met]:
    """Rows that name a heading above any of these parts, and how many of all their pieces each met."""
    own: dict[str, int] = defaultdict(int)
    there: dict[str, int] = defaultdict(int)
    for part in members:
        for heading in register.headings_over(part):
            own[heading.number] += pieces_of(part)
            there[heading.number] += 0 if register.is_away(part) else pieces_of(part)
    for number, mine in own.items():
        away, n = register.away.get(number, 0), pieces_of(register.parts[number])
        for row in register.rows.get(number, ()):
            if STATE_OF[row.done] in _OF_ABSENT or not away:
                yield Met(row, _share(row, n, mine))
            elif there[number]:
                yield Met(row, _share(row, n - away, there[number]))


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
    if not met:
        return []
    layers = list(_presence(n, met))
    states = {m.state for m in met}
    for state in _DEPTH:
        if state in states:
            layers.append(Layer(state, tuple(m.meets for m in met if m.state == state), state in _APART))
            if state == "treated":
                least, covered = _put_back(met)
                layers[-1] = layers[-1]._replace(least=least, covered=covered)
    return layers


def _put_back(met: Sequence[Met]) -> tuple[int, int]:
    """What is surely there again: what was refitted is none of what was taken away before and is still away,
    and each piece that was taken away is the one or the other.
    """
    least = covered = away = 0
    later = sum(m.meets.high for m in met if m.state in _OVER or m.state == "gone")
    for m in met:
        if m.state == "gone":
            away = max(away, m.meets.low)
            later -= m.meets.high
        elif m.row.done == "taken off and refitted" and away:
            least, covered = max(least, m.meets.low - later), max(covered, away)
    return least, covered


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


def _altered(n: int, met: Sequence[Met], now: Now, before: Mix | None) -> bool:
    """Whether pieces in this state may be altered, now or `before` in an earlier record."""
    if now in ("taken away", "missing"):
        return False
    rows = [m.row.done for m in met]
    if now.startswith("new"):
        new = [i for i, m in enumerate(met) if m.state == "new"]
        every = [i for i in new if met[i].meets.low >= n]
        return "altered" in rows[max(every, default=new[0]) :]
    if before and ((before.altered and not_apart(now)) or (before.others and not now.startswith("original"))):
        return True
    return "altered" in rows and now not in _NOT_MET


# States of pieces that no row of work met but such as say so.
_NOT_MET: tuple[Now, ...] = ("original, no work recorded", "original, left as found")
