"""Key cards: who may make and renew one, which one counts, and that nothing but the whole of it is taken.

Against joserfc (another JOSE library), and the rules of FORMAT.md section 16.
"""

from __future__ import annotations

import base64
import datetime as dt
import json
from typing import Any

import msgspec
import pytest
from cards import (
    DAY_KEY,
    NEXT_KEY,
    OTHER_RECOVERY,
    RECOVERY,
    THIEF,
    TODAY,
    WORDS,
    a_card,
    file_of,
    made,
    on_card,
    refused,
)
from hypothesis import given, settings
from hypothesis import strategies as st
from joserfc import jws
from joserfc.jwk import ECKey

from dossier import canonical
from dossier.errors import KeyFileError, UsageError
from dossier.model.statements import (
    TYP_CARD,
    TYP_RENEWAL,
    CardKey,
    Closed,
    Renewal,
    Required,
    SignedForm,
)
from dossier.seal import card_change, keycard, signatures, signed, trust
from dossier.seal.card_change import Changes
from dossier.seal.keys import WorkshopKey
from dossier.seal.trust import Trust

# Who may make a card


def test_another_library_finds_the_signatures_to_hold() -> None:
    """joserfc, JWS JSON serialization; it knows ES256 and not ML-DSA-65."""
    members = json.loads(keycard.make(a_card(), RECOVERY, [DAY_KEY]))["card"]
    for number, key in ((0, RECOVERY[0]), (2, DAY_KEY)):
        one = {"payload": members["payload"], **members["signatures"][number]}
        public = ECKey.import_key({k: v for k, v in key.public.items() if k != "alg"})
        assert jws.deserialize_json(one, public, algorithms=["ES256"]).payload == base64.urlsafe_b64decode(
            members["payload"] + "=="
        )


def test_a_thief_of_the_day_to_day_key_makes_no_card() -> None:
    stolen = a_card(on_card(DAY_KEY), on_card(THIEF), number=2)
    assert refused(file_of(stolen, DAY_KEY, THIEF)) == "key-unsigned"
    # With a recovery key of the thief's own it is another workshop's card, which nobody confirmed.
    own = msgspec.structs.replace(stolen, recovery=tuple(key.public for key in OTHER_RECOVERY))
    other = keycard.read(file_of(own, *OTHER_RECOVERY, DAY_KEY, THIEF))
    known = Trust(cards=(made(),)).at_hand([other])
    assert [card.fingerprint for card in known.cards] == [made().fingerprint]


@pytest.mark.parametrize("changes", [Changes(name="A"), Changes(name="A", closed="An heir")])
def test_a_first_card_without_a_key_is_told_what_it_lacks(changes: Changes) -> None:
    """Before: "no card that holds: this is not a signed card or statement"."""
    with pytest.raises(UsageError) as caught:
        card_change.next_card(None, changes, RECOVERY, [], dt.date(2026, 12, 1))
    assert "key in use" in caught.value.message and "--from" in caught.value.hint


def test_a_key_stands_on_a_card_only_with_its_own_signature() -> None:
    assert refused(file_of(a_card(on_card(DAY_KEY), on_card(NEXT_KEY)), *RECOVERY, DAY_KEY)) == "key-unsigned"
    assert refused(file_of(a_card(), *RECOVERY, DAY_KEY, THIEF)) == "key-unknown"
    assert refused(file_of(a_card(), RECOVERY[0], DAY_KEY)) == "key-unsigned"


def test_a_signature_for_another_kind_of_thing_is_no_cards() -> None:
    assert refused(file_of(a_card(), *RECOVERY, DAY_KEY, typ=TYP_RENEWAL)) == "header-typ"
    assert refused(file_of(a_card(), *RECOVERY, DAY_KEY, typ="restoration-record+sd-jwt")) == "header-typ"


BAD_CARDS = {
    "card-key": a_card(
        on_card(DAY_KEY),
        CardKey(key={**NEXT_KEY.public, "kid": "x" * 43}, state="in use", since="2026-01-02"),
    ),
    "card-key-twice": a_card(on_card(DAY_KEY), on_card(DAY_KEY)),
    "card-state": a_card(on_card(DAY_KEY), on_card(NEXT_KEY, "retired")),
    "card-state--lost-without-day": a_card(on_card(DAY_KEY), on_card(NEXT_KEY, "compromised")),
    "card-state--ends-before": a_card(on_card(DAY_KEY), on_card(NEXT_KEY, "retired", until="2025-12-31")),
    "card-state--no-day": a_card(on_card(DAY_KEY), on_card(NEXT_KEY, "retired", until="2026-02-30")),
    "card-required": a_card(required=(Required(since="2026-01-01", algorithms=("HS256",)),)),
    "card-closed": a_card(closed=Closed(since="2026-11-01", archive="town")),
    "card-closed--nobody-left": a_card(on_card(DAY_KEY, "retired", until="2026-10-01")),
    "card-dates": a_card(expires="2030-01-01"),
    "card-dates--backwards": a_card(expires="2026-10-31"),
    "signed-shape": a_card(number=0),
    "signed-shape--day": a_card(issued="soon"),
    "format-unknown": a_card(format="2.0"),
}


