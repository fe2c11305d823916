"""The public part of a key, from whichever of its files is at hand, and as a file to hand out.

Not done here: private keys (`seal.keyfiles`), trust (`seal.trust`).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
from cryptography import x509

from dossier import ordinary
from dossier.seal import algorithms, keyfiles
from dossier.seal.algorithms import BadKeyError, Jwk
from dossier.seal.foreign import CERTIFICATE_ERRORS
from dossier.seal.keys import public_jwk
from dossier.seal.said import ENGLISH, key_error


def load_public(path: Path, passphrase: Callable[[], str]) -> Jwk:
    """The public JWK in `path`: a private key, a certificate, or a JWK Set with one key.

    `passphrase` is asked only where a private key is locked. Raises KeyFileError.
    """
    data = _read(path)
    if b"PRIVATE KEY-----" in data:
        spoken = passphrase() if keyfiles.needs_passphrase(path) else ""
        return keyfiles.load_key(path, passphrase=spoken).public
    try:
        if b"-----BEGIN CERTIFICATE-----" in data:
            return public_jwk(x509.load_pem_x509_certificate(data).public_key())
        return _only_key(data)
    except (*CERTIFICATE_ERRORS, msgspec.MsgspecError, BadKeyError, RecursionError):
        raise key_error("not_public", file=path) from None


def _read(path: Path) -> bytes:
    """The bytes of a small file, with a word of its own for what people name instead of one."""
    try:
        start = ordinary.read(path, keyfiles.MAX_BYTES + 1)
    except OSError as error:
        raise keyfiles.cannot_read(path, error) from None
    for kind, sign in (("pdf", b"%PDF-"), ("record", b'{"payload":')):
        if start.startswith(sign):
            raise key_error("of_dossier", file=path, what=ENGLISH.say(f"seal.keys.a.{kind}"))
    if len(start) > keyfiles.MAX_BYTES:
        raise key_error("not_public", file=path)
    return start


def write_public(path: Path, content: bytes) -> None:
    """Write a public file that must not be there yet. Raises KeyFileError, OutputError."""
    keyfiles.write_new(path, content, keyfiles.PUBLIC_MODE)


def _only_key(data: bytes) -> Jwk:
    members: dict[str, Any] = msgspec.json.decode(data, type=dict[str, Any])
    (key,) = msgspec.convert(members.get("keys"), list[dict[str, str]])
    algorithms.load_public(key)
    return {**key, "kid": algorithms.thumbprint(key)}
