"""The way from a certificate up to one that the reader gave, and where it breaks off (RFC 5280 section 6.1).

As far as certificates at hand go: names, signatures, days, basic constraints, key usage, extended key usage.
What one calls critical and is not looked at here ends the way, and so do name constraints, critical or not.
Of what the reader gave the days are not asked (section 6.1.1 d): it is trusted as a key. Not done here: what
the first certificate must be, revocation (`seal.revocation`). Invariants: no more work than each pair of
certificates once; nothing that is wrong with one escapes as an exception.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from typing import NamedTuple

from cryptography import x509
from cryptography.x509.oid import ExtendedKeyUsageOID, ExtensionOID, ObjectIdentifier

from dossier.seal.foreign import CERTIFICATE_ERRORS, is_issued_by
from dossier.seal.stamp_algorithms import is_strong

_LOOKED_AT = {
    ExtensionOID.BASIC_CONSTRAINTS,
    ExtensionOID.KEY_USAGE,
    ExtensionOID.EXTENDED_KEY_USAGE,
    ExtensionOID.CERTIFICATE_POLICIES,
    ExtensionOID.SUBJECT_ALTERNATIVE_NAME,
}

Purposes = Collection[ObjectIdentifier]  # of extended key usage, beside "any"


class Way(NamedTuple):
    """`certificates`: from the first to one that was given. Without: at which it breaks off, and why.

    `why`: issuer (none of its issuer's is at hand), unproved (those there did not sign it, or in a way that
    is not checked), days, authority, use, limits, key.
    """

    certificates: tuple[x509.Certificate, ...] = ()
    at: x509.Certificate | None = None
    why: str = ""


def find(
    first: x509.Certificate,
    others: Sequence[x509.Certificate],
    given: Sequence[x509.Certificate],
    when: dt.datetime,
    purposes: Purposes,
) -> Way:
    """The shortest way from `first`, over `others` that were valid at `when`, to one of those given."""
    reached: list[tuple[x509.Certificate, ...]] = [(first,)]
    rest, end = list(others), Way()
    for way in reached:  # grows while it is walked
        issuers = [one for one in (*given, *rest) if is_issued_by(way[-1], one)]
        for one in issuers:
            why = _fault(one, len(way) - 1, None if one in given else when, purposes)
            if why:
                end = Way(at=one, why=why)
            elif one in given:
                return Way((*way, one))
            else:
                reached.append((*way, one))
        if not issuers:
            named = any(_is_named(way[-1], one) for one in (*given, *rest))
            end = Way(at=way[-1], why="unproved" if named else "issuer")
        rest = [one for one in rest if one not in issuers]
    return end


def are_understood(certificate: x509.Certificate) -> bool:
    """Whether nothing in it is critical that is not looked at (section 4.2)."""
    try:
        return all(one.oid in _LOOKED_AT or not one.critical for one in certificate.extensions)
    except CERTIFICATE_ERRORS:
        return False


def is_valid_at(certificate: x509.Certificate, when: dt.datetime) -> bool:
    """Whether `when` is within its days."""
    return certificate.not_valid_before_utc <= when <= certificate.not_valid_after_utc


def _is_named(lower: x509.Certificate, upper: x509.Certificate) -> bool:
    """Whether `lower` names `upper`, and not itself, as its issuer."""
    try:
        return upper.subject == lower.issuer != lower.subject
    except CERTIFICATE_ERRORS:
        return False


def _fault(one: x509.Certificate, below: int, when: dt.datetime | None, purposes: Purposes) -> str:
    """Why it may not issue others, with `below` issuers under it; "" where it may."""
    try:
        if when and not is_valid_at(one, when):
            return "days"
        if not _is_authority(one.extensions, below):
            return "authority"
        if not is_for(one.extensions, purposes):
            return "use"
        if not is_strong(one.public_key()):  # else others can have made what it issued
            return "key"
        return "limits" if _has_limits(one.extensions) or not are_understood(one) else ""
    except CERTIFICATE_ERRORS:
        return "limits"


def _is_authority(extensions: x509.Extensions, below: int) -> bool:
    """Section 6.1.4 k to n: a key usage need not be there, and where it is it says so."""
    found = {type(one.value): one.value for one in extensions}
    constraints, usage = found.get(x509.BasicConstraints), found.get(x509.KeyUsage)
    if not isinstance(constraints, x509.BasicConstraints) or not constraints.ca:
        return False
    may_sign = not isinstance(usage, x509.KeyUsage) or usage.key_cert_sign
    return may_sign and (constraints.path_length is None or constraints.path_length >= below)


def is_for(extensions: x509.Extensions, purposes: Purposes) -> bool:
    """Whether its extended key usage, where it has one, allows one of `purposes`."""
    uses = [set(one.value) for one in extensions if isinstance(one.value, x509.ExtendedKeyUsage)]
    return all(some & {*purposes, ExtendedKeyUsageOID.ANY_EXTENDED_KEY_USAGE} for some in uses)


def _has_limits(extensions: x509.Extensions) -> bool:
    """Name constraints: not worked out, and whoever forgot to call them critical meant them all the same."""
    return any(isinstance(one.value, x509.NameConstraints) for one in extensions)