@pytest.mark.parametrize("name", BAD_CARDS)
def test_a_card_that_contradicts_itself_is_refused(name: str) -> None:
    assert refused(file_of(BAD_CARDS[name], *RECOVERY, DAY_KEY)) == name.partition("--")[0]


def test_every_fault_has_words() -> None:
    codes = {name.partition("--")[0] for name in BAD_CARDS} | {
        "card-shape",
        "card-renewal-other",
        "card-twice",
    }
    assert [code for code in codes if not WORDS.has(f"keycard.fault.{code}")] == []


@settings(deadline=None, max_examples=60)
@given(st.data())
def test_no_changed_byte_passes(data: st.DataObject) -> None:
    whole = _renewed_file()
    place = data.draw(st.integers(0, len(whole) - 1))
    bit = data.draw(st.integers(0, 7))
    changed = bytearray(whole)
    changed[place] ^= 1 << bit
    refused(bytes(changed))


@settings(deadline=None)
@given(st.one_of(st.binary(max_size=200), st.text(max_size=50).map(lambda t: b'{"card":' + t.encode())))
def test_what_is_no_card_is_refused_and_nothing_else_escapes(data: bytes) -> None:
    refused(data)


# Renewal


def a_renewal(**members: Any) -> Renewal:
    usual: dict[str, Any] = {
        "format": "1.0",
        "card": made().digest,
        "number": 1,
        "issued": "2026-11-20",
        "expires": "2029-11-01",
    }
    return Renewal(**{**usual, **members})


def _renewed_file() -> bytes:
    return keycard.renew(made(), a_renewal(), [DAY_KEY])


def renewal_by(renewal: Renewal, *signers: WorkshopKey, typ: str = TYP_RENEWAL) -> bytes:
    form = signed.sign(renewal, signers, typ)
    return canonical.encode({"card": signed.to_members(made().form), "renewal": signed.to_members(form)})


def test_a_key_in_use_renews_a_card_and_nobody_else() -> None:
    assert keycard.read(_renewed_file()).expires(TODAY) == dt.date(2029, 11, 1)
    assert refused(renewal_by(a_renewal(), THIEF)) == "key-unknown"
    assert refused(renewal_by(a_renewal(card="0" * 64), DAY_KEY)) == "card-renewal-other"
    assert refused(renewal_by(a_renewal(expires="2032-11-01"), DAY_KEY)) == "card-dates"
    assert refused(renewal_by(a_renewal(issued="2026-10-01"), DAY_KEY)) == "card-dates"
    assert refused(renewal_by(a_renewal(), DAY_KEY, typ=TYP_CARD)) == "header-typ"


def test_a_renewal_dated_later_than_today_counts_as_not_there() -> None:
    late = keycard.read(renewal_by(a_renewal(issued="2040-01-01", expires="2042-01-01"), DAY_KEY))
    assert late.expires(TODAY) == dt.date(2028, 11, 1)


def test_what_a_renewal_has_no_place_for_changes_nothing() -> None:
    plain = msgspec.to_builtins(a_renewal())
    plain["keys"] = [{"key": THIEF.public, "state": "in use", "since": "2026-01-01"}]
    payload = canonical.encode(plain)
    form = SignedForm(payload=payload, signatures=(signatures.sign(payload, DAY_KEY, TYP_RENEWAL),))
    read = keycard.read(
        canonical.encode({"card": signed.to_members(made().form), "renewal": signed.to_members(form)})
    )
    assert read.of(THIEF.kid) is None


# Which card counts


def test_a_later_card_replaces_an_earlier_one_and_a_renewal_never_outranks_it() -> None:
    first, renewed = made(), keycard.read(renewal_by(a_renewal(number=999), DAY_KEY))
    second = made(
        a_card(on_card(DAY_KEY, "compromised", compromised_from="2026-11-10"), on_card(NEXT_KEY), number=2),
        NEXT_KEY,
    )
    for order in ([first, renewed, second], [second, renewed, first]):
        assert keycard.latest(order) == (second,)
    assert Trust(cards=(first,)).at_hand([second]).cards == (second,)


def test_two_different_cards_with_one_number_contradict_each_other() -> None:
    other = made(a_card(name="Three Benches"))
    with pytest.raises(KeyFileError):
        Trust(cards=(made(),)).at_hand([other])


def test_a_card_is_confirmed_by_its_fingerprint() -> None:
    card = made()
    known = trust.from_fingerprint(card.fingerprint).at_hand([card])
    assert known.cards == (card,)
    nobody = trust.NOBODY.at_hand([card])
    assert nobody.cards == ()
    assert nobody.unconfirmed == (card,)
