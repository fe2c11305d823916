"""The sealed record: made, left out from, opened, checked.

One payload in canonical JSON, signed as an SD-JWT (RFC 9901); FORMAT.md is the normative description. Not
done here: keys (`seal.keys`), the code on the page (`seal.code`), the PDF (`seal.pdf`), building the payload.
Invariant: what `seal` gives, `check` finds in order.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import msgspec
from cryptography import x509

from dossier import canonical
from dossier.model.plain import to_plain
from dossier.model.record import LAST_SECOND, Apart, Digest, OpenRecord, Payload, Sealed, Unsealed, moment
from dossier.model.result import Check
from dossier.model.words import CopyKind
from dossier.seal import names, signatures
from dossier.seal.codes import check_of, checks_of
from dossier.seal.copies import CARRIES, copies_like, cut, leave_out
from dossier.seal.form import (
    from_compact,
    from_json,
    payload_digest,
    to_archive,
    to_compact,
    to_json,
    to_stamp,
)
from dossier.seal.keys import Signer, fingerprint_words
from dossier.seal.opening import SALT_BYTES, Opening, digest_of, disclosure_of, open_sealed
from dossier.seal.said import unreadable, usage_error
from dossier.seal.standing import Signing, naming
from dossier.seal.trial import is_trial
from dossier.seal.trust import NOBODY, Trust, key_status
from dossier.words import Catalogue

__all__ = [
    "CARRIES",
    "RecordCheck",
    "check",
    "copies_like",
    "copy_of",
    "from_compact",
    "from_json",
    "leave_out",
    "open_record",
    "payload_digest",
    "seal",
    "to_archive",
    "to_compact",
    "to_json",
    "to_stamp",
]


def seal(unsealed: Unsealed, signers: Sequence[Signer], salt: Callable[[], bytes]) -> Sealed:
    """Seal a record: digests into the payload's slots, then one signature a signer, in their order.

    `salt` gives 16 fresh random bytes a call. Raises UsageError where the record would not pass its check.
    """
    payload, disclosures = _filled(unsealed, _Salted(salt))
    data = canonical.encode(to_plain(payload))
    signed = tuple(signatures.sign(data, signer) for signer in signers)
    sealed = Sealed(payload=data, signatures=signed, disclosures=_in_order(data, disclosures))
    _own_check(sealed, payload)
    return sealed


class _Salted:
    """Makes disclosures and refuses a salt that is short or comes twice."""

    def __init__(self, salt: Callable[[], bytes]) -> None:
        self._salt = salt
        self._used: set[bytes] = set()

    def __call__(self, value: msgspec.Struct) -> str:
        salt = self._salt()
        if len(salt) != SALT_BYTES or salt in self._used:
            raise usage_error("salt")
        self._used.add(salt)
        return disclosure_of(salt, to_plain(value))


def _filled(unsealed: Unsealed, disclose: _Salted) -> tuple[Payload, list[str]]:
    """The payload with its slots filled, and the disclosures."""
    if len(unsealed.photo_details) != len(unsealed.payload.photographs):
        raise usage_error("details_count")
    apart = {kind: [disclose(v) for v in getattr(unsealed.apart, kind)] for kind in Apart.__struct_fields__}
    details = [disclose(one) for one in unsealed.photo_details]
    photographs = tuple(
        msgspec.structs.replace(photograph, details=_slot([disclosure]))
        for photograph, disclosure in zip(unsealed.payload.photographs, details, strict=True)
    )
    slots = Apart(**{kind: _slot(made) for kind, made in apart.items()})
    payload = msgspec.structs.replace(unsealed.payload, apart=slots, photographs=photographs)
    return payload, [one for made in apart.values() for one in made] + details


def _slot(disclosures: Sequence[str]) -> tuple[Digest, ...]:
    return tuple(Digest(digest=digest_of(one)) for one in disclosures)


def _in_order(payload: bytes, disclosures: Sequence[str]) -> tuple[str, ...]:
    """The disclosures in the order in which their digests stand in the payload's bytes."""
    return tuple(sorted(disclosures, key=lambda one: payload.index(digest_of(one).encode())))


