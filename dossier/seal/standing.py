"""What a confirmed key card says of the keys that signed a record (FORMAT.md section 8, check 5).

Pure: the day of the check and the time of an outside time-stamp are passed in. Not done here: whether the
card is confirmed (`seal.trust`). Invariants: a time-stamp counts only where its own check held, which is the
caller's to say; a key that others have had never passes without one.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from functools import partial

import msgspec

from dossier.model.result import Check, CheckName
from dossier.model.statements import CardKey
from dossier.seal.codes import Codes, answer_of
from dossier.seal.keycard import CardFile, day
from dossier.seal.keys import fingerprint_words
from dossier.words import Catalogue

_KEY: CheckName = "key status"

CODES: Codes = {
    "key-on-card": (_KEY, "matches"),
    "key-retired-since": (_KEY, "matches"),
    "key-stamped-before-loss": (_KEY, "matches"),
    "key-chained": (_KEY, "matches"),
    "key-chained-not-revoked": (_KEY, "matches"),
    "key-revoked-after-stamp": (_KEY, "matches"),
    "key-revocation-unknown": (_KEY, "could not tell"),
    "key-certificate-ran-out": (_KEY, "could not tell"),
    "key-revoked-no-stamp": (_KEY, "could not tell"),
    "key-revoked": (_KEY, "does not match"),
    "key-card-out-of-date": (_KEY, "could not tell"),
    "key-lost-no-stamp": (_KEY, "could not tell"),
    "key-lost-before": (_KEY, "does not match"),
    "key-cards-differ": (_KEY, "could not tell"),
    "key-outside-dates": (_KEY, "does not match"),
    "signature-short-of-card": (_KEY, "does not match"),
}
answer = partial(answer_of, CODES, "keycard.code")
REVOKED = frozenset({"key-revoked", "key-revoked-no-stamp", "key-revoked-after-stamp"})  # by its authority
_LOST = frozenset({"key-lost-before", "key-lost-no-stamp"})
_GOOD = frozenset({"key-on-card", "key-retired-since", "key-stamped-before-loss"})


class Signing(msgspec.Struct, frozen=True):
    """How something was signed. `algorithms`: of `kids`, in their order; none where a card's demands are
    not for this kind of thing. `signed_on`: by the signer's own clock, None where it does not say. `stamped`:
    the time of an outside time-stamp whose check held. `today`: None leaves a card's expiry aside.
    """

    kids: tuple[str, ...] = ()
    algorithms: tuple[str, ...] | None = None
    signed_on: dt.date | None = None
    stamped: dt.datetime | None = None
    today: dt.date | None = None


def naming(cards: Iterable[CardFile], kids: Sequence[str]) -> CardFile | None:
    """Of the cards that one of these keys signed, as in use, else of those that name one, the one that a
    recovery key signed last; where some call one compromised, the one that does so from the earliest day on.

    Cards of several recovery keys name one key where a workshop lost its recovery key and began anew. Any
    other workshop that the reader confirmed may name it too, and take no loss back. A renewal does not count
    here: whoever stole a key in use can make one.
    """
    found = [card for card in cards if any(map(card.of, kids))]
    lost = [(day, card) for card in found if (day := _lost(card, kids))]
    if lost:
        return min(lost, key=lambda entry: entry[0])[1]
    own = [card for card in found if signed_by(card, kids)]
    return max(own or found, key=lambda card: card.card.issued, default=None)


def signed_by(card: CardFile, kids: Sequence[str]) -> bool:
    """Whether one of these keys is in use on a card, and so signed it; anybody can name others besides."""
    return any(one.state == "in use" for kid in kids if (one := card.of(kid)) is not None)


def _lost(card: CardFile, kids: Sequence[str]) -> str:
    """The earliest day from which on a card calls one of these keys compromised, "" where it does not."""
    said = [one.compromised_from for kid in kids if (one := card.of(kid)) is not None]
    return min(filter(None, said), default="")


def of_recovery(cards: Iterable[CardFile], kids: Sequence[str]) -> CardFile | None:
    """The card whose recovery keys these are, all of them; None where there is none."""
    return next((card for card in cards if {key["kid"] for key in card.card.recovery} == set(kids)), None)


def others_may_have(cards: Iterable[CardFile], kids: Sequence[str]) -> bool:
    """Whether one of the cards names one of these keys as compromised, from whatever day on.

    A time-stamp of an earlier day then still speaks for what it is over, and no newer signature does.
    """
    states = [one.state for card in cards for kid in kids if (one := card.of(kid)) is not None]
    return "compromised" in states


def standing(card: CardFile, signing: Signing, words: Catalogue, others: Iterable[CardFile] = ()) -> Check:
    """Check 5 by a confirmed card that names at least one of the signing keys.

    `others`: those that were confirmed besides. Where one that has not run out has a key in use that this one
    calls lost, one of two whom the reader trusts is wrong, and nothing here tells which.
    """
    named = [(kid, one) for kid in signing.kids if (one := card.of(kid)) is not None]
    said = [(kid, one, _of_key(one, signing)) for kid, one in named]
    # One that others may have had comes last: it stands by a time-stamp, where another stands by itself.
    good = sorted(
        (entry for entry in said if entry[2] in _GOOD), key=lambda entry: bool(entry[1].compromised_from)
    )
    kid, one, code = good[0] if good else said[0]
    if good and _is_short(card, signing, {kid for kid, _, _ in good}):
        code = "signature-short-of-card"
    elif good and _is_out_of_date(card, signing):
        code = "key-card-out-of-date"
    elif code in _LOST and any(_contradicts(other, kid, signing) for other in others if other is not card):
        code = "key-cards-differ"
    where = [
        fingerprint_words(kid),
        *_holders(card, one, words),
        *(before_more_were_called_for(card, signing, words) if code in _GOOD else []),
        *_lost_besides(named, one, words),
        *_handed(card, words),
        *_closed(card, words),
    ]
    return answer(code, words, where, **_values(card, one, signing, words))


def _contradicts(other: CardFile, kid: str, signing: Signing) -> bool:
    """Whether a card has the key in use by now; one that ran out may be of before the loss."""
    return signed_by(other, [kid]) and (
        signing.today is None or signing.today <= other.expires(signing.today)
    )


def _holders(card: CardFile, one: CardKey, words: Catalogue) -> list[str]:
    """Whose key it is, by staff mark and, where the card gives it, by name."""
    people = card.renewal.people if card.renewal else card.card.people
    names = {person.mark: f"{person.name} ({person.mark})" for person in people if person.name}
    said = ", ".join(names.get(mark, mark) for mark in one.marks)
    return [words.say("keycard.holder", names=said)] if said else []


def _lost_besides(named: Sequence[tuple[str, CardKey]], chosen: CardKey, words: Catalogue) -> list[str]:
    """Other keys that signed and that others may have had, so that a good one does not hide them."""
    return [
        words.say("keycard.lost_besides", fingerprint=fingerprint_words(kid), lost=one.compromised_from)
        for kid, one in named
        if one.state == "compromised" and one is not chosen
    ]


def _handed(card: CardFile, words: Catalogue) -> list[str]:
    """That the recovery key was replaced, and by what digits the card is confirmed now."""
    if not card.handed:
        return []
    return [words.say("keycard.handed", date=card.handed[-1].value.issued, fingerprint=card.fingerprint)]


def _closed(card: CardFile, words: Catalogue) -> list[str]:
    """That the workshop is no more, and whom to ask."""
    closed = card.card.closed
    return [words.say("keycard.closed", since=closed.since, archive=closed.archive)] if closed else []


def _of_key(one: CardKey, signing: Signing) -> str:
    """What the card says of a signature by one key."""
    on = signing.signed_on
    if on and (on < day(one.since) or (one.until and on > day(one.until))):
        return "key-outside-dates"
    if one.state == "compromised":
        return _after_loss(day(one.compromised_from), signing)
    return "key-retired-since" if one.state == "retired" else "key-on-card"


def _after_loss(lost: dt.date, signing: Signing) -> str:
    """Of a key that others may have had from the day `lost` on: its own dates can then be anybody's."""
    if signing.stamped and signing.stamped.astimezone(dt.UTC).date() < lost:
        return "key-stamped-before-loss"
    if signing.signed_on and signing.signed_on >= lost:
        return "key-lost-before"
    return "key-lost-no-stamp"


