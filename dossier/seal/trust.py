"""Whom the reader of a record trusts: keys they confirmed through a second channel.

Not done here: status cards of workshops, chains of certificates. Invariant: a trial key is never confirmed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import msgspec
from cryptography import x509

from dossier.model.result import Check
from dossier.seal import algorithms
from dossier.seal.algorithms import BadKeyError
from dossier.seal.codes import check_of
from dossier.seal.keys import fingerprint_words, public_jwk
from dossier.seal.said import key_error
from dossier.seal.trial import is_trial
from dossier.words import Catalogue

MAX_BYTES = 65_536


@dataclass(frozen=True)
class Trust:
    """Confirmed keys, by thumbprint (RFC 7638) or by the fingerprint read over the telephone."""

    thumbprints: frozenset[str] = frozenset()
    fingerprints: frozenset[str] = frozenset()

    def confirms(self, kid: str) -> bool:
        return kid in self.thumbprints or fingerprint_words(kid) in self.fingerprints

    def __or__(self, other: Trust) -> Trust:
        return Trust(self.thumbprints | other.thumbprints, self.fingerprints | other.fingerprints)


NOBODY = Trust()


def from_fingerprint(text: str) -> Trust:
    """Trust in one fingerprint as typed: eight groups of five digits, with any spaces, dots or dashes."""
    digits = "".join(letter for letter in text if letter not in " .-\u2013\t\n")
    if len(digits) != 40 or not (digits.isascii() and digits.isdigit()):
        raise key_error("fingerprint")
    return Trust(fingerprints=frozenset({" ".join(digits[i : i + 5] for i in range(0, 40, 5))}))


def from_file(path: Path) -> Trust:
    """Trust in the keys of a file: a certificate (PEM), or public keys (JSON, RFC 7517 section 5)."""
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        raise key_error("cannot_read", file=path, reason=error.strerror) from None
    if len(data) > MAX_BYTES:
        raise key_error("not_public", file=path)
    kids = _certificate_kids(data) if b"-----BEGIN CERTIFICATE-----" in data else _jwk_kids(data)
    if not kids:
        raise key_error("not_public", file=path)
    return Trust(thumbprints=frozenset(kids))


def _certificate_kids(data: bytes) -> list[str]:
    try:
        return [public_jwk(one.public_key())["kid"] for one in x509.load_pem_x509_certificates(data)]
    except ValueError:
        return []


def _jwk_kids(data: bytes) -> list[str]:
    try:
        keys = msgspec.json.decode(data, type=dict[str, Any]).get("keys")
        return [_kid(key) for key in msgspec.convert(keys, list[dict[str, str]])]
    except (msgspec.MsgspecError, BadKeyError, ValueError, RecursionError):
        return []


def _kid(key: dict[str, str]) -> str:
    algorithms.load_public(key)
    return algorithms.thumbprint(key)


def key_status(kids: Sequence[str], holds: bool, trust: Trust, words: Catalogue) -> Check:
    """Check 5: whether one of the keys whose signature holds is one that the reader confirmed."""
    prints = [fingerprint_words(kid) for kid in kids]
    if not holds:
        return check_of("key-not-checked", words)
    if any(map(is_trial, kids)):
        return check_of("key-trial", words, prints)
    confirmed = any(map(trust.confirms, kids))
    return check_of("key-confirmed" if confirmed else "key-not-confirmed", words, prints)
