"""Whether a certificate of a path was called back, by lists that the reader gave (RFC 5280 section 6.3).

Nothing is fetched. A list counts where it is by the issuer's own key, is of today, and speaks of the
certificate: indirect lists and lists by another key of the issuer are set aside, and a list of changes can
say "revoked" alone; the answer is then "not known" and never "not revoked". Not done here: the path itself
(`seal.chains`), what follows for a signature (`seal.trust`). Invariants: an entry that stands counts also in
a list that has run out; nothing that goes wrong with a list escapes as an exception.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Literal, NamedTuple, TypeVar

from cryptography import x509
from cryptography.hazmat.primitives import hashes

from dossier import ordinary
from dossier.seal.foreign import CERTIFICATE_ERRORS
from dossier.seal.said import key_error

MAX_BYTES = 8 << 20  # of a file of lists
_PEM = b"-----BEGIN X509 CRL-----"
_END = b"-----END X509 CRL-----"
_STRONG = (hashes.SHA256, hashes.SHA384, hashes.SHA512)
_KNOWN = (
    x509.IssuingDistributionPoint,
    x509.DeltaCRLIndicator,
)  # critical extensions of a list that are acted on here
_KNOWN_OF_ENTRY = (x509.CRLReason, x509.InvalidityDate)

T = TypeVar("T", bound=x509.ExtensionType)
List = x509.CertificateRevocationList
Lists = tuple[List, ...]


class Found(NamedTuple):
    """What lists say of a path. `day`: where revoked, from when on; else the day of the oldest list used."""

    state: Literal["revoked", "not revoked", "not known"]
    day: dt.date | None = None


UNKNOWN = Found("not known")


def from_file(path: Path) -> Lists:
    """The lists in a file, PEM or DER. Raises KeyFileError."""
    try:
        data = ordinary.read(path, MAX_BYTES + 1)
    except OSError as error:
        raise key_error("cannot_read", file=path, reason=error.strerror) from None
    try:
        found = tuple(map(_dated, _parsed(data))) if len(data) <= MAX_BYTES else ()
    except CERTIFICATE_ERRORS:
        found = ()
    if not found:
        raise key_error("no_list", file=path)
    return found


def _dated(one: List) -> List:
    """The list, whose days can be read: what a day cannot be is found only when it is asked for."""
    _ = one.last_update_utc, one.next_update_utc
    return one


def status(path: Sequence[x509.Certificate], lists: Sequence[List], today: dt.date) -> Found:
    """Of every certificate of `path`, from the signer's to the one below the root."""
    found = [_of(one, issuer, lists, today) for one, issuer in pairwise(path)]
    days = [one.day for one in found if one.day]
    if any(one.state == "revoked" for one in found):
        return Found("revoked", min(one.day for one in found if one.state == "revoked" and one.day))
    return Found("not revoked", min(days)) if days and UNKNOWN not in found else UNKNOWN


def _parsed(data: bytes) -> Iterable[List]:
    if _PEM not in data:
        return [x509.load_der_x509_crl(data)]
    parts = data.split(_PEM)[1:]
    return [x509.load_pem_x509_crl(_PEM + part.partition(_END)[0] + _END + b"\n") for part in parts]


def _of(one: x509.Certificate, issuer: x509.Certificate, lists: Sequence[List], today: dt.date) -> Found:
    usable = [some for some in lists if _may_be_used(some, one, issuer)]
    days = [day for some in usable if (day := _revoked_on(some, one))]
    if days:
        return Found("revoked", min(days))
    current = [some for some in usable if _is_whole(some) and _is_current(some, one, today)]
    if not current:
        return UNKNOWN
    return Found("not revoked", max(some.last_update_utc for some in current).date())


def _may_be_used(some: List, one: x509.Certificate, issuer: x509.Certificate) -> bool:
    """Whether a list is the issuer's own, by the key that issued the certificate, and speaks of it."""
    try:
        return (
            one.serial_number >= 0  # the library asks for no others, and RFC 5280 has none
            and some.issuer == one.issuer == issuer.subject
            and _signs_lists(issuer)
            and isinstance(some.signature_hash_algorithm, (*_STRONG, type(None)))
            and some.is_signature_valid(issuer.public_key())  # type: ignore[arg-type]  # others: TypeError
            and _is_understood(some)
            and _speaks_of(some, one)
        )
    except CERTIFICATE_ERRORS:
        return False


def _signs_lists(issuer: x509.Certificate) -> bool:
    """Section 6.3.3 (f): where a key usage is said, it allows to sign lists."""
    usage = _extension(issuer.extensions, x509.KeyUsage)
    return usage is None or usage.crl_sign


def _is_understood(some: List) -> bool:
    """Section 5.2 and 5.3: a list with something critical that is not known MUST NOT be used."""
    return all(isinstance(one.value, _KNOWN) for one in some.extensions if one.critical) and all(
        isinstance(one.value, _KNOWN_OF_ENTRY) for entry in some for one in entry.extensions if one.critical
    )


def _speaks_of(some: List, one: x509.Certificate) -> bool:
    """Section 6.3.3 (b): whether the certificate is within the scope of the list."""
    scope = _extension(some.extensions, x509.IssuingDistributionPoint)
    if scope is None:
        return True
    limits = _extension(one.extensions, x509.BasicConstraints)
    authority = limits is not None and limits.ca
    kinds = (scope.only_contains_user_certs and authority) or (scope.only_contains_ca_certs and not authority)
    if scope.indirect_crl or scope.only_contains_attribute_certs or kinds or scope.relative_name:
        return False
    return scope.full_name is None or bool(set(scope.full_name) & set(_points(one)))


def _points(one: x509.Certificate) -> list[x509.GeneralName]:
    """Where a certificate says that lists about it are, as its issuer's own."""
    points = _extension(one.extensions, x509.CRLDistributionPoints) or ()
    return [name for point in points if point.full_name and not point.crl_issuer for name in point.full_name]


def _is_whole(some: List) -> bool:
    """Whether it is of all reasons and no list of changes: others can say "revoked", never "not revoked"."""
    scope = _extension(some.extensions, x509.IssuingDistributionPoint)
    changes = _extension(some.extensions, x509.DeltaCRLIndicator)
    return changes is None and (scope is None or scope.only_some_reasons is None)


def _is_current(some: List, one: x509.Certificate, today: dt.date) -> bool:
    """A list of today; one from after the certificate ran out need not name it any more (section 3.3)."""
    last, after = some.last_update_utc, some.next_update_utc
    return after is not None and last.date() <= today <= after.date() and last <= one.not_valid_after_utc


def _revoked_on(some: List, one: x509.Certificate) -> dt.date | None:
    """The day from which on it is revoked: the earlier of the day said and the day of invalidity."""
    entry = some.get_revoked_certificate_by_serial_number(one.serial_number)
    reason = _extension(entry.extensions, x509.CRLReason) if entry else None
    if entry is None or (reason and reason.reason is x509.ReasonFlags.remove_from_crl):
        return None
    invalid = _extension(entry.extensions, x509.InvalidityDate)
    days = [entry.revocation_date_utc, *([invalid.invalidity_date_utc] if invalid else [])]
    return min(days).date()


def _extension(extensions: x509.Extensions, kind: type[T]) -> T | None:
    try:
        return extensions.get_extension_for_class(kind).value
    except x509.ExtensionNotFound:
        return None
