"""A recovery key names the next one, and nobody else can: not by a day-to-day key or a new paper alone.

Against joserfc (another JOSE library) for the signatures, and the rules of FORMAT.md section 16.
"""

from __future__ import annotations

import base64
import datetime as dt
import json
from itertools import permutations
from typing import Any

import msgspec
import pytest
import stool
from joserfc import jws
from joserfc.jwk import ECKey

from dossier import canonical
from dossier.errors import KeyFileError, UnreadableError, UsageError
from dossier.model.statements import TYP_CARD, TYP_HANDOVER, CardKey, Handover
from dossier.seal import card_change, handover, keycard, record, recovery, signed, trust
from dossier.seal.card_change import Changes
from dossier.seal.keycard import CardFile
from dossier.seal.keys import WorkshopKey
from dossier.seal.standing import naming
from dossier.seal.trust import NOBODY, Trust
from dossier.words import Catalogue

FIRST, SECOND, THIRD, THIEF = (recovery.keys_of(bytes([n]) * 32) for n in (1, 2, 3, 9))
DAY_KEY, STOLEN = stool.p256(), stool.p256(666)
TODAY = dt.date(2026, 11, 25)
WORDS = Catalogue("en")
Paper = tuple[WorkshopKey, WorkshopKey]


def card_of(old: CardFile | None, paper: Paper, new: Paper | tuple[()] = (), **changes: Any) -> CardFile:
    signers = [changes.pop("signer", DAY_KEY)]
    usual = {} if old else {"name": "Two Benches Workshop", "since": "2026-01-02"}
    made = card_change.next_card(old, Changes(**{**usual, **changes}), paper, signers, TODAY, new)
    return keycard.read(made)


A = card_of(None, FIRST)
AB = card_of(A, FIRST, SECOND)
ABC = card_of(AB, SECOND, THIRD)
AT = card_of(A, FIRST, THIEF)  # a thief of the first paper does the same


def confirming(card: CardFile) -> Trust:
    return trust.from_fingerprint(card.fingerprint)


def answer(known: Trust) -> Any:
    sealed = record.seal(stool.an_unsealed(DAY_KEY), [DAY_KEY], stool.counting_salts())
    return next(c for c in record.check(sealed, WORDS, trust=known).checks if c.check == "key status")


def test_the_old_key_names_the_new_one_and_readers_follow() -> None:
    assert AB.fingerprint == recovery.fingerprint_of([key.public for key in SECOND]) != A.fingerprint
    assert ABC.lineage == (A.fingerprint, AB.fingerprint, ABC.fingerprint)
    for known in (confirming(A), Trust(cards=(A,)), confirming(AB), confirming(ABC)):
        assert known.at_hand([A, ABC, AB]).cards == (ABC,)
    said = answer(confirming(A).at_hand([ABC]))
    assert said.code == "key-on-card"
    assert any(ABC.fingerprint in place and "2026-11-25" in place for place in said.where)


def test_the_next_card_carries_the_handovers_on_and_a_renewal_too() -> None:
    later = card_of(ABC, THIRD, telephone="+43 1")
    assert later.handed == ABC.handed
    renewed = keycard.read(card_change.renewed(ABC, Changes(), [DAY_KEY], TODAY))
    assert renewed.handed == ABC.handed
    assert renewed.renewal is not None


def test_both_papers_have_signed_by_another_librarys_word() -> None:
    """joserfc, JWS JSON serialization: ES256 of the old and of the new paper; it does not know ML-DSA-65."""
    members = json.loads(keycard.write(AB))["handovers"][0]
    for number, key in ((0, FIRST[0]), (2, SECOND[0])):
        one: Any = {"payload": members["payload"], **members["signatures"][number]}
        public = ECKey.import_key({k: v for k, v in key.public.items() if k != "alg"})
        read = jws.deserialize_json(one, public, algorithms=["ES256"])
        assert read.payload == base64.urlsafe_b64decode(members["payload"] + "==")
        assert read.members[0].protected["typ"] == "restoration-recovery-handover+jws"


