"""What a PDF keeps beside a time-stamp put in later: certificates and lists, of those who signed in it.

The store is read by other programs, and nothing of it is shown: without this, any bytes could lie there below
a time-stamp that holds. Pure. Not done here: reading the store (`container.time_revisions`), what a list says
of a certificate (`revocation`). Invariants: nothing escapes as an exception; the work is bounded.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding

from dossier.seal.foreign import is_issued_by

MOST_LISTS = 72  # eight for each of the places that a PDF may have
MOST_KEYS = 12  # of one issuer's name, as of an authority that changes its key every few years
MOST_BITS = 8192  # of an issuer's key: RSA of twice as many takes up to ten milliseconds each time
MOST_HASHED = 256 << 20  # bytes: each list is hashed for each key of its issuer's name
_Above = dict[x509.Name, list[list[x509.Certificate]]]  # by a name, of each certificate that it issued


def fault(lists: Sequence[bytes], certificates: Collection[bytes], among: Collection[bytes]) -> str:
    """Nothing where every certificate is one of `among`, and every list is of the issuer of one of them.

    Else what it is: "others", or "many" where it is more than is looked at. All in DER, `among`: the
    certificates of the workshop's key and of the time-stamps in the PDF.
    """
    if not set(certificates) <= set(among):
        return "others"
    if not lists:
        return ""
    if are_beyond(lists, among):
        return "many"
    return "" if are_of_issuers(lists, among) else "others"


def are_beyond(lists: Sequence[bytes], certificates: Collection[bytes]) -> bool:
    """Whether these are more lists, more certificates of one name, or larger keys than are tried."""
    try:
        loaded = [x509.load_der_x509_certificate(one) for one in certificates]
        most = max(Counter(one.subject for one in loaded).values(), default=0)
    except Exception:  # whatever a hostile certificate makes the library raise: that is found elsewhere
        return False
    many = len(lists) > MOST_LISTS or most > MOST_KEYS or most * sum(map(len, lists)) > MOST_HASHED
    return many or max(map(_bits, loaded), default=0) > MOST_BITS


def _bits(certificate: x509.Certificate) -> int:
    """The length of its key; 0 of one that has none, or that the library does not know."""
    try:
        return int(getattr(certificate.public_key(), "key_size", 0))
    except Exception:  # whatever a hostile key makes the library raise: nothing is tried with it
        return 0


def are_of_issuers(lists: Iterable[bytes], certificates: Iterable[bytes]) -> bool:
    """Whether each is a list of revoked certificates (RFC 5280 section 5) by the issuer of one of these.

    It is signed by that issuer's key where the issuer's certificate is there too; a root's mostly is not. One
    of the same name that did not sign the lower one, as after a change of key, is not the issuer's.
    """
    try:
        loaded = [x509.load_der_x509_certificate(one) for one in certificates]
        above: _Above = {}
        return all(_is_of_issuer(one, loaded, above) for one in lists)
    except Exception:  # whatever a hostile list or certificate makes the library raise
        return False


def _is_of_issuer(der: bytes, certificates: Sequence[x509.Certificate], above: _Above) -> bool:
    found = x509.load_der_x509_crl(der)
    name = found.issuer
    if name not in above:
        above[name] = _issuers(name, certificates)
    issuers = {one for some in above[name] for one in some}
    keys = [one.public_key() for one in issuers]
    signed = not all(above[name]) or any(found.is_signature_valid(key) for key in keys)  # type: ignore[arg-type]  # others: TypeError
    return bool(above[name]) and signed and found.public_bytes(Encoding.DER) == der


def _issuers(name: x509.Name, certificates: Sequence[x509.Certificate]) -> list[list[x509.Certificate]]:
    """Of each certificate by an issuer of this name the issuer's own, as far as they are there."""
    own = {one for one in certificates if one.subject == name}
    return [
        [one for one in own if is_issued_by(lower, one)] for lower in certificates if lower.issuer == name
    ]
