"""The next key card of a workshop, from the one before and what has changed.

Not done here: files, signing rules (`seal.keycard` refuses a card that does not hold). Invariants: nothing of
an earlier card is lost: a key that was on it stays on it, retired or lost; today is passed in.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

import msgspec

from dossier.model.record import FORMAT_VERSION
from dossier.model.statements import CardKey, Closed, KeyCard, Person, Renewal, Required
from dossier.seal import handover, keycard
from dossier.seal.handover import Handed
from dossier.seal.keycard import CardFile
from dossier.seal.keys import Signer, fingerprint_words
from dossier.seal.said import card_usage_error

USUAL_DAYS = 730  # from issue to expiry


class Changes(msgspec.Struct, frozen=True, kw_only=True):
    """What changes; "" and () leave it as it was. Keys are named by fingerprint, with a day (ISO 8601)."""

    name: str = ""
    address: str = ""
    telephone: str = ""
    verification_page: str = ""
    retired: dict[str, str] = {}  # fingerprint -> last day in use
    lost: dict[str, str] = {}  # fingerprint -> first day on which others may have had it
    holders: dict[str, tuple[str, ...]] = {}  # fingerprint -> staff marks of those who use it
    call_for: tuple[str, ...] = ()  # algorithms, from tomorrow on: what was signed today stays as it is
    people: tuple[Person, ...] = ()
    closed: str = ""  # who holds the archive
    since: str = ""  # first day of the keys that are new on it, where that was not today
    days: int = USUAL_DAYS


def next_card(
    old: CardFile | None,
    changes: Changes,
    recovery_keys: Sequence[Signer],
    signers: Sequence[Signer],
    today: dt.date,
    new_recovery: Sequence[Signer] = (),
) -> bytes:
    """The file of the next card, signed. `signers`: every key in use, those that are new among them.

    `new_recovery`: keys that take the place of `recovery_keys` from this card on.

    Raises UsageError where a key in use is not given or a named key is not there, UnreadableError where the
    card would not hold.
    """
    before = old.card if old else None
    if before is None:
        _fits_a_first(changes, signers, new_recovery)
    handed = _handed(old, recovery_keys, new_recovery, today)
    recovery_keys = new_recovery or recovery_keys
    _named_are_there(before, changes, signers)
    keys = _keys(before, changes, signers, today)
    in_use = {one.key["kid"] for one in keys if one.state == "in use"}
    card = KeyCard(
        format=FORMAT_VERSION,
        number=before.number + 1 if before else 1,
        issued=today.isoformat(),
        expires=keycard.NEVER if changes.closed else _end(today, changes.days),
        recovery=tuple(key.public for key in recovery_keys),
        keys=tuple(keys),
        required=_required(before, changes, today),
        people=changes.people or (before.people if before else ()),
        closed=Closed(since=today.isoformat(), archive=changes.closed) if changes.closed else None,
        **_contacts(before, changes),
    )
    return keycard.make(card, recovery_keys, [one for one in signers if one.kid in in_use], handed)


def _fits_a_first(changes: Changes, signers: Sequence[Signer], new_recovery: Sequence[Signer]) -> None:
    """Raises UsageError for what needs a card before, which goes first: it is `--from` that was left out."""
    if new_recovery:
        raise card_usage_error("nothing_to_hand_over")
    if changes.retired or changes.lost:
        raise card_usage_error("nothing_before")
    if changes.closed or not signers:
        raise card_usage_error("first_needs_key")


def _handed(
    old: CardFile | None, recovery_keys: Sequence[Signer], new: Sequence[Signer], today: dt.date
) -> tuple[Handed, ...]:
    """The handovers of the card before, and one more where the recovery key is replaced now."""
    before = old.handed if old else ()
    if not new:
        return before
    if {key.kid for key in recovery_keys} & {key.kid for key in new}:
        raise card_usage_error("same_recovery")
    if len(before) == handover.MOST:
        raise card_usage_error("too_many_handovers", most=handover.MOST)
    return (*before, handover.make(recovery_keys, new, today))


def renewed(old: CardFile, changes: Changes, signers: Sequence[Signer], today: dt.date) -> bytes:
    """The same card with a later date, signed by a key in use. Raises UsageError, UnreadableError."""
    asked = msgspec.structs.replace(changes, people=(), days=USUAL_DAYS)
    if asked != Changes():
        raise card_usage_error("needs_recovery")
    renewal = Renewal(
        format=FORMAT_VERSION,
        card=old.digest,
        number=old.order[1] + 1,
        issued=today.isoformat(),
        expires=_end(today, changes.days),
        people=changes.people or (old.renewal.people if old.renewal else old.card.people),
    )
    return keycard.renew(old, renewal, signers)


def _end(today: dt.date, days: int) -> str:
    if not 1 <= days <= keycard.LONGEST_DAYS:
        raise card_usage_error("days", most=keycard.LONGEST_DAYS)
    return (today + dt.timedelta(days=days)).isoformat()


def _contacts(before: KeyCard | None, changes: Changes) -> dict[str, str]:
    names = ("name", "address", "telephone", "verification_page")
    said = {one: getattr(changes, one) or (getattr(before, one) if before else "") for one in names}
    if not said["name"].strip():
        raise card_usage_error("no_name")
    return said


def _required(before: KeyCard | None, changes: Changes, today: dt.date) -> tuple[Required, ...]:
    known = before.required if before else ()
    if not changes.call_for:
        return known
    tomorrow = (today + dt.timedelta(days=1)).isoformat()
    return (*known, Required(since=tomorrow, algorithms=changes.call_for))


def _named_are_there(before: KeyCard | None, changes: Changes, signers: Sequence[Signer]) -> None:
    old = {fingerprint_words(one.key["kid"]) for one in (before.keys if before else ())}
    new = {fingerprint_words(signer.kid) for signer in signers}
    missing = [*({*changes.retired, *changes.lost} - old), *({*changes.holders} - old - new)]
    for fingerprint in sorted(missing):
        raise card_usage_error("no_such_key", fingerprint=fingerprint)


def _keys(
    before: KeyCard | None, changes: Changes, signers: Sequence[Signer], today: dt.date
) -> list[CardKey]:
    """Every key of the card before in its present state, then the new ones."""
    old = [_changed(one, changes, today) for one in (before.keys if before else ())]
    given = {signer.kid for signer in signers}
    for one in old:
        if one.state == "in use" and one.key["kid"] not in given:
            raise card_usage_error("key_not_given", fingerprint=fingerprint_words(one.key["kid"]))
    keys = [*old, *_new(old, signers, changes.since or today.isoformat())]
    return [_held(one, changes) for one in keys]


def _held(one: CardKey, changes: Changes) -> CardKey:
    marks = changes.holders.get(fingerprint_words(one.key["kid"]))
    return msgspec.structs.replace(one, marks=marks) if marks else one


def _new(old: Sequence[CardKey], signers: Sequence[Signer], since: str) -> Iterator[CardKey]:
    known = {one.key["kid"]: one.state for one in old}
    for signer in signers:
        if known.get(signer.kid, "in use") != "in use":
            raise card_usage_error("not_again", fingerprint=fingerprint_words(signer.kid))
        if signer.kid not in known:
            yield CardKey(key=signer.public, state="in use", since=since)


def _changed(one: CardKey, changes: Changes, today: dt.date) -> CardKey:
    fingerprint = fingerprint_words(one.key["kid"])
    if day := changes.lost.get(fingerprint):
        if not one.since <= day <= today.isoformat():
            raise card_usage_error(
                "lost_day", fingerprint=fingerprint, since=one.since, today=today.isoformat()
            )
        return msgspec.structs.replace(one, state="compromised", compromised_from=day)
    until = changes.retired.get(fingerprint) or (today.isoformat() if changes.closed else "")
    if until and one.state == "in use":
        return msgspec.structs.replace(one, state="retired", until=until)
    return one