def test_a_card_with_handovers_is_written_as_it_was_read() -> None:
    assert keycard.write(keycard.read(keycard.write(ABC))) == keycard.write(ABC)


# Who cannot


def with_handovers(card: CardFile, *forms: Any) -> bytes:
    members = json.loads(keycard.write(card))
    return canonical.encode({**members, "handovers": [signed.to_members(form) for form in forms]})


def handed_by(
    signers: Any, old: Paper = FIRST, new: Paper = THIEF, typ: str = TYP_HANDOVER, **other: Any
) -> Any:
    usual = {"format": "1.0", "issued": "2026-11-25"}
    papers = {"old": tuple(k.public for k in old), "new": tuple(k.public for k in new)}
    return signed.sign(Handover(**{**usual, **papers, **other}), signers, typ)


@pytest.mark.parametrize(
    "form",
    [
        handed_by([STOLEN, *THIEF]),  # a stolen day-to-day key in place of the old paper
        handed_by([*THIEF]),
        handed_by([FIRST[0], *THIEF]),  # ES256 broken some day, ML-DSA-65 not
        handed_by([FIRST[1], *THIEF]),
        handed_by([*FIRST, THIEF[0]]),  # one of the new ones has not signed
        handed_by([*FIRST, *THIEF, STOLEN]),
        handed_by([*FIRST, *THIEF], typ=TYP_CARD),
        handed_by([*FIRST, *SECOND], new=SECOND),  # leads somewhere else than to the card
        handed_by([*FIRST, *THIEF], issued="2026-02-30"),
        handed_by([*THIEF], old=THIEF),
    ],
)
def test_a_thief_hands_nothing_over(form: Any) -> None:
    own = card_of(None, THIEF, signer=STOLEN)
    with pytest.raises(UnreadableError) as caught:
        keycard.read(with_handovers(own, form))
    assert caught.value.code == "card-handover"


@pytest.mark.parametrize(
    "forms",
    [
        (),
        (ABC.handed[1].form, ABC.handed[0].form),
        (ABC.handed[0].form,),
        (ABC.handed[0].form, ABC.handed[0].form, ABC.handed[1].form),
        (ABC.handed[0].form,) * 9,
    ],
)
def test_handovers_that_do_not_lead_on_are_refused(forms: Any) -> None:
    with pytest.raises(UnreadableError) as caught:
        keycard.read(with_handovers(ABC, *forms))
    assert caught.value.code == "card-handover"


def test_a_card_of_the_replaced_key_counts_no_more_whatever_its_number() -> None:
    """Who has seen the old paper can make cards by it; where the handover is at hand they are passed over."""
    old = A
    for _ in range(3):
        old = card_of(old, FIRST, telephone="+43 999")
    assert old.card.number > AB.card.number
    for known in (confirming(A), Trust(cards=(A,)), Trust(cards=(AB,))):
        assert known.at_hand([old, AB]).cards == (AB,)
        assert known.at_hand([old]).at_hand([AB]).cards == (AB,)


def test_two_handovers_of_one_key_contradict_each_other_in_any_order() -> None:
    for first, second in permutations([AB, AT]):
        for known in (confirming(A), Trust(cards=(A,))):
            with pytest.raises(KeyFileError):
                known.at_hand([first, second])
            with pytest.raises(KeyFileError):
                known.at_hand([first]).at_hand([second])


def test_digits_that_were_confirmed_anew_settle_it() -> None:
    for first, second in permutations([AB, AT]):
        both = confirming(A) | confirming(AB)
        assert both.at_hand([first, second]).cards == (AB,)
        assert both.at_hand([first]).at_hand([second]).cards == (AB,)
        assert Trust(cards=(AB,)).at_hand([first, second]).cards == (AB,)
        assert confirming(ABC).at_hand([AT, ABC]).cards == (ABC,)


