"""Key cards: who may make one, what one says of a record, and that nothing but the whole of it is taken.

Against joserfc (another JOSE library), RFC 5869's own formula, and the rules of FORMAT.md section 16.
"""

from __future__ import annotations

import base64
import datetime as dt
import hashlib
import hmac
import json
from typing import Any

import msgspec
import pytest
import stool
from hypothesis import given, settings
from hypothesis import strategies as st
from joserfc import jws
from joserfc.jwk import ECKey

from dossier import canonical
from dossier.errors import KeyFileError, UnreadableError, UsageError
from dossier.model.result import Check
from dossier.model.statements import (
    TYP_CARD,
    TYP_RENEWAL,
    CardKey,
    Closed,
    KeyCard,
    KeyState,
    Person,
    Renewal,
    Required,
    SignedForm,
)
from dossier.seal import card_change, keycard, record, recovery, signatures, signed, trust
from dossier.seal.card_change import Changes
from dossier.seal.keycard import CardFile
from dossier.seal.keys import WorkshopKey, fingerprint_words, new_second_key
from dossier.seal.standing import CODES, Signing, standing
from dossier.seal.trust import Trust
from dossier.words import Catalogue

SECRET = bytes(range(32))
RECOVERY = recovery.keys_of(SECRET)
OTHER_RECOVERY = recovery.keys_of(bytes(32))
DAY_KEY, NEXT_KEY, THIEF = stool.p256(), stool.p256(77), stool.p256(666)
SECOND = new_second_key()
TODAY = dt.date(2026, 11, 25)
WORDS = Catalogue("en")


def on_card(key: WorkshopKey, state: KeyState = "in use", **dates: Any) -> CardKey:
    return CardKey(key=key.public, state=state, since=dates.pop("since", "2026-01-02"), **dates)


def a_card(*keys: CardKey, **members: Any) -> KeyCard:
    usual: dict[str, Any] = {
        "format": "1.0",
        "number": 1,
        "issued": "2026-11-01",
        "expires": "2028-11-01",
        "name": "Two Benches Workshop",
        "recovery": tuple(key.public for key in RECOVERY),
        "keys": keys or (on_card(DAY_KEY),),
    }
    return KeyCard(**{**usual, **members})


def made(card: KeyCard | None = None, *signers: WorkshopKey) -> CardFile:
    return keycard.read(keycard.make(card or a_card(), RECOVERY, signers or (DAY_KEY,)))


def refused(data: bytes) -> str:
    with pytest.raises(UnreadableError) as caught:
        keycard.read(data)
    return caught.value.code


def file_of(card: KeyCard, *signers: WorkshopKey, typ: str = TYP_CARD) -> bytes:
    """A card's file signed by whoever likes to, without the check that `make` ends with."""
    return canonical.encode({"card": signed.to_members(signed.sign(card, signers, typ))})


# The recovery key


@given(st.binary(min_size=32, max_size=32))
def test_a_secret_comes_back_from_its_digits_with_words_around_them(secret: bytes) -> None:
    text = f"RECOVERY KEY of 12 Benches\n{recovery.to_digits(secret)}\n(17 groups)\n12345 12345 end"
    assert recovery.from_digits(text) == secret


@settings(deadline=None)
@given(st.integers(0, 16), st.integers(1, 65_535))
def test_a_slip_in_one_group_is_noticed(group: int, off: int) -> None:
    groups = recovery.to_digits(SECRET).split()
    groups[group] = f"{(int(groups[group]) + off) % 65_536:05d}"
    if group != 16 and recovery._check(_secret(groups)) == int(groups[16]):
        return  # one in 65,536 slips meets the check digits by chance
    with pytest.raises(KeyFileError):
        recovery.from_digits(" ".join(groups))


def _secret(groups: list[str]) -> bytes:
    return b"".join(int(one).to_bytes(2) for one in groups[:16])


@pytest.mark.parametrize("text", ["", "12345 " * 16, "12345 " * 18, "99999 " * 17, "1234 " * 17])
def test_what_is_no_recovery_key_is_refused(text: str) -> None:
    with pytest.raises(KeyFileError):
        recovery.from_digits(text)