def _is_short(card: CardFile, signing: Signing, good: set[str]) -> bool:
    """Whether a signature is missing that the card calls for on the day the record bears."""
    if signing.algorithms is None or signing.signed_on is None:
        return False
    there = {name for kid, name in zip(signing.kids, signing.algorithms, strict=True) if kid in good}
    called_for = [one for one in card.card.required if day(one.since) <= signing.signed_on]
    return any(not set(one.algorithms) <= there for one in called_for)


def before_more_were_called_for(card: CardFile, signing: Signing, words: Catalogue) -> list[str]:
    """That it bears a day before more signatures were called for than it has, and nothing else shows it.

    A thief of the one key can write such a day as well, and needs no other key for it.
    """
    if signing.algorithms is None or signing.signed_on is None:
        return []
    rows = [one for one in card.card.required if not set(one.algorithms) <= set(signing.algorithms)]
    since = min((day(one.since) for one in rows), default=dt.date.min)
    if signing.signed_on >= since or (signing.stamped and signing.stamped.astimezone(dt.UTC).date() < since):
        return []
    return [words.say("keycard.before_required", since=since.isoformat())]


def _is_out_of_date(card: CardFile, signing: Signing) -> bool:
    """Whether the card had expired by the day of the check.

    What was time-stamped before the card was issued, the workshop knew of when it issued it.
    """
    if signing.today is None or signing.today <= card.expires(signing.today):
        return False
    return not (signing.stamped and signing.stamped.astimezone(dt.UTC).date() < card.issued(signing.today))


def _values(card: CardFile, one: CardKey, signing: Signing, words: Catalogue) -> dict[str, object]:
    today = signing.today or day(card.card.issued)
    return {
        "workshop": card.card.name,
        "number": card.card.number,
        "issued": card.issued(today).isoformat(),
        "expires": card.expires(today).isoformat(),
        "since": one.since,
        "until": one.until or words.say("keycard.no_end"),
        "lost": one.compromised_from,
        "algorithms": ", ".join(sorted({name for row in card.card.required for name in row.algorithms})),
    }