def test_a_circle_of_handovers_is_a_contradiction() -> None:
    back = handover.make(SECOND, FIRST, TODAY)
    again = keycard.read(keycard.make(A.card, FIRST, [DAY_KEY], [back]))
    with pytest.raises(KeyFileError):
        confirming(A).at_hand([AB, again])


def test_a_thief_of_the_new_paper_alone_reaches_nobody_who_confirmed_the_old_one() -> None:
    alone = card_of(None, SECOND, signer=STOLEN)
    assert confirming(A).at_hand([A, alone]).cards == (A,)
    assert NOBODY.at_hand([AB, alone]).cards == ()


def test_where_the_paper_is_lost_the_card_confirmed_anew_says_what_holds() -> None:
    """Two workshops by recovery keys, one by its day-to-day key: no renewal by a thief hides the loss."""
    key = CardKey(key=DAY_KEY.public, state="compromised", since="2026-01-02", compromised_from="2026-02-01")
    with_key = A.card.__class__(
        **{name: getattr(A.card, name) for name in A.card.__struct_fields__}
        | {
            "recovery": tuple(k.public for k in THIRD),
            "keys": (key, CardKey(key=STOLEN.public, state="in use", since="2026-11-26")),
            "issued": "2026-11-26",
        }
    )
    anew = keycard.read(keycard.make(with_key, THIRD, [STOLEN]))
    renewed = keycard.read(card_change.renewed(A, Changes(), [DAY_KEY], dt.date(2027, 5, 1)))
    for cards in permutations([renewed, anew]):
        assert naming(cards, [DAY_KEY.kid]) == anew
    known = (confirming(A) | confirming(anew)).at_hand([renewed, anew])
    assert answer(known).code == "key-cards-differ"  # never in order again for who has not asked


def test_no_card_of_another_workshop_takes_a_loss_back() -> None:
    """Whoever has the stolen key, or has it not, names it on a later card that is confirmed too."""
    lost = CardKey(key=DAY_KEY.public, state="compromised", since="2026-01-02", compromised_from="2026-02-01")
    own = CardKey(key=STOLEN.public, state="in use", since="2026-01-02")
    said = {name: getattr(A.card, name) for name in A.card.__struct_fields__}
    first = keycard.read(keycard.make(A.card.__class__(**said | {"keys": (lost, own)}), FIRST, [STOLEN]))
    theirs = said | {"recovery": tuple(k.public for k in THIRD), "issued": "2026-12-24"}
    for key, signer in (
        (CardKey(key=DAY_KEY.public, state="in use", since="2026-01-02"), DAY_KEY),
        (CardKey(key=DAY_KEY.public, state="retired", since="2026-01-02", until="2026-12-01"), STOLEN),
        (msgspec.structs.replace(lost, compromised_from="2026-11-01"), STOLEN),
    ):
        keys = (key, own) if signer is STOLEN else (key,)
        other = keycard.read(keycard.make(A.card.__class__(**theirs | {"keys": keys}), THIRD, [signer]))
        for cards in permutations([first, other]):
            assert naming(cards, [DAY_KEY.kid]) == first
        said_of_both = answer((confirming(first) | confirming(other)).at_hand([first, other])).code
        assert said_of_both == ("key-cards-differ" if key.state == "in use" else "key-lost-before")


# Making one


@pytest.mark.parametrize(
    ("old", "paper", "new"), [(None, FIRST, SECOND), (A, FIRST, FIRST), (A, FIRST, (SECOND[0], FIRST[1]))]
)
def test_a_handover_that_cannot_be_is_refused(old: CardFile | None, paper: Paper, new: Paper) -> None:
    with pytest.raises(UsageError):
        card_of(old, paper, new)


def test_a_closed_workshops_archive_can_replace_the_paper_too() -> None:
    closed = keycard.read(
        card_change.next_card(A, Changes(closed="The town's archive"), FIRST, [], TODAY, SECOND)
    )
    assert confirming(A).at_hand([A, closed]).cards == (closed,)
