"""Whether a time-stamp's authority is one the reader confirmed: a path from its certificate to one given.

The path is `seal.certificate_path`'s, at the time of the time-stamp. Not done here, and said in the result:
whether a certificate was withdrawn, since nothing is asked over a network.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import ExtendedKeyUsageOID

from dossier import ordinary
from dossier.errors import KeyFileError
from dossier.seal import certificate_path
from dossier.seal.foreign import CERTIFICATE_ERRORS
from dossier.seal.stamp import Stamped
from dossier.words import Catalogue

MOST_FILE = 1 << 20  # bytes of a file of certificates
_PURPOSES = {ExtendedKeyUsageOID.TIME_STAMPING}

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
    path = _path(stamped, tuple(authorities)) or [_loaded(stamped.certificates[0])]
    return min(one.not_valid_after_utc for one in path[:-1] or path)


def _path(stamped: Stamped, given: Authorities) -> Sequence[x509.Certificate]:
    """From the signer's certificate up to one that was given; none if there is no way.

    The signer's own may be the one that was given.
    """
    signer, *others = map(_loaded, stamped.certificates)
    if stamped.certificates[0] in given:
        return (signer,)
    if not certificate_path.are_understood(signer):
        return ()
    roots = [_loaded(one) for one in given]
    return certificate_path.find(signer, others, roots, stamped.time, _PURPOSES).certificates


def _loaded(der: bytes) -> x509.Certificate:
    return x509.load_der_x509_certificate(der)
