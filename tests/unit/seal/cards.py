"""Key cards to test with, and the keys on them."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
import stool

from dossier import canonical
from dossier.errors import UnreadableError
from dossier.model.statements import (
    TYP_CARD,
    CardKey,
    KeyCard,
    KeyState,
)
from dossier.seal import keycard, recovery, signed
from dossier.seal.keycard import CardFile
from dossier.seal.keys import WorkshopKey, new_second_key
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
