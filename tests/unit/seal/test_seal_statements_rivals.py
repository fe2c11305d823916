"""Whose card speaks about a record, where a reader has confirmed cards of several workshops.

A card is signed by its recovery keys and the keys in use, so any workshop can write another's key on its own
card as retired or lost; that the key signed it shows that it is theirs.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
import stool
from cards import OTHER_RECOVERY, RECOVERY, on_card
from cards import a_card as card_of

from dossier.flows.verify import Asked, verify
from dossier.model.statements import CardKey, RecordNamed
from dossier.seal import keycard, record, statements
from dossier.seal.keys import Signer, WorkshopKey
from dossier.seal.trust import Trust
from dossier.words import Catalogue

KEY, NEXT, RIVAL = stool.p256(), stool.p256(77), stool.p256(666)
SEALED = record.seal(stool.an_unsealed(KEY), [KEY], stool.counting_salts())
OPENED = record.open_record(SEALED)
DAY = dt.datetime(2026, 12, 1, tzinfo=dt.UTC)
RETIRED: dict[str, Any] = {"state": "retired", "until": "2026-11-30"}


def a_card(
    keys: list[CardKey], signers: list[WorkshopKey], paper: Sequence[Signer], issued: str = "2026-11-01"
) -> keycard.CardFile:
    public = tuple(key.public for key in paper)
    return keycard.read(keycard.make(card_of(*keys, recovery=public, issued=issued), paper, signers))


OWN = a_card([on_card(KEY), on_card(NEXT)], [KEY, NEXT], RECOVERY)
OWN_LATER = a_card([on_card(KEY, **RETIRED), on_card(NEXT)], [NEXT], RECOVERY)
RIVALS = a_card([on_card(KEY, **RETIRED), on_card(RIVAL)], [RIVAL], OTHER_RECOVERY, issued="2026-11-30")
ANEW = a_card([on_card(KEY), on_card(RIVAL)], [KEY, RIVAL], OTHER_RECOVERY)


@pytest.mark.parametrize(
    ("cards", "by", "code"),
    [
        ((OWN, RIVALS), RIVAL, "statement-by-another"),
        ((RIVALS, OWN), RIVAL, "statement-by-another"),
        ((OWN, RIVALS), OTHER_RECOVERY, "statement-by-another"),
        ((OWN, RIVALS), RECOVERY, "record-withdrawn"),
        ((OWN, RIVALS), NEXT, "record-withdrawn"),
        ((OWN, RIVALS), KEY, "record-withdrawn"),
        ((OWN, ANEW), RIVAL, "record-withdrawn"),  # a workshop that lost its recovery key and began anew
        (
            (RIVALS,),
            RIVAL,
            "record-withdrawn",
        ),  # who took the workshop over, for who confirmed that card alone
        ((OWN_LATER,), NEXT, "record-withdrawn"),
    ],
)
def test_a_rivals_card_speaks_about_no_record_whose_key_is_in_use_elsewhere(
    tmp_path: Path, cards: tuple[keycard.CardFile, ...], by: Any, code: str
) -> None:
    about = RecordNamed(record=OPENED.payload.record, sha256=OPENED.digest)
    signers = [by] if isinstance(by, WorkshopKey) else by
    wanted = statements.Wanted(kind="withdrawal", about=about, reason="Another case.")
    said = statements.state(wanted, "Two Benches", signers, iat=int(DAY.timestamp()), chance=bytes(16))
    (tmp_path / "record.json").write_bytes(record.to_json(SEALED))
    (tmp_path / "w.json").write_bytes(said)
    asked = Asked(today=DAY.date(), trust=Trust(cards=cards), words=Catalogue("en"))
    found = [check.code for check in verify(tmp_path / "record.json", asked).checks if check.number == 11]
    assert found[0] == code


LOST: dict[str, Any] = {"state": "compromised", "compromised_from": "2026-11-18"}
RIVALS_LOSS = a_card([on_card(KEY, **LOST), on_card(RIVAL)], [RIVAL], OTHER_RECOVERY)
OWN_LOSS = a_card([on_card(KEY, **LOST), on_card(NEXT)], [NEXT], RECOVERY)


@pytest.mark.parametrize(
    ("cards", "code", "overall"),
    [
        ((OWN, RIVALS_LOSS), "key-cards-differ", "not confirmed"),
        ((RIVALS_LOSS, OWN), "key-cards-differ", "not confirmed"),
        ((OWN_LOSS, ANEW), "key-cards-differ", "not confirmed"),  # a thief's card has it in use
        ((RIVALS_LOSS,), "key-lost-before", "altered"),
        ((OWN_LOSS, RIVALS), "key-lost-before", "altered"),  # a rival's takes no loss back
        ((OWN, RIVALS), "key-on-card", "in order"),
    ],
)
def test_where_two_confirmed_cards_contradict_each_other_on_a_loss_it_could_not_be_told(
    tmp_path: Path, cards: tuple[keycard.CardFile, ...], code: str, overall: str
) -> None:
    (tmp_path / "record.json").write_bytes(record.to_json(SEALED))
    asked = Asked(today=DAY.date(), trust=Trust(cards=cards), words=Catalogue("en"))
    found = verify(tmp_path / "record.json", asked)
    assert next(check.code for check in found.checks if check.number == 5) == code
    assert found.overall == overall


def test_a_card_that_ran_out_takes_no_loss_back(tmp_path: Path) -> None:
    """Of a workshop that lost its recovery key and began anew: its first card was right in its time."""
    anew = a_card([on_card(KEY, **LOST), on_card(NEXT)], [NEXT], OTHER_RECOVERY, issued="2026-11-30")
    (tmp_path / "record.json").write_bytes(record.to_json(SEALED))
    for year, code in ((2027, "key-cards-differ"), (2029, "key-lost-before")):
        asked = Asked(today=DAY.date().replace(year=year), trust=Trust(cards=(OWN, anew)))
        checks = verify(tmp_path / "record.json", asked).checks
        assert next(check.code for check in checks if check.number == 5) == code
