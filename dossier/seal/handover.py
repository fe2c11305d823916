"""A recovery key hands over to the next: the only way to replace one without having it confirmed anew.

Whoever confirmed the fingerprint of the old one follows the handovers that a key card carries to the new one.
Not done here: the card itself (`seal.keycard`), whom the reader confirmed (`seal.trust`). Invariants: all of
the old recovery keys and all of the new ones have signed, so nobody hands over what is not theirs; of two
handovers of one recovery key none counts, unless the reader has confirmed what one of them leads to.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence, Set
from itertools import pairwise
from typing import Any

import msgspec

from dossier.errors import UnreadableError
from dossier.model.record import FORMAT_VERSION
from dossier.model.statements import TYP_HANDOVER, Handover, SignedForm
from dossier.seal import recovery, signed
from dossier.seal.algorithms import Jwk
from dossier.seal.keys import Signer

MOST = 8  # on one card: more than a working life needs


class Handed(msgspec.Struct, frozen=True):
    """One handover that holds."""

    value: Handover
    form: SignedForm

    @property
    def before(self) -> str:
        """The fingerprint of the old recovery keys."""
        return recovery.fingerprint_of(self.value.old)

    @property
    def after(self) -> str:
        return recovery.fingerprint_of(self.value.new)


def make(old: Sequence[Signer], new: Sequence[Signer], today: dt.date) -> Handed:
    """A handover from the keys of one recovery paper to those of another."""
    value = Handover(
        format=FORMAT_VERSION,
        issued=today.isoformat(),
        old=tuple(key.public for key in old),
        new=tuple(key.public for key in new),
    )
    return Handed(value, signed.sign(value, [*old, *new], TYP_HANDOVER))


def read(members: Any, last: Sequence[Jwk]) -> tuple[Handed, ...]:
    """The handovers of a card's file, which lead to its recovery keys `last`. Raises UnreadableError."""
    if not isinstance(members, list) or not 1 <= len(members) <= MOST:
        raise _not_held()
    handed = tuple(_one(signed.from_members(one)) for one in members)
    ends = [(one.value.new, two.value.old) for one, two in pairwise(handed)]
    if any(new != old for new, old in [*ends, (handed[-1].value.new, tuple(last))]):
        raise _not_held()
    days = [one.value.issued for one in handed]
    met = [one.before for one in handed] + [handed[-1].after]
    if days != sorted(days) or len(set(met)) != len(met):
        raise _not_held()
    return handed


def settled(chains: Sequence[Sequence[Handed]], confirmed: Set[str]) -> dict[str, str]:
    """By the fingerprint of each recovery key that was replaced, that of the next one.

    Raises UnreadableError (`card-handover-twice`) where that is not one.
    """
    after: dict[str, str] = {}
    for old, new in _counted(chains, confirmed):
        if after.setdefault(old, new) != new:
            raise UnreadableError("", code="card-handover-twice")
    for old in after:
        _refuse_circle(old, after)
    return after


def _counted(chains: Sequence[Sequence[Handed]], confirmed: Set[str]) -> Iterator[tuple[str, str]]:
    """Each step from key to key; where the reader confirmed what a key leads to, only the steps there."""
    steps = [(one.before, one.after) for chain in chains for one in chain]
    led = {
        (one.before, one.after)
        for chain in chains
        for place, one in enumerate(chain)
        if confirmed & {later.after for later in chain[place:]}
    }
    sure = {old for old, _ in led}
    for old, new in steps:
        if old not in sure or (old, new) in led:
            yield old, new


def _refuse_circle(old: str, after: dict[str, str]) -> None:
    at = old
    for _ in after:
        at = after.get(at, "")
        if at == old:
            raise UnreadableError("", code="card-handover-twice")


def _one(form: SignedForm) -> Handed:
    value = signed.value_of(Handover, form)
    keys = [*value.old, *value.new]
    if not all(map(signed.is_key, keys)) or len({key["kid"] for key in keys}) != len(keys):
        raise _not_held()
    if not _is_day(value.issued) or signed.faults(form, keys, TYP_HANDOVER):
        raise _not_held()
    return Handed(value, form)


def _is_day(text: str) -> bool:
    try:
        dt.date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _not_held() -> UnreadableError:
    return UnreadableError("", code="card-handover")
