"""What a PDF keeps beside a time-stamp put in later: certificates and lists, of those who signed in it.

The store is read by other programs, and nothing of it is shown: without this, any bytes could lie there below
a time-stamp that holds. Pure. Not done here: reading the store (`container.time_revisions`), what a list says
of a certificate (`revocation`). Invariants: nothing escapes as an exception; the work is bounded.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding

MOST_LISTS = 24
MOST_KEYS = 4  # of one issuer's name: each list is hashed for each


def is_bound(lists: Sequence[bytes], certificates: Collection[bytes], among: Collection[bytes]) -> bool:
    """Whether every certificate is one of `among`, and every list is of the issuer of one of them.

    All in DER, `among`: the certificates of the workshop's key and of the time-stamps in the PDF.
    """
    if len(lists) > MOST_LISTS or not set(certificates) <= set(among):
        return False
    return not lists or are_of_issuers(lists, among)


def are_of_issuers(lists: Iterable[bytes], certificates: Iterable[bytes]) -> bool:
    """Whether each is a list of revoked certificates (RFC 5280 section 5) by the issuer of one of these.

    It is signed by the issuer's key where the issuer's certificate is there too; a root's mostly is not.
    """
    try:
        loaded = [x509.load_der_x509_certificate(one) for one in certificates]
        return all(_is_of_issuer(one, loaded) for one in lists)
    except Exception:  # whatever a hostile list or certificate makes the library raise
        return False


def _is_of_issuer(der: bytes, certificates: Sequence[x509.Certificate]) -> bool:
    found = x509.load_der_x509_crl(der)
    own = {one.public_bytes(Encoding.DER): one for one in certificates if one.subject == found.issuer}
    keys = [one.public_key() for one in own.values()]
    if len(keys) > MOST_KEYS:
        return False
    named = any(one.issuer == found.issuer for one in certificates)
    signed = not keys or any(found.is_signature_valid(key) for key in keys)  # type: ignore[arg-type]  # others: TypeError
    return named and signed and found.public_bytes(Encoding.DER) == der