def _own_check(sealed: Sealed, payload: Payload) -> None:
    opening = open_sealed(sealed)
    checked = signatures.check(
        sealed.payload, sealed.signatures, payload.workshop.keys, payload.workshop.signatures
    )
    for problem in [*opening.problems, *checked.problems]:
        raise usage_error("would_not_pass", code=problem.code, where=problem.where)


def open_record(sealed: Sealed, copy: CopyKind = "workshop") -> OpenRecord:
    """The record with the disclosures of this copy opened. Raises UnreadableError with a stable code."""
    opening = open_sealed(sealed, copy)
    if opening.record is None:
        raise unreadable(opening.problems[0].code)
    return opening.record


@dataclass(frozen=True)
class RecordCheck:
    """Checks 4, 5 and 6 of a sealed record, one answer a code. `record` is None where it does not open.

    `record` may be there although its signature does not match: then nothing in it may be called signed.
    """

    checks: tuple[Check, ...]
    record: OpenRecord | None
    kids: tuple[str, ...] = ()
    trial_key: bool = False
    opening: Opening = field(default_factory=Opening, repr=False, compare=False)

    @property
    def fingerprint(self) -> str:
        """Of the first key whose signature holds, "" where there is none."""
        return fingerprint_words(self.kids[0]) if self.kids else ""


def check(
    sealed: Sealed,
    words: Catalogue,
    *,
    trust: Trust = NOBODY,
    copy: CopyKind = "workshop",
    today: dt.date | None = None,
    stamped: dt.datetime | None = None,
    certificates: Sequence[x509.Certificate] = (),
) -> RecordCheck:
    """Check signatures, key status and disclosures (FORMAT.md section 8, checks 4 to 6).

    `today`: whether a key card has expired; without it that is left aside. `stamped`: the time of an outside
    time-stamp over this record whose own check held. `certificates`: of a signing key, and its issuers'.
    """
    opening = open_sealed(sealed, copy)
    keys, required = _signers(opening)
    signed = signatures.check(sealed.payload, sealed.signatures, keys, required)
    named = {key["kid"]: key["alg"] for key in reversed(keys) if {"kid", "alg"} <= set(key)}
    algorithms = [named[kid] for kid in signed.kids]
    answers = checks_of(signed.problems, words) or [check_of("signatures-match", words, algorithms)]
    signing = Signing(signed.kids, tuple(algorithms), _signed_on(opening), stamped, today)
    answers.append(key_status(signing, signed.hold, trust, words, certificates))
    if signed.hold and not any(map(is_trial, signed.kids)):
        card = naming(trust.cards, signed.kids)
        name, page = (_workshop_text(opening, member) for member in ("name", "verification_page"))
        answers += names.look(name, page, signed.kids, card, certificates, words)
    answers += _disclosure_answers(opening, words)
    return RecordCheck(tuple(answers), opening.record, signed.kids, any(map(is_trial, signed.kids)), opening)


def copy_of(
    sealed: Sealed, checked: RecordCheck, copy: CopyKind, photographs: frozenset[str] = frozenset()
) -> tuple[Sealed, OpenRecord]:
    """`leave_out` and `open_record` of a record that was checked before, without opening it again."""
    return cut(sealed, checked.opening, copy, photographs)


def _signed_on(opening: Opening) -> dt.date | None:
    """The day the record bears, None where it bears none."""
    iat = opening.plain.get("iat")
    if type(iat) is not int or not 0 <= iat <= LAST_SECOND:
        return None
    return moment(iat).date()


def _disclosure_answers(opening: Opening, words: Catalogue) -> list[Check]:
    return checks_of(opening.problems, words) or [check_of("disclosures-match", words)]


def _signers(opening: Opening) -> tuple[list[dict[str, str]], list[str]]:
    """The payload's keys and required algorithms, also where the rest of it is faulty."""
    members = _workshop(opening)
    keys = [key for key in _list(members.get("keys")) if _texts(key)]
    return keys, [name for name in _list(members.get("signatures")) if isinstance(name, str)]


def _workshop(opening: Opening) -> dict[str, Any]:
    workshop = opening.plain.get("workshop")
    return workshop if isinstance(workshop, dict) else {}


def _workshop_text(opening: Opening, name: str) -> str:
    text = _workshop(opening).get(name)
    return text if isinstance(text, str) else ""


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


def _texts(key: Any) -> bool:
    return isinstance(key, dict) and all(isinstance(member, str) for member in key.values())
