"""Whether a key's certificate chains to a root that the reader gave (RFC 5280 section 6).

The path is validated by the library `cryptography` (names, dates, constraints, signatures, path length); what
a workshop's certificate must be besides is said here. Not done here: revocation (`seal.revocation`).
Invariant: nothing that goes wrong escapes as an exception.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509 import verification
from cryptography.x509.oid import ExtendedKeyUsageOID
from cryptography.x509.verification import Criticality, ExtensionPolicy

from dossier.errors import KeyFileError
from dossier.seal.foreign import CERTIFICATE_ERRORS, is_issued_by
from dossier.seal.keys import DOCUMENT_SIGNING, NO_END, public_jwk

MOST = 8  # certificates in a file
LONGEST = 4  # certificates between leaf and root
_SIGNING_USES = (
    DOCUMENT_SIGNING,
    ExtendedKeyUsageOID.EMAIL_PROTECTION,  # what authorities put in before RFC 9336
    ExtendedKeyUsageOID.ANY_EXTENDED_KEY_USAGE,
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


def chains(
    certificates: Sequence[x509.Certificate], kid: str, roots: Sequence[x509.Certificate], when: dt.datetime
) -> bool:
    """Whether the first of `certificates`, of key `kid`, chains to one of `roots` at the time `when`."""
    return bool(path(certificates, kid, roots, when))


def path(
    certificates: Sequence[x509.Certificate], kid: str, roots: Sequence[x509.Certificate], when: dt.datetime
) -> Sequence[x509.Certificate]:
    """The certificates from the first of these, of key `kid`, to one of `roots`; none if there is no way."""
    if not certificates or not roots or kid_of(certificates[0]) != kid:
        return ()
    leaf, *others = certificates
    roots, others = _free(roots), _free(others)
    if not roots:
        return ()
    builder = verification.PolicyBuilder().store(verification.Store(roots))
    builder = builder.time(when.astimezone(dt.UTC).replace(tzinfo=None)).max_chain_depth(LONGEST)
    verifier = builder.extension_policies(ca_policy=_authority(), ee_policy=_signer()).build_client_verifier()
    try:
        return verifier.verify(leaf, others).chain
    except (verification.VerificationError, *CERTIFICATE_ERRORS):
        return ()


def _free(authorities: Sequence[x509.Certificate]) -> list[x509.Certificate]:
    """Those that may vouch for any name: the library asks no root which names it is for (4.2.1.10)."""
    return [one for one in authorities if not _is_constrained(one)]


def _is_constrained(authority: x509.Certificate) -> bool:
    try:
        return any(isinstance(one.value, x509.NameConstraints) for one in authority.extensions)
    except CERTIFICATE_ERRORS:
        return True


def _authority() -> ExtensionPolicy:
    """An authority: critical basic constraints and key usage, may sign certificates (RFC 5280, 4.2.1)."""
    return ExtensionPolicy.webpki_defaults_ca()


def _signer() -> ExtensionPolicy:
    """A certificate for signing documents; not an authority. Other extensions are the path's own matter."""
    return (
        ExtensionPolicy.permit_all()
        .require_present(x509.KeyUsage, Criticality.AGNOSTIC, _usage)
        .may_be_present(x509.BasicConstraints, Criticality.AGNOSTIC, _no_authority)
        .may_be_present(x509.ExtendedKeyUsage, Criticality.AGNOSTIC, _extended_usage)
    )


def _usage(_: verification.Policy, __: x509.Certificate, value: x509.KeyUsage) -> None:
    if not (value.digital_signature or value.content_commitment):
        raise ValueError("not for signatures")


def _no_authority(_: verification.Policy, __: x509.Certificate, value: x509.BasicConstraints | None) -> None:
    if value is not None and value.ca:
        raise ValueError("an authority's")


def _extended_usage(
    _: verification.Policy, __: x509.Certificate, value: x509.ExtendedKeyUsage | None
) -> None:
    if value is not None and not set(value) & set(_SIGNING_USES):
        raise ValueError("not for documents")


def kid_of(certificate: x509.Certificate) -> str:
    """The thumbprint of a certificate's key, "" of one that the format does not have."""
    try:
        return public_jwk(certificate.public_key())["kid"]
    except (KeyFileError, *CERTIFICATE_ERRORS):
        return ""
