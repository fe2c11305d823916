"""A workshop's key card: its keys with dates and states, signed so that a day-to-day key cannot change them.

Not the printed card of a dossier. A card is signed by the recovery keys and by every key in use; a key in use
alone can renew it, which has no place for anything but a later date and the people. Where the recovery key
was replaced, its file carries the handovers (`seal.handover`). FORMAT.md section 16.
Not done here: whether a card is confirmed (`seal.trust`), what it says of a record (`seal.standing`).
Invariants: what `make` and `renew` give, `read` accepts; a card that does not hold is never used in part.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence, Set

import msgspec

from dossier import canonical
from dossier.errors import UnreadableError
from dossier.model.statements import TYP_CARD, TYP_RENEWAL, CardKey, KeyCard, Renewal, SignedForm
from dossier.seal import handover, recovery, signed
from dossier.seal.algorithms import ALGORITHMS
from dossier.seal.handover import Handed
from dossier.seal.keys import Signer

_MEMBERS = {"card", "handovers", "renewal"}
LONGEST_DAYS = 1100  # from issue to expiry: three years and some
NEVER = "9999-12-31"  # the expiry of a closed workshop's card: nobody is left to renew it


class CardFile(msgspec.Struct, frozen=True):
    """A key card that holds, with its renewal where there is one. `digest`: of the card's payload."""

    card: KeyCard
    form: SignedForm
    renewal: Renewal | None = None
    renewal_form: SignedForm | None = None
    handed: tuple[Handed, ...] = ()  # recovery keys before those of the card, oldest first

    @property
    def lineage(self) -> tuple[str, ...]:
        """The fingerprints that this workshop's cards have had, the present one last."""
        return (*(one.before for one in self.handed), self.fingerprint)

    @property
    def digest(self) -> str:
        return signed.digest(self.form)

    @property
    def fingerprint(self) -> str:
        """Of the recovery keys: what is read over the telephone, and the same while these keys are."""
        return recovery.fingerprint_of(self.card.recovery)

    @property
    def order(self) -> tuple[int, int]:
        """A later card has a higher one; only the recovery key can raise the first number."""
        return self.card.number, self.renewal.number if self.renewal else 0

    def of(self, kid: str) -> CardKey | None:
        """What the card says of a key, None where it does not name it."""
        return next((one for one in self.card.keys if one.key["kid"] == kid), None)

    def issued(self, today: dt.date) -> dt.date:
        return self._latest(today)[0]

    def expires(self, today: dt.date) -> dt.date:
        """The last day on which the card holds. A renewal that is dated later than today is passed over."""
        return self._latest(today)[1]

    def _latest(self, today: dt.date) -> tuple[dt.date, dt.date]:
        one: KeyCard | Renewal = self.card
        if self.renewal and day(self.renewal.issued) <= today:
            one = self.renewal
        return day(one.issued), day(one.expires)


def make(
    card: KeyCard, recovery_keys: Sequence[Signer], keys: Sequence[Signer], handed: Sequence[Handed] = ()
) -> bytes:
    """The file of a card, signed by the recovery keys and by every key in use.

    Raises UnreadableError with the code of what the card lacks.
    """
    form = signed.sign(card, [*recovery_keys, *keys], TYP_CARD)
    return _own_check(write(CardFile(card, form, handed=tuple(handed))))


def renew(old: CardFile, renewal: Renewal, keys: Sequence[Signer]) -> bytes:
    """The file of the same card with a later date. Raises UnreadableError where `keys` may not renew it."""
    form = signed.sign(renewal, keys, TYP_RENEWAL)
    return _own_check(write(msgspec.structs.replace(old, renewal=renewal, renewal_form=form)))


def write(card: CardFile) -> bytes:
    """The file of a card that was read."""
    forms = {"card": card.form, "renewal": card.renewal_form}
    members: dict[str, object] = {name: signed.to_members(form) for name, form in forms.items() if form}
    if card.handed:
        members["handovers"] = [signed.to_members(one.form) for one in card.handed]
    return canonical.encode(members)


def looks_like(data: bytes) -> bool:
    """Whether a file begins as a key card does."""
    return data.startswith(b'{"card":')


