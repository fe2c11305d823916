"""The CMS inside a PDF signature (RFC 5652), in the one form this program makes: PAdES baseline B.

One SignedData, detached, SHA-256 and ECDSA P-256, one signer named by issuer and serial, one certificate;
signed attributes content-type, message-digest and signing-certificate-v2 (RFC 5035, ETSI EN 319 122-1 5.2.2),
no signing-time (EN 319 142-1 6.3: the time stands in the dictionary's /M). A time-stamp token (RFC 3161,
EN 319 122-1 5.3: over the signature's value) is the one unsigned attribute there may be;
`seal.stamp` checks it.

Not done here: what is signed, whose key it is. Invariant: `take_apart` gives parts only when putting them
together again gives the same bytes.
"""

from __future__ import annotations

import hashlib
import re
from typing import NamedTuple

# Imported by seal.pdf only where a signature is at hand. tsp: it registers signing-certificate-v2 with cms.
from asn1crypto import algos, cms, core, tsp, x509

from dossier.errors import NotCanonicalError

# What asn1crypto raises for bytes that are not what it was told to expect.
_NOT_OURS = (ValueError, TypeError, KeyError, IndexError, AttributeError, OverflowError, RecursionError)
_DIGITS = re.compile(rb"[0-9a-f]*")


class PaddingError(NotCanonicalError):
    """Something other than zeros after the signature."""


class Parts(NamedTuple):
    """What differs from one signature to the next."""

    certificate: bytes  # DER
    digest: bytes  # SHA-256 of the signed stretches
    certificate_digest: bytes  # SHA-256, as signing-certificate-v2 says it
    signature: bytes  # DER ECDSA-Sig-Value
    token: bytes | None = None  # DER time-stamp token


def signed_attributes(digest: bytes, certificate_digest: bytes) -> bytes:
    """The DER of the signed attributes, as they are signed (RFC 5652 5.4: with the SET OF tag)."""
    return bytes(_attributes(digest, certificate_digest).dump())


def assemble(parts: Parts) -> bytes:
    """The DER of the whole ContentInfo."""
    certificate = x509.Certificate.load(parts.certificate)
    signed = cms.SignedData(
        {
            "version": "v1",
            "digest_algorithms": [_sha256()],
            "encap_content_info": {"content_type": "data"},
            "certificates": [certificate],
            "signer_infos": [_signer(certificate, parts)],
        }
    )
    return bytes(cms.ContentInfo({"content_type": "signed_data", "content": signed}).dump())


def take_apart(der: bytes) -> Parts:
    """The parts of a ContentInfo. Raises NotCanonicalError when it is not exactly what `assemble` makes."""
    try:
        parts = _parts(cms.ContentInfo.load(der, strict=True))
        same = assemble(parts) == der
    except _NOT_OURS as error:
        raise NotCanonicalError(f"not a signature of the form the format has: {error}") from None
    if not same:
        raise NotCanonicalError("not a signature of the one form the format has")
    return parts


def unpadded(digits: bytes) -> bytes:
    """The DER at the start of a /Contents string, given as its digits; all after it must be zeros.

    Raises NotCanonicalError, or its kind PaddingError.
    """
    if not _DIGITS.fullmatch(digits) or len(digits) % 2:
        raise NotCanonicalError("not lower-case hexadecimal digits")
    whole = bytes.fromhex(digits.decode("ascii"))
    if whole[:2] != b"\x30\x82":  # a sequence of 256 to 65,535 bytes, as any real one is
        raise NotCanonicalError("not a DER sequence of the expected size")
    length = 4 + int.from_bytes(whole[2:4])
    if whole[length:].strip(b"\0"):
        raise PaddingError("bytes after the signature")
    return whole[:length]


def _sha256() -> cms.DigestAlgorithm:
    return cms.DigestAlgorithm({"algorithm": "sha256"})  # RFC 5754 2: parameters absent


def _attributes(digest: bytes, certificate_digest: bytes) -> cms.CMSAttributes:
    # RFC 5035 4: SHA-256 is the default, so it is left out
    signing = tsp.SigningCertificateV2({"certs": [tsp.ESSCertIDv2({"cert_hash": certificate_digest})]})
    return cms.CMSAttributes(
        [
            cms.CMSAttribute({"type": "content_type", "values": ["data"]}),
            cms.CMSAttribute({"type": "message_digest", "values": [digest]}),
            cms.CMSAttribute({"type": "signing_certificate_v2", "values": [signing]}),
        ]
    )


def _signer(certificate: x509.Certificate, parts: Parts) -> cms.SignerInfo:
    named = {"issuer": certificate.issuer, "serial_number": certificate.serial_number}
    fields = {
        "version": "v1",
        "sid": cms.SignerIdentifier("issuer_and_serial_number", named),
        "digest_algorithm": _sha256(),
        "signed_attrs": _attributes(parts.digest, parts.certificate_digest),
        "signature_algorithm": algos.SignedDigestAlgorithm({"algorithm": "sha256_ecdsa"}),
        "signature": parts.signature,
    }
    if parts.token is not None:
        token = cms.ContentInfo.load(parts.token)
        stamp = cms.CMSAttribute({"type": "signature_time_stamp_token", "values": [token]})
        fields["unsigned_attrs"] = cms.CMSAttributes([stamp])
    return cms.SignerInfo(fields)


def _parts(info: cms.ContentInfo) -> Parts:
    signed = info["content"]
    signer = signed["signer_infos"][0]
    attributes = {a["type"].native: a["values"][0] for a in signer["signed_attrs"]}
    unsigned = signer["unsigned_attrs"]
    has_token = not isinstance(unsigned, core.Void) and len(unsigned) > 0
    return Parts(
        certificate=bytes(signed["certificates"][0].chosen.dump()),
        digest=attributes["message_digest"].native,
        certificate_digest=attributes["signing_certificate_v2"]["certs"][0]["cert_hash"].native,
        signature=signer["signature"].native,
        token=bytes(unsigned[0]["values"][0].dump()) if has_token else None,
    )


def certificate_digest(certificate: bytes) -> bytes:
    """What signing-certificate-v2 says of a certificate's DER."""
    return hashlib.sha256(certificate).digest()