def test_the_keys_are_those_of_rfc_5869() -> None:
    """HKDF by the formula of RFC 5869 section 2, with the standard library's HMAC."""
    info = b"restoration-record recovery ES256"
    pseudo = hmac.digest(bytes(32), SECRET, "sha256")
    first = hmac.digest(pseudo, info + b"\1", "sha256")
    stretch = (first + hmac.digest(pseudo, first + info + b"\2", "sha256"))[:40]
    order = int("ffffffff00000000ffffffffffffffffbce6faada7179e84f3b9cac2fc632551", 16)  # FIPS 186-5
    assert RECOVERY[0].private.private_numbers().private_value == int.from_bytes(stretch) % (order - 1) + 1
    info = b"restoration-record recovery ML-DSA-65"
    assert RECOVERY[1].private.private_bytes_raw() == hmac.digest(pseudo, info + b"\1", "sha256")


def test_the_fingerprint_is_the_one_in_the_format() -> None:
    thumbprints = json.dumps([key.kid for key in RECOVERY], separators=(",", ":")).encode()
    digest = hashlib.sha256(thumbprints).digest()
    said = " ".join(f"{int.from_bytes(digest[i : i + 2]):05d}" for i in range(0, 16, 2))
    assert made().fingerprint == said == "22706 60966 04287 58690 15483 18082 01203 33183"


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


# What a card says of a record

IAT = dt.datetime.fromtimestamp(1795_000_000, dt.UTC)  # the stool's: 2026-11-18
BEFORE = dt.datetime(2026, 11, 9, 23, 59, 59, tzinfo=dt.UTC)

STANDINGS: list[tuple[str, CardKey, dict[str, Any]]] = [
    ("key-on-card", on_card(DAY_KEY), {}),
    ("key-on-card", on_card(DAY_KEY, since="2026-11-18"), {}),
    ("key-outside-dates", on_card(DAY_KEY, since="2026-11-19"), {}),
    ("key-retired-since", on_card(DAY_KEY, "retired", until="2026-11-18"), {}),
    ("key-outside-dates", on_card(DAY_KEY, "retired", until="2026-11-17"), {}),
    ("key-lost-before", on_card(DAY_KEY, "compromised", compromised_from="2026-11-18"), {}),
    ("key-lost-no-stamp", on_card(DAY_KEY, "compromised", compromised_from="2026-11-19"), {}),
    (
        "key-stamped-before-loss",
        on_card(DAY_KEY, "compromised", compromised_from="2026-11-19"),
        {"stamped": IAT},
    ),
    (
        "key-lost-before",  # a time-stamp of the very day does not show that it was before
        on_card(DAY_KEY, "compromised", compromised_from="2026-11-18"),
        {"stamped": IAT},
    ),
    (
        "key-lost-no-stamp",
        on_card(DAY_KEY, "compromised", compromised_from="2026-11-19"),
        {"stamped": dt.datetime(2026, 11, 19, tzinfo=dt.UTC)},
    ),
    (
        "key-lost-no-stamp",
        on_card(DAY_KEY, "compromised", compromised_from="2026-11-18"),
        {"signed_on": None},
    ),
    ("key-on-card", on_card(DAY_KEY), {"today": dt.date(2028, 11, 1)}),
    ("key-card-out-of-date", on_card(DAY_KEY), {"today": dt.date(2028, 11, 2)}),
    ("key-on-card", on_card(DAY_KEY), {"today": dt.date(2028, 11, 2), "stamped": BEFORE.replace(month=10)}),
    ("key-card-out-of-date", on_card(DAY_KEY), {"today": dt.date(2028, 11, 2), "stamped": BEFORE}),
]


@pytest.mark.parametrize(("code", "key", "how"), STANDINGS)
def test_what_a_card_says_of_a_key(code: str, key: CardKey, how: dict[str, Any]) -> None:
    """FORMAT.md section 8, check 5 a to d, at each side of each day."""
    card = made(a_card(key, on_card(NEXT_KEY)), *([DAY_KEY] if key.state == "in use" else []), NEXT_KEY)
    usual = {"signed_on": IAT.date(), "today": TODAY}
    said = standing(card, Signing((DAY_KEY.kid,), ("ES256",), **{**usual, **how}), WORDS)
    assert said.code == code


def test_every_answer_of_a_card_has_a_case() -> None:
    """But for those of certificates: test_seal_chains.py, test_seal_revocation.py."""
    here = {code for code, _, _ in STANDINGS} | {"signature-short-of-card"}
    others = {code for code in CODES if code.startswith(("key-c", "key-revo")) and "card" not in code}
    assert here == set(CODES) - others


def sealed_by(*signers: WorkshopKey) -> Any:
    return record.seal(stool.an_unsealed(*signers), signers, stool.counting_salts())


def key_answer(sealed: Any, known: Trust, **how: Any) -> Check:
    checks = record.check(sealed, WORDS, trust=known, **{"today": TODAY, **how}).checks
    return next(check for check in checks if check.check == "key status")


