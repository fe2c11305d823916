"""Whether a time-stamp's authority is one the reader confirmed: a path from its certificate to one given.

RFC 5280 section 6.1 as far as a path of certificates at hand goes: names, signatures, validity at the time of
the time-stamp, basic constraints, key usage. Not done here, and said in the result: whether a certificate was
withdrawn, since nothing is asked over a network. What a certificate calls critical and is not looked at here
ends the path.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import ExtendedKeyUsageOID, ExtensionOID

from dossier import ordinary
from dossier.errors import KeyFileError
from dossier.seal.foreign import CERTIFICATE_ERRORS
from dossier.seal.stamp import Stamped
from dossier.seal.stamp_algorithms import is_strong
from dossier.seal.stamp_token import is_issued_by
from dossier.words import Catalogue

MOST_FILE = 1 << 20  # bytes of a file of certificates
_LOOKED_AT = {
    ExtensionOID.BASIC_CONSTRAINTS,
    ExtensionOID.KEY_USAGE,
    ExtensionOID.EXTENDED_KEY_USAGE,
    ExtensionOID.CERTIFICATE_POLICIES,
}
_PURPOSES = {ExtendedKeyUsageOID.TIME_STAMPING, ExtendedKeyUsageOID.ANY_EXTENDED_KEY_USAGE}

Authorities = tuple[bytes, ...]  # certificates (DER) that the reader confirmed


def from_file(path: Path) -> Authorities:
    """The certificates in a file, PEM (several) or DER. Raises KeyFileError."""
    words = Catalogue()
    try:
        data = ordinary.read(path, MOST_FILE)
        some = (
            x509.load_pem_x509_certificates(data)
            if b"-----BEGIN" in data
            else [x509.load_der_x509_certificate(data)]
        )
    except (OSError, *CERTIFICATE_ERRORS) as error:
        raise KeyFileError(
            words.say("stamp.authority.unreadable", file=path), hint=words.say("stamp.authority.hint")
        ) from error
    return tuple(one.public_bytes(Encoding.DER) for one in some)


def is_confirmed(stamped: Stamped, authorities: Iterable[bytes]) -> bool:
    """Whether the authority is one of those given, or one that they vouch for."""
    return bool(_path(stamped, tuple(authorities)))


def end(stamped: Stamped, authorities: Iterable[bytes]) -> dt.datetime:
    """When the first of the certificates runs out that lead to one of those given; the signer's own without.

    An issuer's counts too: whoever has its key could make another signer's. The one given does not.
    """
    path = _path(stamped, tuple(authorities)) or stamped.certificates[:1]
    return min(x509.load_der_x509_certificate(one).not_valid_after_utc for one in path)


def _path(stamped: Stamped, given: Authorities) -> tuple[bytes, ...]:
    """From the signer's certificate up to one that was given or vouched for by one; none if there is no way.

    Any step may end at a certificate that was given.
    """
    chain = stamped.certificates
    if chain[0] in given:
        return chain[:1]
    if not _is_understood(chain[0]):
        return ()
    for depth, lower in enumerate(chain):
        if any(is_issued_by(lower, one) and _may_issue(one, depth, None) for one in given):
            return chain[: depth + 1]
        above = chain[depth + 1 :]
        if not above or not is_issued_by(lower, above[0]) or not _may_issue(above[0], depth, stamped.time):
            break
    return ()


def _is_understood(der: bytes) -> bool:
    """Whether nothing in a signer's certificate is critical that is not looked at (RFC 5280 section 4.2)."""
    try:
        found = x509.load_der_x509_certificate(der).extensions
    except CERTIFICATE_ERRORS:
        return False
    return all(one.oid in _LOOKED_AT or not one.critical for one in found)


def _may_issue(der: bytes, below: int, when: dt.datetime | None) -> bool:
    """Whether a certificate may issue others, with `below` issuers under it; `when` for those not given."""
    try:
        certificate = x509.load_der_x509_certificate(der)
        extensions = certificate.extensions
        constraints = extensions.get_extension_for_class(x509.BasicConstraints).value
        strong = is_strong(certificate.public_key())  # else others can have made a signer's
    except CERTIFICATE_ERRORS:
        return False
    if when and not certificate.not_valid_before_utc <= when <= certificate.not_valid_after_utc:
        return False
    too_far = constraints.path_length is not None and constraints.path_length < below
    if not strong or not constraints.ca or too_far:
        return False
    return all(_allows(one) for one in extensions)


def _allows(extension: x509.Extension[x509.ExtensionType]) -> bool:
    value = extension.value
    if isinstance(value, x509.KeyUsage):
        return value.key_cert_sign
    if isinstance(value, x509.ExtendedKeyUsage):
        return bool(_PURPOSES & set(value))
    if isinstance(value, x509.NameConstraints):
        return False  # not worked out here, and whoever forgot to call them critical meant them all the same
    return not extension.critical or extension.oid in _LOOKED_AT
