"""Whom the reader of a record trusts: keys, key cards and roots they confirmed through a second channel.

Not done here: what a card says of a key (`seal.standing`), validating a path of certificates (`seal.chains`).
Invariants: a trial key is never confirmed; what a confirmed card says of a key outweighs a key confirmed by
itself; a card that nobody confirmed says nothing.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import msgspec
from cryptography import x509

from dossier import ordinary
from dossier.errors import UnreadableError
from dossier.model.result import Check
from dossier.seal import algorithms, chains, keycard, revocation
from dossier.seal.algorithms import BadKeyError
from dossier.seal.codes import check_of, printable
from dossier.seal.foreign import CERTIFICATE_ERRORS, name_of
from dossier.seal.keycard import CardFile
from dossier.seal.keys import fingerprint_words
from dossier.seal.said import card_error, key_error
from dossier.seal.standing import REVOKED, Signing, answer, naming, standing
from dossier.seal.trial import is_trial
from dossier.words import Catalogue

MAX_BYTES = 1 << 20
LONGEST_NAME = 64  # letters of a certificate's name that are shown


class Trust(msgspec.Struct, frozen=True):
    """What the reader confirmed: keys by thumbprint (RFC 7638), keys and key cards by the fingerprint read
    over the telephone, key cards by file, roots of certificates with lists of those that were revoked.
    `unconfirmed`: cards at hand besides. `pinned`: fingerprints of the cards by file as they were given; None
    where no other card was held against them yet.
    """

    thumbprints: frozenset[str] = frozenset()
    fingerprints: frozenset[str] = frozenset()
    cards: tuple[CardFile, ...] = ()
    roots: tuple[x509.Certificate, ...] = ()
    lists: revocation.Lists = ()
    unconfirmed: tuple[CardFile, ...] = ()
    pinned: frozenset[str] | None = None

    def confirms(self, kid: str) -> bool:
        return kid in self.thumbprints or fingerprint_words(kid) in self.fingerprints

    def __or__(self, other: Trust) -> Trust:
        """Both together; of two cards of one workshop the later. Raises KeyFileError where two contradict."""
        joined = Trust(
            self.thumbprints | other.thumbprints,
            self.fingerprints | other.fingerprints,
            roots=self.roots + other.roots,
            lists=self.lists + other.lists,
        )
        pinned = self._by_file() | other._by_file()
        return joined._with(self.cards + other.cards, [*self.unconfirmed, *other.unconfirmed], pinned)

    def at_hand(self, cards: Iterable[CardFile]) -> Trust:
        """The same, knowing these cards too: a later card of a confirmed workshop replaces an earlier one.

        Raises KeyFileError where two cards contradict each other.
        """
        return self._with(self.cards, [*self.unconfirmed, *cards], self._by_file())

    def _by_file(self) -> frozenset[str]:
        return self.pinned if self.pinned is not None else frozenset(one.fingerprint for one in self.cards)

    def _with(self, known: Sequence[CardFile], others: Sequence[CardFile], pinned: frozenset[str]) -> Trust:
        """What was confirmed by one recovery key is confirmed by the ones that it handed over to."""
        confirmed = pinned | self.fingerprints
        reached = confirmed.union(*(one.lineage for one in known))
        ours = [one for one in others if not reached.isdisjoint(one.lineage)]
        try:
            cards = keycard.latest([*known, *ours], confirmed)
        except UnreadableError as error:
            raise card_error(error.code) from None
        left = tuple(one for one in others if reached.isdisjoint(one.lineage))
        return msgspec.structs.replace(self, cards=cards, unconfirmed=left, pinned=pinned)


NOBODY = Trust()


def from_fingerprint(text: str) -> Trust:
    """Trust in one fingerprint as typed: eight groups of five digits, with any spaces, dots or dashes."""
    digits = "".join(letter for letter in text if letter not in " .-\u2013\t\n")
    if not (digits.isascii() and digits.isdigit()):
        raise key_error("fingerprint_letters", typed=printable(text.strip()))
    if len(digits) != 40:
        raise key_error("fingerprint", typed=printable(text.strip()), n=len(digits))
    return Trust(fingerprints=frozenset({" ".join(digits[i : i + 5] for i in range(0, 40, 5))}))


def from_file(path: Path) -> Trust:
    """Trust in what a file holds: a key card, public keys (JSON, RFC 7517 section 5), or certificates (PEM).

    A certificate that is an authority's is a root that others lead to; any other confirms its own key.
    """
    try:
        data = ordinary.read(path, MAX_BYTES + 1)
    except OSError as error:
        name = "folder" if path.is_dir() else "cannot_read"
        raise key_error(name, file=path, reason=error.strerror) from None
    if len(data) > MAX_BYTES:
        raise key_error("not_confirming", file=path)
    if keycard.looks_like(data):
        return Trust(cards=(_card(data, path),))
    if b"-----BEGIN CERTIFICATE-----" in data:
        found = _from_certificates(data)
    else:
        found = Trust(thumbprints=frozenset(_jwk_kids(data)))
    if found == NOBODY:
        raise key_error("not_confirming", file=path)
    return found


def _card(data: bytes, path: Path) -> CardFile:
    try:
        return keycard.read(data)
    except UnreadableError as error:
        raise card_error(error.code, file=path) from None


def _from_certificates(data: bytes) -> Trust:
    found = chains.load_all(data)
    roots = tuple(one for one in found if chains.is_root(one))
    kids = [chains.kid_of(one) for one in found if one not in roots]
    if "" in kids:
        return NOBODY
    return Trust(thumbprints=frozenset(kids), roots=roots)


def _jwk_kids(data: bytes) -> list[str]:
    try:
        keys = msgspec.json.decode(data, type=dict[str, Any]).get("keys")
        return [_kid(key) for key in msgspec.convert(keys, list[dict[str, str]])]
    except (msgspec.MsgspecError, BadKeyError, ValueError, RecursionError):
        return []


def _kid(key: dict[str, str]) -> str:
    algorithms.load_public(key)
    return algorithms.thumbprint(key)


def key_status(
    signing: Signing,
    holds: bool,
    trust: Trust,
    words: Catalogue,
    certificates: Sequence[x509.Certificate] = (),
) -> Check:
    """Check 5: whether one of the keys whose signature holds is one that the reader confirmed.

    `certificates`: of one of the keys, then those it leads on to. The key that it rests on is named first.
    """
    kids = signing.kids
    prints = [fingerprint_words(kid) for kid in kids]
    if not holds:
        return check_of("key-not-checked", words)
    if any(map(is_trial, kids)):
        return check_of("key-trial", words, prints)
    if card := naming(trust.cards, kids):
        return standing(card, signing, words, trust.cards)
    if confirmed := [fingerprint_words(kid) for kid in kids if trust.confirms(kid)]:
        lost = _called_lost(trust, kids, words)
        return check_of("key-confirmed", words, [*dict.fromkeys([*confirmed, *prints]), *lost])
    ways = [(kid, chains.way(certificates, kid, trust.roots, _time(signing))) for kid in kids]
    for kid, way in ways:
        if way.certificates:
            own = [*dict.fromkeys([fingerprint_words(kid), *prints]), *_called_lost(trust, kids, words)]
            return _chained(way.certificates, own, signing, trust, words)
    broken = [_broken(way.at, way.why, words) for _, way in ways if way.at]
    others = [*broken, *_cards_to_confirm(trust, kids, words), *_given_elsewhere(trust, words)]
    return check_of("key-not-confirmed", words, [*prints, *others])


def key_spoken_of(answers: Iterable[Check], kids: Sequence[str]) -> str:
    """The fingerprint of the key that check 5 rests on, which it names first; else of the first of `kids`."""
    prints = [fingerprint_words(kid) for kid in kids]
    said = [place for check in answers if check.check == "key status" for place in check.where]
    return next((place for place in [*said, *prints] if place in prints), "")


def _chained(
    path: Sequence[x509.Certificate],
    prints: Iterable[str],
    signing: Signing,
    trust: Trust,
    words: Catalogue,
) -> Check:
    """Check 5 by a path to a root, and by the lists of those called back, where the reader gave any."""
    end = min(one.not_valid_after_utc for one in path[:-1] or path).date()
    ran_out = signing.stamped is None and signing.today is not None and signing.today > end
    if not trust.lists:
        code, date = "key-chained", end
    else:
        found = revocation.status(path, trust.lists, signing.today or _time(signing).date())
        code, date = _by_lists(found, signing), found.day or end
    if ran_out and code not in REVOKED:  # whoever has the key since could have written an earlier day
        code, date = "key-certificate-ran-out", end
    return answer(code, words, prints, date=date.isoformat())


def _broken(at: x509.Certificate, why: str, words: Catalogue) -> str:
    """Where the way to the roots that were given breaks off, so that who gave them knows what is missing."""
    subject, issuer = _names(at)
    reason = words.say(f"seal.way.{why}", issuer=issuer)
    return words.say("seal.way.broken", subject=subject, reason=reason)


def _names(one: x509.Certificate) -> tuple[str, str]:
    """Of subject and issuer, as they can be shown."""
    try:
        return printable(name_of(one.subject), LONGEST_NAME), printable(name_of(one.issuer), LONGEST_NAME)
    except CERTIFICATE_ERRORS:
        return "?", "?"


def _by_lists(found: revocation.Found, signing: Signing) -> str:
    code = {"not revoked": "key-chained-not-revoked", "not known": "key-revocation-unknown"}.get(found.state)
    return code or _after_revocation(found.day, signing)


def _after_revocation(day: dt.date | None, signing: Signing) -> str:
    """Of a certificate revoked from a day on: as of a key that others may have had from then on."""
    if day and signing.stamped and signing.stamped.astimezone(dt.UTC).date() < day:
        return "key-revoked-after-stamp"
    if day and signing.signed_on and signing.signed_on < day:
        return "key-revoked-no-stamp"
    return "key-revoked"


def _time(signing: Signing) -> dt.datetime:
    """When it was signed, as well as that is known: certificates are good for a time only."""
    if signing.stamped:
        return signing.stamped
    on = signing.signed_on or signing.today or dt.date(1970, 1, 1)
    return dt.datetime.combine(on, dt.time(12), dt.UTC)


def _cards_to_confirm(trust: Trust, kids: Sequence[str], words: Catalogue) -> list[str]:
    """The fingerprints of cards at hand that name the key, and that the reader may confirm instead."""
    cards = [one for one in trust.unconfirmed if any(map(one.of, kids))]
    prints = dict.fromkeys(one.fingerprint for one in cards)  # several issues of one card have one
    return [words.say("keycard.to_confirm", fingerprint=fingerprint) for fingerprint in prints]


def _called_lost(trust: Trust, kids: Sequence[str], words: Catalogue) -> list[str]:
    """What a card at hand that nobody confirmed says of a loss: anybody can make one, and it may be true."""
    said = [
        words.say("keycard.lost_by_unconfirmed", fingerprint=card.fingerprint, lost=one.compromised_from)
        for card in trust.unconfirmed
        for kid in kids
        if (one := card.of(kid)) is not None and one.state == "compromised"
    ]
    return list(dict.fromkeys(said))


def _given_elsewhere(trust: Trust, words: Catalogue) -> list[str]:
    """What to do where digits were given and nothing at hand has them: a card's need its file.

    And that the files which were given are of other keys: whoever had them of the workshop takes heed.
    """
    known = {one for card in trust.cards for one in card.lineage}
    said = ["digits_elsewhere"] if trust.fingerprints - known else []
    if trust.thumbprints or trust.cards:
        said.append("files_elsewhere")
    return [words.say(f"keycard.{one}") for one in said]
