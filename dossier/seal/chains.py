"""Whether a key's certificate chains to a root that the reader gave (RFC 5280 section 6).

The path is `seal.certificate_path`'s; what a workshop's certificate must be besides is said here. Not done
here: revocation (`seal.revocation`).
Invariant: nothing that goes wrong escapes as an exception.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import ExtendedKeyUsageOID

from dossier.errors import KeyFileError
from dossier.seal import certificate_path
from dossier.seal.certificate_path import Way
from dossier.seal.foreign import CERTIFICATE_ERRORS, is_issued_by
from dossier.seal.keys import DOCUMENT_SIGNING, NO_END, public_jwk

MOST = 8  # certificates in a file
_SIGNING_USES = (
    DOCUMENT_SIGNING,
    ExtendedKeyUsageOID.EMAIL_PROTECTION,  # what authorities put in before RFC 9336
)


def load_all(data: bytes) -> list[x509.Certificate]:
    """The certificates of a PEM file, none where they cannot be read or are too many."""
    try:
        found = x509.load_pem_x509_certificates(data)
    except CERTIFICATE_ERRORS:
        return []
    return found if len(found) <= MOST else []


def are_whole(data: bytes, certificates: Sequence[x509.Certificate]) -> bool:
    """Whether the PEM file `data` is these certificates and no more, each signed by its issuer if at hand.

    One without an end (RFC 5280 section 4.1.2.5) is a key's own, and signed by that key. The way up from
    the first comes by all: anything could stand in one that it does not lead to.
    """
    try:
        exact = b"".join(one.public_bytes(Encoding.PEM) for one in certificates)
        vouched = all(_is_vouched(one, certificates) for one in certificates)
        return data == exact and vouched and _are_led_to(certificates)
    except CERTIFICATE_ERRORS:
        return False


def _are_led_to(certificates: Sequence[x509.Certificate]) -> bool:
    """Whether the way up from the first comes by all the others."""
    return len(way_up(certificates)) == len(certificates)


def way_up(certificates: Sequence[x509.Certificate]) -> list[x509.Certificate]:
    """The first of these, and those of the others by which the way up from it comes."""
    reached, rest = list(certificates[:1]), list(certificates[1:])
    for lower in reached:  # grows while it is walked
        issuers = [one for one in rest if is_issued_by(lower, one)]
        reached += issuers
        rest = [one for one in rest if one not in issuers]
    return reached


def _is_vouched(one: x509.Certificate, among: Sequence[x509.Certificate]) -> bool:
    itself = one.not_valid_after_utc == NO_END
    issuers = [one] if itself else [other for other in among if other.subject == one.issuer]
    return not issuers or any(is_issued_by(one, by) for by in issuers)


def is_vouched(certificates: Sequence[x509.Certificate]) -> bool:
    """Whether the first of these is signed by its issuer, where that is at hand or is its own key."""
    try:
        return _is_vouched(certificates[0], certificates)
    except CERTIFICATE_ERRORS:
        return False


def is_root(certificate: x509.Certificate) -> bool:
    """Whether a certificate is an authority's, and so vouches for others and not for itself."""
    try:
        return certificate.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    except CERTIFICATE_ERRORS:
        return False


def way(
    certificates: Sequence[x509.Certificate], kid: str, roots: Sequence[x509.Certificate], when: dt.datetime
) -> Way:
    """The way from the first of these, of key `kid`, to one of `roots` at the time `when`.

    Without certificates of that key or without roots there is nothing to say of it.
    """
    if not certificates or not roots or kid_of(certificates[0]) != kid:
        return Way()
    leaf, *others = certificates
    if why := _fault(leaf, when):
        return Way(at=leaf, why=why)
    return certificate_path.find(leaf, others, roots, when, _SIGNING_USES)


def _fault(leaf: x509.Certificate, when: dt.datetime) -> str:
    """Why it is no certificate for signing documents at that time; "" where it is one."""
    try:
        if not certificate_path.is_valid_at(leaf, when):
            return "days"
        usage = [one.value for one in leaf.extensions if isinstance(one.value, x509.KeyUsage)]
        signs = all(one.digital_signature or one.content_commitment for one in usage)
        if is_root(leaf) or not signs or not certificate_path.is_for(leaf.extensions, _SIGNING_USES):
            return "use"
        return "" if certificate_path.are_understood(leaf) else "limits"
    except CERTIFICATE_ERRORS:
        return "limits"


def kid_of(certificate: x509.Certificate) -> str:
    """The thumbprint of a certificate's key, "" of one that the format does not have."""
    try:
        return public_jwk(certificate.public_key())["kid"]
    except (KeyFileError, *CERTIFICATE_ERRORS):
        return ""
