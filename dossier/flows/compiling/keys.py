"""The keys a record is signed with, and the key card that goes with it: opened where workshop.toml says.

Reads only. Invariant: a record is never signed that the workshop's own card would have refused.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import msgspec

from dossier.errors import JobError
from dossier.model.job import Workshop
from dossier.model.result import Check
from dossier.seal import keycard, keyfiles, names, token, trial, trust
from dossier.seal.keycard import CardFile
from dossier.seal.keys import WorkshopKey
from dossier.seal.standing import Signing, standing
from dossier.words import Catalogue

WORDS = Catalogue(days=True)
_SOON_DAYS = 60
AnyKey = WorkshopKey | token.TokenKey


class Opened(msgspec.Struct, frozen=True):
    """The key that signs record and pages, one for a second signature on the record, the card's file."""

    key: AnyKey
    second: AnyKey | None = None
    card: bytes = b""
    notes: tuple[str, ...] = ()

    @property
    def signers(self) -> list[AnyKey]:
        return [self.key, *([self.second] if self.second else [])]


def open_keys(workshop: Workshop, home: Path, passphrase: Callable[[], bytes], today: dt.date) -> Opened:
    """What workshop.toml in `home` names. Raises JobError, KeyFileError.

    A key that is not in use by the card, or a signature that it calls for and nobody makes, stops here.
    """
    if not workshop.key:
        raise JobError(WORDS.say("compile.no_key"), hint=WORDS.say("compile.no_key_hint"))
    certificate = home / workshop.certificate if workshop.certificate else None
    key = _open(workshop.key, home, certificate, passphrase)
    second = _open(workshop.second_key, home, None, passphrase) if workshop.second_key else None
    notes = (*key.warnings, *(second.warnings if second else ()), *_other_name(key, workshop))
    opened = Opened(key, second, notes=notes)
    if not workshop.key_card:
        return opened
    path = home / workshop.key_card
    cards = trust.from_file(path).cards
    if not cards:
        raise JobError(WORDS.say("compile.not_card", file=path))
    notes = (*opened.notes, *_looked_at(cards[0], opened, today))
    return msgspec.structs.replace(opened, card=keycard.write(cards[0]), notes=notes)


def _other_name(key: AnyKey, workshop: Workshop) -> list[str]:
    """A word on a certificate that is made out to another name, as every check of the dossier will say it."""
    other = names.other_name(key.certificate, workshop.name) if key.certificate else ""
    if not other or trial.is_trial(key.kid):
        return []
    return [WORDS.say("signing.compiled_other_name", other=other, workshop=workshop.name)]


def _open(name: str, home: Path, certificate: Path | None, passphrase: Callable[[], bytes]) -> AnyKey:
    """A key by its file, or by the URI of a token."""
    if token.is_token(name):
        found = keyfiles.load_certificates(certificate) if certificate else ()
        return token.open_token(name, lambda: passphrase().decode(), *found)
    path = home / name
    spoken = passphrase().decode() if keyfiles.needs_passphrase(path) else ""
    return keyfiles.load_key(path, certificate, passphrase=spoken)


def _looked_at(card: CardFile, opened: Opened, today: dt.date) -> list[str]:
    """What to say of a card that holds, and soon will not. Raises JobError where it refuses the record."""
    signers = opened.signers
    signing = Signing(
        kids=tuple(one.kid for one in signers),
        algorithms=tuple(one.alg for one in signers),
        signed_on=today,
        today=today,
    )
    if not card.of(opened.key.kid):
        raise JobError(WORDS.say("compile.not_on_card"), hint=WORDS.say("compile.not_on_card_hint"))
    answer: Check = standing(card, signing, WORDS)
    if answer.code not in ("key-on-card", "key-card-out-of-date"):
        raise JobError(WORDS.say("compile.against_card", why=answer.text))
    end = card.expires(today)
    return [WORDS.say("compile.card_ends", date=end.isoformat())] if (end - today).days <= _SOON_DAYS else []