def read(data: bytes) -> CardFile:
    """Read and check a card. Raises UnreadableError with a code of `keycard.fault`."""
    value = signed.decode(data, max_bytes=2 * signed.MAX_BYTES)
    if not isinstance(value, dict) or not {"card"} <= set(value) <= _MEMBERS:
        raise UnreadableError("", code="card-shape")
    form = signed.from_members(value["card"])
    card = signed.value_of(KeyCard, form)
    _refuse(_card_faults(card))
    in_use = [one.key for one in card.keys if one.state == "in use"]
    _refuse(signed.faults(form, [*card.recovery, *in_use], TYP_CARD))
    handed = handover.read(value["handovers"], card.recovery) if "handovers" in value else ()
    found = CardFile(card, form, handed=handed)
    return _renewed(found, signed.from_members(value["renewal"])) if "renewal" in value else found


def latest(cards: Iterable[CardFile], confirmed: Set[str] = frozenset()) -> tuple[CardFile, ...]:
    """Of the cards of each workshop the one with the latest recovery key, then the highest number.

    `confirmed`: fingerprints that settle which of two handovers of one recovery key is the workshop's. Raises
    UnreadableError where two cards have the same numbers and say different things (`card-twice`), or two
    handovers contradict each other (`card-handover-twice`).
    """
    given = list(cards)
    after = handover.settled([card.handed for card in given], confirmed)
    best: dict[str, CardFile] = {}
    for card in given:
        if card.fingerprint in after or any(after[one.before] != one.after for one in card.handed):
            continue  # its recovery key was replaced, or it is of the branch that does not count
        known = best.setdefault(card.fingerprint, card)
        if known.card.number == card.card.number and known.digest != card.digest:
            raise UnreadableError("", code="card-twice")
        if card.order > known.order:
            best[card.fingerprint] = card
    return tuple(best.values())


def day(text: str) -> dt.date:
    """A calendar date of a card, which `read` has found to be one."""
    return dt.date.fromisoformat(text)


def _renewed(base: CardFile, form: SignedForm) -> CardFile:
    renewal = signed.value_of(Renewal, form)
    _refuse(_renewal_faults(base, renewal))
    named = {signed.kid_of(one) for one in form.signatures}
    keys = [one.key for one in base.card.keys if one.state == "in use" and one.key["kid"] in named]
    _refuse(signed.faults(form, keys, TYP_RENEWAL))
    return msgspec.structs.replace(base, renewal=renewal, renewal_form=form)


def _card_faults(card: KeyCard) -> Iterator[str]:
    named = [*card.recovery, *(one.key for one in card.keys)]
    if not all(map(signed.is_key, named)):
        yield "card-key"
    elif len({key["kid"] for key in named}) != len(named):
        yield "card-key-twice"
    if not all(map(_state_fits, card.keys)):
        yield "card-state"
    if any(not set(one.algorithms) <= set(ALGORITHMS) or not _is_day(one.since) for one in card.required):
        yield "card-required"
    if bool(card.closed) == any(one.state == "in use" for one in card.keys):
        yield "card-closed"
    if not _span_fits(card.issued, card.expires, endless=card.closed is not None):
        yield "card-dates"


def _renewal_faults(base: CardFile, renewal: Renewal) -> Iterator[str]:
    if renewal.card != base.digest:
        yield "card-renewal-other"
    if not _span_fits(renewal.issued, renewal.expires) or renewal.issued < base.card.issued:
        yield "card-dates"


def _state_fits(one: CardKey) -> bool:
    """Whether the dates are those that the state has, and in their order."""
    said = (bool(one.until), bool(one.compromised_from))
    fits = {
        "in use": said == (False, False),
        "retired": said == (True, False),
        "compromised": said in ((False, True), (True, True)),
    }
    days = [text for text in (one.until, one.compromised_from) if text]
    return fits[one.state] and all(map(_is_day, [one.since, *days])) and all(one.since <= d for d in days)


def _span_fits(issued: str, expires: str, *, endless: bool = False) -> bool:
    if not (_is_day(issued) and _is_day(expires)) or issued > expires:
        return False
    return endless or (day(expires) - day(issued)).days <= LONGEST_DAYS


def _is_day(text: str) -> bool:
    """Whether a text of the right shape is a day of the calendar: not 30 February."""
    try:
        day(text)
    except ValueError:
        return False
    return True


def _refuse(codes: Iterable[str]) -> None:
    for code in codes:
        raise UnreadableError("", code=code)


def _own_check(data: bytes) -> bytes:
    read(data)
    return data
