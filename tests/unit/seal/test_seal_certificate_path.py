"""Paths of certificates: NIST's path validation test suite (PKITS 1.0.1), from `cryptography_vectors`.

Not asked here: lists of revoked certificates (test_seal_revocation.py), and a workshop's own certificate
(test_seal_chains.py).
"""

from __future__ import annotations

import datetime as dt
import re
import warnings
from pathlib import Path

import cryptography_vectors
import pytest
from cryptography import x509
from cryptography.x509.oid import ExtendedKeyUsageOID

from dossier.seal import certificate_path

PKITS = Path(cryptography_vectors.__file__).parent / "x509" / "PKITS_data" / "certs"
WHEN = dt.datetime(2012, 1, 1, tzinfo=dt.UTC)  # within the days of the suite
# Invalid by a list alone (sections 4.4, 4.5, 4.14, 4.15): the path itself is in order.
BY_LISTS = re.compile(
    "[cC]RL|Revoked|SerialNumber|With(Old|New)|IDP|istributionPoint|only(Contains|Some)|SeparateCert"
)
# Valid in the suite, and refused here: limits on names and policies, DSA, names that are equal only once
# folded (the library compares their bytes), and issuers of their own name, which count here as others do.
STRICTER = re.compile(
    "[nN]ameConstraints|olicy|DSA|NameChaining|Rollover|CaseInsensitive|SelfIssuedpathLen|inhibit"
)


@pytest.fixture(scope="module")
def suite() -> dict[str, x509.Certificate]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # one has a negative serial number on purpose
        files = [path for path in sorted(PKITS.iterdir()) if "DSAParam" not in path.name]
        return {path.stem: x509.load_der_x509_certificate(path.read_bytes()) for path in files}


def issuers(one: x509.Certificate, among: list[x509.Certificate]) -> list[x509.Certificate]:
    """All that could stand above it, by their names."""
    found = [one]
    for lower in found:
        found += [upper for upper in among if upper.subject == lower.issuer and upper not in found]
    return found[1:]


def leads(name: str, suite: dict[str, x509.Certificate]) -> bool:
    one, root = suite[name], suite["TrustAnchorRootCertificate"]
    authorities = [other for key, other in suite.items() if not key.endswith("EE") and other != root]
    if not certificate_path.is_valid_at(one, WHEN) or not certificate_path.are_understood(one):
        return False
    purposes = {ExtendedKeyUsageOID.EMAIL_PROTECTION}
    return bool(certificate_path.find(one, issuers(one, authorities), [root], WHEN, purposes).certificates)


def test_no_path_that_pkits_calls_invalid_is_taken(suite: dict[str, x509.Certificate]) -> None:
    names = [name for name in suite if re.match("Invalid.*EE$", name) and not BY_LISTS.search(name)]
    assert len(names) == 68
    assert [name for name in names if leads(name, suite)] == []


def test_every_path_that_pkits_calls_valid_is_taken(suite: dict[str, x509.Certificate]) -> None:
    names = [name for name in suite if re.match("Valid.*EE$", name)]
    assert len(names) == 87
    assert [name for name in names if leads(name, suite) == bool(STRICTER.search(name))] == []
