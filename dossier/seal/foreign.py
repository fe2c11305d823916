"""Certificates that anyone may have made: what the library `cryptography` raises for them, who issued one.

Its errors have no common root but Exception; these are the ones it documents, with one that it lets through,
and a boundary that reads certificates of others catches them all.
"""

from __future__ import annotations

from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes

CERTIFICATE_ERRORS = (
    ValueError,
    TypeError,
    KeyError,  # a TLS feature (RFC 7633) that it does not know, found when the extensions are asked for
    UnsupportedAlgorithm,
    x509.InvalidVersion,
    x509.DuplicateExtension,
    x509.ExtensionNotFound,
    x509.UnsupportedGeneralNameType,
)


def is_issued_by(lower: x509.Certificate, upper: x509.Certificate) -> bool:
    """Whether `lower` names `upper` as its issuer and `upper`'s key signed it."""
    try:
        lower.verify_directly_issued_by(upper)
    except Exception:  # whatever a hostile certificate makes the library raise: it is not issued by that one
        return False
    return True


def is_way_known(certificate: x509.Certificate) -> bool:
    """Whether a certificate is signed in a way that `is_issued_by` works out."""
    try:
        return not isinstance(certificate.signature_hash_algorithm, (hashes.SHA1, hashes.MD5))
    except Exception:  # as above: whatever it raises, it is not worked out
        return False


def name_of(name: x509.Name) -> str:
    """Whose name it is, for people: common name and organisation, else all of it."""
    names = {attribute.oid: str(attribute.value) for attribute in name}
    wanted = (x509.NameOID.COMMON_NAME, x509.NameOID.ORGANIZATION_NAME)
    said = dict.fromkeys(names[oid] for oid in wanted if names.get(oid))
    return ", ".join(said) or name.rfc4514_string()
