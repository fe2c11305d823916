"""A workshop's key on a token (PKCS #11, OASIS 2.40): it signs, and never leaves the token.

Named by a URI (RFC 7512) in place of a file:
`pkcs11:token=Bench;object=workshop?module-path=/where/the/module/is.so`. Needs the optional library
`python-pkcs11`. Not done here: making a key on a token, which the token's own tool does; keys other than
P-256.
Invariants: a PIN is asked for and never read from the URI; a signature is r || s with the lower s, as of any
other key.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any
from urllib.parse import unquote

import msgspec
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec

from dossier.errors import KeyFileError
from dossier.seal import algorithms
from dossier.seal.algorithms import Jwk
from dossier.seal.keys import public_jwk
from dossier.seal.said import key_error

PREFIX = "pkcs11:"
_URI = re.compile(r"pkcs11:([^?#]*)\?([^#]*)")
_PATH, _QUERY = {"token", "object"}, {"module-path"}


class Place(msgspec.Struct, frozen=True):
    """Where a key is: the module (a shared library), the token's label, the key's label."""

    module: str
    token: str
    key: str


@dataclass(frozen=True)
class TokenKey:
    """A key on a token. It is logged in to for each signature, so that nothing stays open after a command."""

    place: Place
    public: Jwk
    pin: str = field(repr=False)
    certificate: x509.Certificate | None = None
    warnings: tuple[str, ...] = ()
    alg: str = "ES256"
    issuers: tuple[x509.Certificate, ...] = ()

    @cached_property
    def kid(self) -> str:
        return self.public["kid"]

    def sign(self, data: bytes) -> bytes:
        """ECDSA over SHA-256 of `data`: the token is given the digest, as CKM_ECDSA has it (2.3.6)."""
        import pkcs11  # noqa: PLC0415 - an optional library

        with _session(self.place, self.pin) as session:
            private = session.get_key(object_class=pkcs11.ObjectClass.PRIVATE_KEY, label=self.place.key)
            raw = private.sign(hashlib.sha256(data).digest(), mechanism=pkcs11.Mechanism.ECDSA)
        return algorithms.lower_s(bytes(raw))


def is_token(name: str) -> bool:
    """Whether a key is named by a token's URI and not by a file."""
    return name.startswith(PREFIX)


def parse(uri: str) -> Place:
    """The place a URI names. Raises KeyFileError: only `token`, `object` and `module-path` are taken."""
    match = _URI.fullmatch(uri)
    path, query = (_pairs(match[1], ";"), _pairs(match[2], "&")) if match else ({}, {})
    if set(path) != _PATH or set(query) != _QUERY:
        raise key_error("token_uri")
    return Place(query["module-path"], path["token"], path["object"])


def open_token(uri: str, pin: Callable[[], str], *certificates: x509.Certificate) -> TokenKey:
    """The key that `uri` names; its certificate and those of its issuers, if any.

    Raises KeyFileError with what the token says.
    """
    place, spoken = parse(uri), pin()
    with _session(place, spoken) as session:
        import pkcs11  # noqa: PLC0415 - an optional library

        session.get_key(object_class=pkcs11.ObjectClass.PRIVATE_KEY, label=place.key)
        public = session.get_key(object_class=pkcs11.ObjectClass.PUBLIC_KEY, label=place.key)
        jwk = _jwk(public[pkcs11.Attribute.EC_PARAMS], public[pkcs11.Attribute.EC_POINT])
    certificate = certificates[0] if certificates else None
    key = TokenKey(place, jwk, spoken, certificate, issuers=certificates[1:])
    if certificate and public_jwk(certificate.public_key()) != jwk:
        raise key_error("other_certificate", file=certificate.subject.rfc4514_string(), private=place.key)
    return key


@contextmanager
def _session(place: Place, pin: str) -> Iterator[Any]:
    """A session on the token, closed after use. What the token says against it becomes a KeyFileError."""
    try:
        import pkcs11  # noqa: PLC0415 - an optional library
    except ImportError:
        raise key_error("no_pkcs11") from None
    try:
        with pkcs11.lib(place.module).get_token(token_label=place.token).open(user_pin=pin) as session:
            yield session
    except (pkcs11.PKCS11Error, RuntimeError, KeyError) as error:
        raise _error(place, error) from None


def _pairs(text: str, separator: str) -> dict[str, str]:
    pairs = [one.partition("=") for one in text.split(separator)]
    return {name: unquote(value) for name, _, value in pairs if value}


# The OID of P-256 in DER (RFC 5480 section 2.1.1.1), and what stands before an uncompressed point in
# EC_POINT: an OCTET STRING of 65 bytes (PKCS #11 2.40, section 2.3.3).
_P256 = bytes.fromhex("06082a8648ce3d030107")
_OCTETS = bytes.fromhex("0441")


def _jwk(parameters: bytes, point: bytes) -> Jwk:
    if bytes(parameters) != _P256:
        raise key_error("wrong_kind", kind="PKCS #11")
    raw = bytes(point).removeprefix(_OCTETS)
    try:
        return public_jwk(ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), raw))
    except ValueError:
        raise key_error("wrong_kind", kind="PKCS #11") from None


# What the library calls it -> the words for it.
_WORDS = {
    "NoSuchToken": "token_absent",
    "TokenNotPresent": "token_absent",
    "MultipleTokensReturned": "token_several",
    "NoSuchKey": "token_no_key",
    "MultipleObjectsReturned": "token_several_keys",
    "PinIncorrect": "token_pin",
    "PinInvalid": "token_pin",
    "PinLenRange": "token_pin",
    "PinLocked": "token_locked",
    "PKCS11Error": "token_module",  # the bare class: the module could not be loaded
}


def _error(place: Place, error: Exception) -> KeyFileError:
    name = type(error).__name__
    why = str(error) or name
    return key_error(
        _WORDS.get(name, "token"), why=why, token=place.token, key=place.key, module=place.module
    )
