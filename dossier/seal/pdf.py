"""The signature of a dossier's PDF: PAdES baseline B over the whole file, put into its blank slot.

Not done here: reading the file's structure (`container` gives the signature dictionary and the digest of
what it covers), whom to trust (the record says whose key it is). Nothing outside the slot is touched, so
that the file stays one revision.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import os
import re
from collections.abc import Callable, Collection, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature, encode_dss_signature
from cryptography.hazmat.primitives.serialization import Encoding

from dossier.durable import flush
from dossier.errors import KeyFileError, NotCanonicalError, OutputError
from dossier.model import signature_slot
from dossier.model.container import SignatureInfo
from dossier.model.result import Check, Verdict
from dossier.seal import algorithms
from dossier.seal.keys import Signer, public_jwk
from dossier.words import Catalogue

if TYPE_CHECKING:
    from _hashlib import HASH

    from dossier.seal import cms

WORDS = Catalogue()
CHUNK = 1 << 20
_STARTXREF = re.compile(rb"startxref\n([1-9]\d{0,9})\n%%EOF\n")


def sign_pdf(
    path: Path,
    key: Signer,
    *,
    when: dt.datetime,
    reason: str = "",
    name: str = "",
    stamp: Callable[[bytes], bytes] | None = None,
    before: HASH | None = None,
) -> None:
    """Sign the finished file at `path`, whose slot is blank, in place and flush it.

    `before`: the SHA-256 of what stands before the slot, from whoever just wrote it; else it is read.
    `stamp` gives a time-stamp token over the signature's value, or nothing; one for which there is no room is
    left out. Raises KeyFileError for a key other than P-256 or without a certificate of its own, OutputError
    when the file has no blank slot or the texts do not fit it.
    """
    certificate = _certificate(key)
    with path.open("r+b") as file:
        slot_at, size = _find_blank(file)
        covered = signature_slot.byte_range(slot_at, size)
        said = signature_slot.entries(when, name, reason)
        _put(file, slot_at, _filled(covered, said))
        contents = _cms(key, certificate, _digest(file, covered, slot_at, before), stamp)
        _put(file, slot_at, _filled(covered, said, contents))
        flush(file)


def check_pdf_signature(
    signature: SignatureInfo | None,
    digest: bytes,
    record_keys: Collection[Mapping[str, str]],
    *,
    of_all: bool = True,
) -> Check:
    """Whether the signature holds for `digest` (SHA-256 of the signed stretches) and is by a record's key.

    `record_keys`: the public JWKs whose signatures on the record were found to hold. `of_all`: whether the
    stretches are the whole file, as the container found. What a time-stamp inside is worth is check 9's
    (`time_stamp`). Trust is not looked at: who holds the key is the record's
    matter, and the certificate only carries it.
    """
    if signature is None:
        return _answer("does not match", "pdf-signature-absent")
    from dossier.seal import cms  # noqa: PLC0415 - 40 ms for asn1crypto, only where there is a signature

    try:
        parts = cms.take_apart(cms.unpadded(signature.contents))
    except cms.PaddingError:
        return _answer("does not match", "pdf-signature-padding")
    except NotCanonicalError:
        return _answer("does not match", "pdf-signature-not-canonical")
    fault = _fault(parts, digest, record_keys)
    if fault or not of_all:
        return _answer("does not match", fault or "pdf-signature-of-part")
    return _answer("matches", "pdf-signature-matches")


def time_stamp(signature: SignatureInfo | None) -> tuple[bytes, bytes] | None:
    """The time-stamp token in a signature that was found to hold, and what it is over: the signature's value.

    None where there is none. The token is the time-stamps' to check (`seal.stamp`).
    """
    if signature is None:
        return None
    from dossier.seal import cms  # noqa: PLC0415 - see check_pdf_signature

    parts = cms.take_apart(cms.unpadded(signature.contents))
    return None if parts.token is None else (parts.token, parts.signature)


def _fault(parts: cms.Parts, digest: bytes, record_keys: Collection[Mapping[str, str]]) -> str:
    """The code of the first thing that is off, or "" when nothing is."""
    from dossier.seal import cms  # noqa: PLC0415 - see check_pdf_signature

    if parts.digest != digest:
        return "pdf-signature-digest"
    if cms.certificate_digest(parts.certificate) != parts.certificate_digest:
        return "pdf-signature-certificate"
    signed = cms.signed_attributes(parts.digest, parts.certificate_digest)
    return _fault_of_key(parts, signed, {key.get("kid") for key in record_keys})


def _fault_of_key(parts: cms.Parts, signed: bytes, kids: Collection[str | None]) -> str:
    public = _public_key(parts.certificate)
    if public is None:
        return "pdf-signature-algorithm"
    if not _holds(public, parts.signature, signed):
        return "pdf-signature-wrong"
    return "" if public_jwk(public)["kid"] in kids else "pdf-signature-other-key"


def _certificate(key: Signer) -> x509.Certificate:
    if key.alg != "ES256":
        hint = WORDS.say("seal_pdf.sign.algorithm_hint")
        raise KeyFileError(WORDS.say("seal_pdf.sign.algorithm"), hint=hint)
    if key.certificate is None:
        raise KeyFileError(WORDS.say("seal_pdf.sign.no_certificate"))
    if public_jwk(key.certificate.public_key()) != key.public:
        raise KeyFileError(WORDS.say("seal_pdf.sign.other_certificate"))
    return key.certificate


def _find_blank(file: BinaryIO) -> tuple[int, int]:
    """Where the blank slot starts and how long the file is. The slot stands right before the xref table."""
    size = file.seek(0, os.SEEK_END)
    file.seek(max(0, size - 64))
    last = file.read()
    found = _STARTXREF.fullmatch(last, max(0, last.rfind(b"startxref\n")))
    slot_at = int(found[1]) - signature_slot.LENGTH if found else -1
    if slot_at >= 0:
        file.seek(slot_at)
        if file.read(signature_slot.LENGTH) == signature_slot.blank():
            return slot_at, size
    raise OutputError(WORDS.say("seal_pdf.sign.no_slot"))


def _filled(covered: tuple[int, int, int, int], said: bytes, contents: bytes = b"") -> bytes:
    try:
        return signature_slot.filled(covered, said, contents)
    except ValueError as error:
        raise OutputError(WORDS.say("seal_pdf.sign.room", why=error)) from error


def _put(file: BinaryIO, at: int, content: bytes) -> None:
    file.seek(at)
    file.write(content)


def _digest(file: BinaryIO, covered: tuple[int, int, int, int], slot_at: int, before: HASH | None) -> bytes:
    known, digest = (slot_at, before.copy()) if before else (0, hashlib.sha256())
    for start, length in ((known, covered[1] - known), covered[2:]):
        file.seek(start)
        for at in range(0, length, CHUNK):
            digest.update(file.read(min(CHUNK, length - at)))
    return digest.digest()


def _cms(
    key: Signer, certificate: x509.Certificate, digest: bytes, stamp: Callable[[bytes], bytes] | None
) -> bytes:
    from dossier.seal import cms  # noqa: PLC0415 - see check_pdf_signature

    der = certificate.public_bytes(Encoding.DER)
    certificate_digest = cms.certificate_digest(der)
    raw = key.sign(cms.signed_attributes(digest, certificate_digest))
    signature = encode_dss_signature(int.from_bytes(raw[:32]), int.from_bytes(raw[32:]))
    parts = cms.Parts(der, digest, certificate_digest, signature)
    token = stamp(signature) if stamp else b""
    whole = cms.assemble(parts._replace(token=token)) if token else b""
    fits = 0 < len(whole) <= signature_slot.CONTENTS_BYTES
    return whole if fits else cms.assemble(parts)


def _public_key(certificate: bytes) -> ec.EllipticCurvePublicKey | None:
    try:
        public = x509.load_der_x509_certificate(certificate).public_key()
    except Exception:  # whatever a hostile certificate makes the library raise: its key is not ours
        return None
    is_p256 = isinstance(public, ec.EllipticCurvePublicKey) and isinstance(public.curve, ec.SECP256R1)
    return public if is_p256 and isinstance(public, ec.EllipticCurvePublicKey) else None


def _holds(public: ec.EllipticCurvePublicKey, signature: bytes, signed: bytes) -> bool:
    """ECDSA with SHA-256, DER exact, and the lower of the two equal forms of s."""
    try:
        r, s = decode_dss_signature(signature)
        raw = r.to_bytes(32) + s.to_bytes(32)
    except (ValueError, OverflowError):
        return False
    exact = encode_dss_signature(r, s) == signature and not algorithms.is_high_s(raw)
    return exact and algorithms.verifies("ES256", public, raw, signed)


def _answer(verdict: Verdict, code: str) -> Check:
    text = WORDS.say(f"seal_pdf.check.{code}")
    return Check(check="PDF signature", verdict=verdict, code=code, text=text)
