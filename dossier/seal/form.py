"""The two forms of a sealed record, written and read as strict bytes (FORMAT.md section 4).

`record.json` is the JWS general JSON serialization (RFC 7515 section 7.2.1) with the disclosures in the
first signature's unprotected header (RFC 9901 section 8); `record.sd-jwt` is the compact form with one
signature (RFC 9901 section 4). Not done here: checking signatures, opening disclosures.
Invariant: what `from_*` accepts, `to_*` gives back byte for byte.
"""

from __future__ import annotations

import hashlib
from typing import Any

from dossier import canonical
from dossier.errors import NotCanonicalError
from dossier.model.record import Sealed, Signature
from dossier.seal import base64url
from dossier.seal.said import unreadable

MAX_SIGNATURES = 4
MAX_DISCLOSURES = 20_000


def to_json(sealed: Sealed) -> bytes:
    """The JWS JSON form, as canonical JSON."""
    signatures: list[dict[str, object]] = [_signature_members(one) for one in sealed.signatures]
    signatures[0]["header"] = {"disclosures": sealed.disclosures}
    return canonical.encode({"payload": base64url.encode(sealed.payload), "signatures": signatures})


def to_compact(sealed: Sealed) -> bytes:
    """The compact form `<header>.<payload>.<signature>~<disclosure>~...~` with the first signature."""
    first = sealed.signatures[0]
    jws = f"{first.protected}.{base64url.encode(sealed.payload)}.{first.signature}"
    return "~".join([jws, *sealed.disclosures, ""]).encode("ascii")


def to_stamp(sealed: Sealed) -> bytes:
    """What a time-stamp is over: payload, protected headers and signatures, without disclosures.

    So every copy of a record has the same time-stamp.
    """
    signatures = [_signature_members(one) for one in sealed.signatures]
    return canonical.encode({"payload": base64url.encode(sealed.payload), "signatures": signatures})


def to_archive(sealed: Sealed, stamp: bytes) -> bytes:
    """What an archive's evidence of a record is over: what its time-stamp is over, and that time-stamp.

    `stamp`: its `record.tsr`, b"" where it has none.
    """
    signatures = [_signature_members(one) for one in sealed.signatures]
    members = {"payload": base64url.encode(sealed.payload), "signatures": signatures}
    return canonical.encode(members | ({"stamp": stamp.hex()} if stamp else {}))


def payload_digest(sealed: Sealed) -> str:
    """SHA-256 of the payload's bytes, in hex: the record's own digest, whoever signed it."""
    return hashlib.sha256(sealed.payload).hexdigest()


def from_json(data: bytes) -> Sealed:
    """Read the JSON form. Raises NotCanonicalError or UnreadableError (`record-shape`)."""
    value = canonical.decode(data)
    if not isinstance(value, dict) or set(value) != {"payload", "signatures"}:
        raise unreadable("record-shape")
    signatures = value["signatures"]
    if not isinstance(signatures, list) or not 1 <= len(signatures) <= MAX_SIGNATURES:
        raise unreadable("record-shape")
    disclosures = _first_disclosures(signatures[0])
    read = tuple(_signature(one, first=n == 0) for n, one in enumerate(signatures))
    return Sealed(payload=_payload(value["payload"]), signatures=read, disclosures=disclosures)


def from_compact(data: bytes) -> Sealed:
    """Read the compact form. Raises NotCanonicalError or UnreadableError (`record-shape`)."""
    if len(data) > canonical.MAX_BYTES:
        raise NotCanonicalError(f"more than the {canonical.MAX_BYTES} bytes allowed")
    try:
        jws, *disclosures, end = data.decode("ascii").split("~")
    except ValueError:  # bytes that are not ASCII, or no "~"
        raise unreadable("record-shape") from None
    parts = jws.split(".")
    if end or len(parts) != 3 or len(disclosures) > MAX_DISCLOSURES:
        raise unreadable("record-shape")
    signature = _signature({"protected": parts[0], "signature": parts[2]}, first=False)
    return Sealed(
        payload=_payload(parts[1]), signatures=(signature,), disclosures=_all_base64url(disclosures)
    )


def _signature_members(signature: Signature) -> dict[str, object]:
    return {"protected": signature.protected, "signature": signature.signature}


def _first_disclosures(signature: Any) -> tuple[str, ...]:
    header = signature.get("header") if isinstance(signature, dict) else None
    if not isinstance(header, dict) or set(header) != {"disclosures"}:
        raise unreadable("record-shape")
    disclosures = header["disclosures"]
    if not isinstance(disclosures, list) or len(disclosures) > MAX_DISCLOSURES:
        raise unreadable("record-shape")
    return _all_base64url(disclosures)


def _all_base64url(texts: list[Any]) -> tuple[str, ...]:
    if all(isinstance(text, str) for text in texts) and base64url.are_plain(texts):
        return tuple(texts)
    return tuple(map(_base64url, texts))


def _signature(value: Any, *, first: bool) -> Signature:
    expected = {"protected", "signature", "header"} if first else {"protected", "signature"}
    if not isinstance(value, dict) or set(value) != expected:
        raise unreadable("record-shape")
    return Signature(protected=_base64url(value["protected"]), signature=_base64url(value["signature"]))


def _base64url(value: Any) -> str:
    if not isinstance(value, str):
        raise unreadable("record-shape")
    base64url.decode(value)
    return value


def _payload(value: Any) -> bytes:
    if not isinstance(value, str):
        raise unreadable("record-shape")
    payload = canonical.read(base64url.decode(value))
    if not isinstance(payload.value, dict):
        raise unreadable("record-shape")
    payload.text = value
    return payload