def calling_for(since: str) -> CardFile:
    both = Required(since=since, algorithms=("ES256", "ML-DSA-65"))
    return made(a_card(on_card(DAY_KEY), on_card(SECOND), required=(both,)), DAY_KEY, SECOND)


def test_a_record_with_one_of_two_signatures_does_not_match_from_the_cards_day_on() -> None:
    known = Trust(cards=(calling_for("2026-11-18"),))
    assert key_answer(sealed_by(DAY_KEY), known).code == "signature-short-of-card"
    assert key_answer(sealed_by(DAY_KEY), known).verdict == "does not match"
    assert key_answer(sealed_by(DAY_KEY, SECOND), known).code == "key-on-card"
    later = Trust(cards=(calling_for("2026-11-19"),))
    assert key_answer(sealed_by(DAY_KEY), later).code == "key-on-card"


def test_a_second_signature_by_a_key_that_is_not_on_the_card_does_not_count() -> None:
    known = Trust(cards=(calling_for("2026-01-01"),))
    assert key_answer(sealed_by(DAY_KEY, new_second_key()), known).code == "signature-short-of-card"


def test_a_good_key_does_not_hide_that_another_one_was_lost() -> None:
    lost = on_card(DAY_KEY, "compromised", compromised_from="2026-11-01")
    known = Trust(cards=(made(a_card(lost, on_card(SECOND), on_card(NEXT_KEY)), SECOND, NEXT_KEY),))
    answer = key_answer(sealed_by(DAY_KEY, SECOND), known)
    assert answer.code == "key-on-card"
    assert any(fingerprint_words(DAY_KEY.kid) in place and "2026-11-01" in place for place in answer.where)


def test_the_key_shown_first_is_the_one_that_counts() -> None:
    """Not the first of the record, which may be the lost one, or one that nobody confirmed."""
    lost = on_card(DAY_KEY, "compromised", compromised_from="2026-11-01")
    card = Trust(cards=(made(a_card(lost, on_card(SECOND), on_card(NEXT_KEY)), SECOND, NEXT_KEY),))
    sealed = sealed_by(DAY_KEY, SECOND)
    for known in (card, Trust(thumbprints=frozenset({SECOND.kid}))):
        found = record.check(sealed, WORDS, trust=known, today=TODAY)
        assert trust.key_spoken_of(found.checks, found.kids) == fingerprint_words(SECOND.kid)
    before = dt.datetime(2026, 10, 1, tzinfo=dt.UTC)
    found = record.check(sealed, WORDS, trust=card, today=TODAY, stamped=before)  # which holds by it as well
    assert trust.key_spoken_of(found.checks, found.kids) == fingerprint_words(SECOND.kid)
    found = record.check(sealed, WORDS, today=TODAY)
    assert trust.key_spoken_of(found.checks, found.kids) == fingerprint_words(DAY_KEY.kid)
    assert trust.key_spoken_of((), ()) == ""


def test_a_card_outweighs_a_key_confirmed_by_itself() -> None:
    lost = a_card(on_card(DAY_KEY, "compromised", compromised_from="2026-11-01"), on_card(NEXT_KEY))
    known = Trust(thumbprints=frozenset({DAY_KEY.kid}), cards=(made(lost, NEXT_KEY),))
    assert key_answer(sealed_by(DAY_KEY), known).code == "key-lost-before"


def test_a_card_that_nobody_confirmed_says_nothing_but_how_to_confirm_it() -> None:
    answer = key_answer(sealed_by(DAY_KEY), trust.NOBODY.at_hand([made()]))
    assert answer.code == "key-not-confirmed"
    assert made().fingerprint in answer.where[-1]


def test_digits_of_a_card_that_is_not_at_hand_are_told_apart() -> None:
    """Whoever confirmed a card by telephone, and has no file of it, is told what is missing."""
    digits, said = trust.from_fingerprint(made().fingerprint), WORDS.say("keycard.digits_elsewhere")
    assert said in key_answer(sealed_by(DAY_KEY), digits).where
    assert key_answer(sealed_by(DAY_KEY), digits.at_hand([made()])).code == "key-on-card"
    assert said not in key_answer(sealed_by(DAY_KEY), trust.NOBODY).where


