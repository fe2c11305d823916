"""Signing a payload and checking its signatures, each by itself (RFC 7515 section 5.2).

Not done here: whom to trust (`seal.trust`), disclosures.
Invariants: the protected header is the closed set alg, kid, typ in canonical JSON; the key is one of the
payload's own, found by its thumbprint, never one that a header brings along; an unknown algorithm fails.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import msgspec

from dossier import canonical
from dossier.errors import NotCanonicalError
from dossier.model.record import TYP_RECORD, Signature
from dossier.seal import algorithms, base64url
from dossier.seal.algorithms import ALGORITHMS, BadKeyError, Jwk, UnavailableError
from dossier.seal.codes import Problem
from dossier.seal.keys import Signer

_HEADER = {"alg", "kid", "typ"}


class Signed(msgspec.Struct, frozen=True):
    """What came of checking the signatures: the keys whose signature holds, and what does not match."""

    kids: tuple[str, ...]
    problems: tuple[Problem, ...]

    @property
    def hold(self) -> bool:
        """Whether all that is there and all that is required could be checked and holds."""
        return bool(self.kids) and not self.problems


def sign(payload: bytes, signer: Signer, typ: str = TYP_RECORD) -> Signature:
    """One JWS signature over `payload`."""
    header = canonical.encode({"alg": signer.alg, "kid": signer.kid, "typ": typ})
    protected = base64url.encode(header)
    return Signature(
        protected=protected, signature=base64url.encode(signer.sign(_signing_input(protected, payload)))
    )


def check(
    payload: bytes,
    signatures: Sequence[Signature],
    keys: Sequence[Jwk],
    required: Sequence[str],
    typ: str = TYP_RECORD,
) -> Signed:
    """Check every signature over `payload`; all of `required` and of the payload's `keys` must have one.

    `typ`: the kind of object that the signatures must have been made for.
    """
    kids: list[str] = []
    problems: list[Problem] = []
    headers = [_header(signature) for signature in signatures]
    for number, (signature, header) in enumerate(zip(signatures, headers, strict=True), 1):
        code = next(_header_faults(header, typ), "") or _fault(payload, signature, header, keys, kids)
        if code:
            problems.append(Problem(code, f"signature {number}"))
        else:
            kids.append(header["kid"])
    problems += _absent(headers, keys, required)
    if typ == TYP_RECORD and not problems and kids != list(dict.fromkeys(key["kid"] for key in keys)):
        problems.append(Problem("signature-order"))
    return Signed(tuple(kids), tuple(problems))


def _absent(
    headers: Sequence[dict[str, Any]], keys: Sequence[Jwk], required: Sequence[str]
) -> Iterator[Problem]:
    """Algorithms that are called for and keys that are named, without a signature."""
    for name in required:
        if name not in [header.get("alg") for header in headers]:
            yield Problem("signature-missing", name)
    for number, key in enumerate(keys, 1):
        if key.get("kid") not in [header.get("kid") for header in headers]:
            yield Problem("key-unsigned", f"key {number}")


def _signing_input(protected: str, payload: bytes) -> bytes:
    return f"{protected}.{base64url.encode(payload)}".encode("ascii")


def _header(signature: Signature) -> dict[str, Any]:
    """The protected header, or an empty one where it is not canonical JSON with text members."""
    try:
        header = canonical.decode(base64url.decode(signature.protected))
    except NotCanonicalError:
        return {}
    if not isinstance(header, dict) or not all(isinstance(header.get(name, ""), str) for name in _HEADER):
        return {}
    return header


def _fault(
    payload: bytes, signature: Signature, header: dict[str, Any], keys: Sequence[Jwk], kids: Sequence[str]
) -> str:
    """The code of the first thing that does not match, "" where the signature holds."""
    if header["kid"] in kids:
        return "signature-twice"
    key = next((key for key in keys if key.get("kid") == header["kid"]), None)
    if key is None:
        return "key-unknown"
    try:
        public = algorithms.load_public(key)
    except BadKeyError:
        return "key-shape"
    except UnavailableError:
        return "algorithm-unavailable"
    return _signature_fault(payload, signature, header, key, public)


def _header_faults(header: dict[str, Any], typ: str) -> Iterator[str]:
    if not header:
        yield "header-shape"
    elif set(header) != _HEADER:
        yield "header-members"
    elif header["typ"] != typ:
        yield "header-typ"
    elif header["alg"] not in ALGORITHMS:
        yield "algorithm-unknown"


def _signature_fault(
    payload: bytes, signature: Signature, header: dict[str, Any], key: Jwk, public: Any
) -> str:
    name, raw = header["alg"], base64url.decode(signature.signature)
    if algorithms.thumbprint(key) != header["kid"]:
        return "key-thumbprint"
    if key["alg"] != name:
        return "algorithm-of-key"
    if len(raw) != ALGORITHMS[name].signature_bytes:
        return "signature-length"
    if name == "ES256" and algorithms.is_high_s(raw):
        return "signature-high-s"
    holds = algorithms.verifies(name, public, raw, _signing_input(signature.protected, payload))
    return "" if holds else "signature-wrong"
