"""What a key card says of a record and its keys, over a working life (FORMAT.md section 8, check 5)."""

from __future__ import annotations

import datetime as dt
from typing import Any

import msgspec
import pytest
import stool
from cards import (
    DAY_KEY,
    NEXT_KEY,
    RECOVERY,
    SECOND,
    TODAY,
    WORDS,
    a_card,
    made,
    on_card,
)

from dossier.errors import UsageError
from dossier.model.result import Check
from dossier.model.statements import (
    CardKey,
    Person,
    Required,
)
from dossier.seal import card_change, keycard, record, trust
from dossier.seal.card_change import Changes
from dossier.seal.keycard import CardFile
from dossier.seal.keys import WorkshopKey, fingerprint_words, new_second_key
from dossier.seal.standing import CODES, Signing, standing
from dossier.seal.trust import Trust

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
    """Others: test_seal_chains.py, test_seal_revocation.py, test_seal_statements_rivals.py."""
    here = {code for code, _, _ in STANDINGS} | {"signature-short-of-card", "key-cards-differ"}
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


def test_files_that_are_of_other_keys_are_said_to_be() -> None:
    """Whoever had a certificate of the workshop itself takes heed where another key signed."""
    said = WORDS.say("keycard.files_elsewhere")
    others = Trust(thumbprints=frozenset({NEXT_KEY.kid}))
    assert said in key_answer(sealed_by(DAY_KEY), others).where
    assert said not in key_answer(sealed_by(DAY_KEY, NEXT_KEY), others).where
    assert said not in key_answer(sealed_by(DAY_KEY), trust.from_fingerprint(made().fingerprint)).where
    assert said not in key_answer(sealed_by(DAY_KEY), trust.NOBODY.at_hand([made()])).where


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