def test_a_hostile_record_with_one_key_named_twice_is_answered() -> None:
    unsealed = stool.an_unsealed(DAY_KEY)
    workshop = msgspec.structs.replace(unsealed.payload.workshop, keys=(DAY_KEY.public, DAY_KEY.public))
    payload = msgspec.structs.replace(unsealed.payload, workshop=workshop)
    sealed = record.seal(
        msgspec.structs.replace(unsealed, payload=payload), [DAY_KEY], stool.counting_salts()
    )
    assert key_answer(sealed, Trust(cards=(made(),))).code == "key-on-card"


# The next card


def test_a_working_life() -> None:
    """First card, a second restorer's key, a loss, a closing: each card follows from the one before."""

    def after(old: CardFile | None, day: dt.date, signers: list[WorkshopKey], **changes: Any) -> CardFile:
        return keycard.read(card_change.next_card(old, Changes(**changes), RECOVERY, signers, day))

    first = after(None, TODAY, [DAY_KEY], name="Two Benches", since="2026-01-02", people=(Person(mark="AB"),))
    assert (first.card.number, first.card.keys[0].since) == (1, "2026-01-02")
    second = after(first, dt.date(2027, 3, 1), [DAY_KEY, NEXT_KEY], call_for=("ES256",))
    lost = fingerprint_words(DAY_KEY.kid)
    third = after(second, dt.date(2027, 6, 1), [NEXT_KEY], lost={lost: "2027-05-20"}, telephone="+43 1")
    assert [one.state for one in third.card.keys] == ["compromised", "in use"]
    assert third.card.people == first.card.people
    last = after(third, dt.date(2030, 1, 1), [], closed="The town's archive")
    assert last.card.number == 4
    assert [one.state for one in last.card.keys] == ["compromised", "retired"]
    assert last.expires(dt.date(2090, 1, 1)) == dt.date(9999, 12, 31)
    assert len(last.form.signatures) == len(RECOVERY)
    assert {card.fingerprint for card in (first, second, third, last)} == {first.fingerprint}
    # Sixty years on, a record of 2026 with a time-stamp still stands, and one without does not.
    sealed = sealed_by(DAY_KEY)
    known = Trust(cards=(first,)).at_hand([last])
    then = dt.date(2087, 1, 1)
    assert key_answer(sealed, known, today=then, stamped=IAT).code == "key-stamped-before-loss"
    assert key_answer(sealed, known, today=then).code == "key-lost-no-stamp"


def test_several_restorers_have_keys_of_their_own_on_one_card() -> None:
    mine, hers = fingerprint_words(DAY_KEY.kid), fingerprint_words(NEXT_KEY.kid)
    changes = Changes(
        name="Two Benches",
        since="2026-01-02",
        people=(Person(mark="AB", name="Ada Bench"), Person(mark="CD")),
        holders={mine: ("AB",), hers: ("CD", "AB")},
    )
    card = keycard.read(card_change.next_card(None, changes, RECOVERY, [DAY_KEY, NEXT_KEY], TODAY))
    known = Trust(cards=(card,))
    on = {"today": TODAY}
    assert key_answer(sealed_by(DAY_KEY), known, **on).where == (mine, "the key of Ada Bench (AB)")
    assert key_answer(sealed_by(NEXT_KEY), known, **on).where == (hers, "the key of CD, Ada Bench (AB)")


@pytest.mark.parametrize(
    ("changes", "signers"),
    [
        ({"name": "Two Benches"}, [NEXT_KEY]),  # the key in use is not given
        ({"retired": {"12345 " * 7 + "12345": "2026-11-25"}}, [DAY_KEY]),  # no such key
        ({"days": 5000}, [DAY_KEY]),
        ({"lost": {fingerprint_words(DAY_KEY.kid): "1999-01-01"}}, [NEXT_KEY]),  # before it was in use
        ({"lost": {fingerprint_words(DAY_KEY.kid): "2999-01-01"}}, [NEXT_KEY]),
        (
            {"retired": {fingerprint_words(DAY_KEY.kid): "2026-11-25"}},
            [DAY_KEY, NEXT_KEY],
        ),  # retired and signing
    ],
)
def test_a_next_card_that_cannot_be_is_refused(changes: dict[str, Any], signers: list[WorkshopKey]) -> None:
    with pytest.raises(UsageError):
        card_change.next_card(made(), Changes(**changes), RECOVERY, signers, TODAY)


def test_a_renewal_that_would_change_more_is_refused() -> None:
    with pytest.raises(UsageError):
        card_change.renewed(made(), Changes(telephone="+43 1"), [DAY_KEY], TODAY)
    again = keycard.read(card_change.renewed(made(), Changes(days=900), [DAY_KEY], TODAY))
    assert again.expires(TODAY) == TODAY + dt.timedelta(days=900)
