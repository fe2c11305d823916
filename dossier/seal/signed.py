"""Signed objects beside a record (key card, statement, receipt): written and read as strict bytes.

The general JWS JSON serialization (RFC 7515 section 7.2.1) as canonical JSON, with exactly `payload` and
`signatures`, each `protected` and `signature`. Not done here: what the payloads mean, whom to trust.
Invariants: what `read` accepts, `write` gives back byte for byte; a signature made for another `typ` fails.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from typing import Any, TypeVar

import msgspec

from dossier import canonical
from dossier.errors import NotCanonicalError, UnreadableError
from dossier.model.plain import from_plain, to_plain
from dossier.model.record import FORMAT_PATTERN, Signature
from dossier.model.statements import SignedForm
from dossier.seal import algorithms, base64url, signatures
from dossier.seal.algorithms import BadKeyError, Jwk, UnavailableError
from dossier.seal.keys import Signer
from dossier.seal.trial import is_trial

MAX_BYTES = 512 * 1024
MAX_MEMBERS = 8_000  # commas, and opening brackets and braces, in one of these and in its payload
MAX_SIGNATURES = 104  # a card: every key in use, and the recovery keys

T = TypeVar("T", bound=msgspec.Struct)


def sign(value: msgspec.Struct, signers: Sequence[Signer], typ: str) -> SignedForm:
    """`value` signed by each of `signers`, in their order, each once."""
    payload = canonical.encode(to_plain(value))
    once = {signer.kid: signer for signer in signers}
    return SignedForm(
        payload=payload, signatures=tuple(signatures.sign(payload, one, typ) for one in once.values())
    )


def write(form: SignedForm) -> bytes:
    """The file of a signed object."""
    return canonical.encode(to_members(form))


def read(data: bytes) -> SignedForm:
    """Read the file of a signed object. Raises NotCanonicalError or UnreadableError (`signed-shape`)."""
    return from_members(decode(data))


def decode(data: bytes, *, max_bytes: int = MAX_BYTES) -> Any:
    """Strict JSON of few members: what would take long to read is refused before. Raises UnreadableError."""
    if sum(map(data.count, (b",", b"[", b"{"))) > MAX_MEMBERS:
        raise _shape()
    return canonical.decode(data, max_bytes=max_bytes)


def to_members(form: SignedForm) -> dict[str, object]:
    """The members of a signed object, where it stands inside another file."""
    signed = [{"protected": one.protected, "signature": one.signature} for one in form.signatures]
    return {"payload": base64url.encode(form.payload), "signatures": signed}


def from_members(value: Any) -> SignedForm:
    """The signed object of its members. Raises NotCanonicalError or UnreadableError (`signed-shape`)."""
    if not isinstance(value, dict) or set(value) != {"payload", "signatures"}:
        raise _shape()
    signed = value["signatures"]
    if not isinstance(signed, list) or not 1 <= len(signed) <= MAX_SIGNATURES:
        raise _shape()
    payload = base64url.decode(_text(value["payload"]))
    if not isinstance(decode(payload), dict):
        raise _shape()
    return SignedForm(payload=payload, signatures=tuple(map(_signature, signed)))


def typ_of(form: SignedForm) -> str:
    """What the first signature says it was made for, "" where it says nothing that can be read."""
    return _header_text(form.signatures[0], "typ")


def kid_of(signature: Signature) -> str:
    """The key that a signature says it is by, "" where it says nothing that can be read."""
    return _header_text(signature, "kid")


def _header_text(signature: Signature, member: str) -> str:
    try:
        header = canonical.decode(base64url.decode(signature.protected))
    except NotCanonicalError:
        return ""
    text = header.get(member) if isinstance(header, dict) else ""
    return text if isinstance(text, str) else ""


def value_of(kind: type[T], form: SignedForm) -> T:
    """The payload as a value. Raises UnreadableError (`signed-shape`) where it lacks what it must have."""
    try:
        plain = canonical.decode(form.payload)
        version = plain.get("format")
        value = from_plain(kind, plain)
    except ValueError:
        raise _shape() from None
    if not isinstance(version, str) or not re.fullmatch(FORMAT_PATTERN, version):
        raise UnreadableError("", code="format-unknown")
    return value


def faults(form: SignedForm, keys: Sequence[Jwk], typ: str) -> tuple[str, ...]:
    """Codes of what does not match: each of `keys` must have signed, nobody else may, and all must hold."""
    checked = signatures.check(form.payload, form.signatures, keys, (), typ)
    return tuple(dict.fromkeys(problem.code for problem in checked.problems))


def is_key(key: Jwk) -> bool:
    """Whether this is a public key of the format that goes by its own name, and not a trial key."""
    try:
        algorithms.load_public(key)
        return algorithms.thumbprint(key) == key["kid"] and not is_trial(key["kid"])
    except (BadKeyError, UnavailableError):
        return False


def digest(form: SignedForm) -> str:
    """SHA-256 of the payload's bytes, in hex."""
    return hashlib.sha256(form.payload).hexdigest()


def _shape() -> UnreadableError:
    return UnreadableError("", code="signed-shape")


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise _shape()
    return value


def _signature(value: Any) -> Signature:
    if not isinstance(value, dict) or set(value) != {"protected", "signature"}:
        raise _shape()
    for text in value.values():
        base64url.decode(_text(text))
    return Signature(protected=value["protected"], signature=value["signature"])
