"""Whether a certificate was called back: by NIST's path validation test suite (PKITS 1.0.1, sections 4.4,
4.14 and 4.15; the files come with `cryptography_vectors`), and by OpenSSL on lists made here.
"""

from __future__ import annotations

import datetime as dt
import re
import shutil
import subprocess
from functools import cache
from pathlib import Path
from typing import Any

import cryptography_vectors
import pytest
import stool
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

from dossier.errors import KeyFileError
from dossier.seal import chains, record, revocation, trust
from dossier.seal.keys import DOCUMENT_SIGNING
from dossier.words import Catalogue

PKITS = Path(cryptography_vectors.__file__).parent / "x509" / "PKITS_data"
DAY = dt.date(2020, 1, 1)
# Names of PKITS, in the order of its sections 4.4, 4.14 and 4.15.
OF_LISTS = re.compile(
    r"(MissingCRL|RevokedCA|RevokedEE|BadCRLSignature|BadCRLIssuerName|WrongCRL|TwoCRLs|UnknownCRL\w*"
    r"|OldCRLnextUpdate|pre2000CRLnextUpdate|GeneralizedTimeCRLnextUpdate|NegativeSerialNumber"
    r"|LongSerialNumber|SeparateCertificateandCRLKeys|[dD]istributionPoint|NoissuingDistributionPoint"
    r"|onlyContains\w*Certs|onlySomeReasons|IDPwithindirectCRL|cRLIssuer|deltaCRL\w*"
    r"|keyUsage(Not)?CriticalcRLSignFalse)Test\d+EE"
)
# Valid by the suite, and not known here, as FORMAT.md check 5 e has it: no answer, and never a wrong one.
SET_ASIDE = {
    "ValidSeparateCertificateandCRLKeysTest19EE": "not known",  # the list is by another key of the issuer
    "ValidonlySomeReasonsTest18EE": "not known",  # several lists, each of some reasons
    "ValidonlySomeReasonsTest19EE": "not known",
    "ValidIDPwithindirectCRLTest22EE": "not known",
    "ValidIDPwithindirectCRLTest24EE": "not known",
    "ValidIDPwithindirectCRLTest25EE": "not known",
    "ValidcRLIssuerTest28EE": "not known",
    "ValidcRLIssuerTest29EE": "not known",
    "ValidcRLIssuerTest30EE": "not known",
    "ValidcRLIssuerTest33EE": "not known",
    "ValiddeltaCRLTest5EE": "revoked",  # a list of changes takes it off again
    "ValiddistributionPointTest4EE": "not known",  # where the list is, is said in a name relative to another
    "ValiddistributionPointTest5EE": "not known",
    "ValiddistributionPointTest7EE": "not known",
}


@cache
def certificates() -> dict[str, x509.Certificate]:
    """All but those with inherited DSA parameters, which the library does not read."""
    files = [path for path in sorted((PKITS / "certs").iterdir()) if "DSAParam" not in path.name]
    return {path.stem: x509.load_der_x509_certificate(path.read_bytes()) for path in files}


@cache
def lists() -> tuple[x509.CertificateRevocationList, ...]:
    return tuple(one for path in sorted((PKITS / "crls").iterdir()) for one in revocation.from_file(path))


def path_of(one: x509.Certificate) -> list[x509.Certificate]:
    """Up to the root, by names and signatures."""
    found = [one]
    while found[-1].subject != found[-1].issuer:
        found.append(next(other for other in certificates().values() if issued(found[-1], other)))
    return found


def issued(one: x509.Certificate, issuer: x509.Certificate) -> bool:
    try:
        one.verify_directly_issued_by(issuer)
    except Exception:  # whatever the library raises: it is not the one
        return False
    return "CA" in str(issuer.subject) or issuer.subject == issuer.issuer


NAMES = [path.stem for path in sorted((PKITS / "certs").iterdir())]
CASES = [name for name in NAMES if OF_LISTS.fullmatch(name.removeprefix("Valid").removeprefix("Invalid"))]


def test_the_suite_is_there() -> None:
    """21 tests of section 4.4, 35 of 4.14, 10 of 4.15, less what the suite puts together in one file."""
    assert len(CASES) >= 60
    assert SET_ASIDE.keys() <= set(CASES)


@pytest.mark.parametrize("name", CASES)
def test_pkits(name: str) -> None:
    said = revocation.status(path_of(certificates()[name]), lists(), DAY).state
    if name.startswith("Invalid"):
        assert said != "not revoked"
    else:
        assert said == SET_ASIDE.get(name, "not revoked")


# Lists made here, and put to OpenSSL too

START, WHEN = dt.datetime(2026, 1, 1, tzinfo=dt.UTC), dt.datetime(2026, 12, 1, tzinfo=dt.UTC)
YEARS = dt.timedelta(days=900)
KEY = stool.p256()
ROOT_KEY = ec.derive_private_key(1001, ec.SECP256R1())
OTHER_KEY = ec.derive_private_key(1003, ec.SECP256R1())
WORDS = Catalogue("en")


def name(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, text)])


def a_certificate(
    subject: str, public: Any, *, ca: bool, end: dt.datetime = START + YEARS
) -> x509.Certificate:
    usage = dict.fromkeys(("key_encipherment", "data_encipherment", "key_agreement"), False)
    usage |= dict.fromkeys(("encipher_only", "decipher_only", "content_commitment"), False)
    may = x509.KeyUsage(digital_signature=not ca, key_cert_sign=ca, crl_sign=ca, **usage)
    builder = (
        x509.CertificateBuilder()
        .subject_name(name(subject))
        .issuer_name(name("Root"))
        .public_key(public)
        .serial_number(7 if ca else 8)
        .not_valid_before(START)
        .not_valid_after(end)
        .add_extension(x509.BasicConstraints(ca=ca, path_length=None), critical=True)
        .add_extension(may, critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(ROOT_KEY.public_key()), critical=False
        )
    )
    if not ca:
        builder = builder.add_extension(x509.ExtendedKeyUsage([DOCUMENT_SIGNING]), critical=False)
    return builder.sign(ROOT_KEY, hashes.SHA256())


ROOT = a_certificate("Root", ROOT_KEY.public_key(), ca=True)
LEAF = a_certificate("Two Benches", KEY.private.public_key(), ca=False)


def a_list(
    *serials: int,
    revoked: dt.datetime = dt.datetime(2026, 11, 20, tzinfo=dt.UTC),
    invalid: dt.datetime | None = None,
    last: dt.datetime = dt.datetime(2026, 11, 28, tzinfo=dt.UTC),
    after: dt.datetime = dt.datetime(2026, 12, 28, tzinfo=dt.UTC),
    key: Any = ROOT_KEY,
    issuer: str = "Root",
    digest: Any = None,
    scope: x509.ExtensionType | None = None,
) -> x509.CertificateRevocationList:
    builder = x509.CertificateRevocationListBuilder().issuer_name(name(issuer))
    builder = builder.last_update(last).next_update(after).add_extension(x509.CRLNumber(1), critical=False)
    if scope:
        builder = builder.add_extension(scope, critical=True)
    for serial in serials:
        entry = x509.RevokedCertificateBuilder().serial_number(serial).revocation_date(revoked)
        if invalid:
            entry = entry.add_extension(x509.InvalidityDate(invalid.replace(tzinfo=None)), critical=False)
        builder = builder.add_revoked_certificate(entry.build())
    return builder.sign(key, digest or hashes.SHA256())


CHANGES = x509.DeltaCRLIndicator(1)  # RFC 5280 section 5.2.4
INDIRECT = x509.IssuingDistributionPoint(  # section 5.2.5
    full_name=None,
    relative_name=None,
    only_contains_user_certs=False,
    only_contains_ca_certs=False,
    only_some_reasons=None,
    indirect_crl=True,
    only_contains_attribute_certs=False,
)
OURS: dict[str, tuple[x509.CertificateRevocationList, str, bool | None]] = {
    # the list, what is said here, whether OpenSSL lets it pass (None: not asked)
    "not on it": (a_list(9), "not revoked", True),
    "empty": (a_list(), "not revoked", True),
    "on it": (a_list(9, 8), "revoked", False),
    "has run out": (a_list(after=WHEN - dt.timedelta(days=1)), "not known", False),
    "has run out and names it": (a_list(8, after=WHEN - dt.timedelta(days=1)), "revoked", False),
    "of tomorrow": (a_list(last=WHEN + dt.timedelta(days=1)), "not known", False),
    "by another key": (a_list(key=OTHER_KEY), "not known", False),
    "by another key, naming it": (a_list(8, key=OTHER_KEY), "not known", False),
    "of another issuer": (a_list(issuer="Rood"), "not known", False),
    "of changes": (a_list(9, scope=CHANGES), "not known", None),
    "of changes, naming it": (a_list(8, scope=CHANGES), "revoked", None),
    "indirect": (a_list(9, scope=INDIRECT), "not known", None),
    "indirect, naming it": (a_list(8, scope=INDIRECT), "not known", None),
    "with SHA-224": (a_list(digest=hashes.SHA224()), "not known", None),  # weaker than the format has
}


@pytest.mark.parametrize("case", OURS)
def test_a_list(case: str) -> None:
    some, said, _ = OURS[case]
    assert revocation.status([LEAF, ROOT], [some], WHEN.date()).state == said


@pytest.mark.skipif(shutil.which("openssl") is None, reason="needs openssl")
@pytest.mark.parametrize("case", [case for case, (_, _, passes) in OURS.items() if passes is not None])
def test_openssl_says_the_same_of_a_list(case: str, tmp_path: Path) -> None:
    some, said, passes = OURS[case]
    pem = serialization.Encoding.PEM
    for file, data in {"root": ROOT, "leaf": LEAF, "list": some}.items():
        (tmp_path / file).write_bytes(data.public_bytes(pem))  # type: ignore[attr-defined]
    command = ["openssl", "verify", "-crl_check", "-attime", str(int(WHEN.timestamp()))]
    command += ["-CAfile", "root", "-CRLfile", "list", "leaf"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, check=False)
    assert (done.returncode == 0) == passes == (said == "not revoked"), done.stderr


def test_a_list_from_after_the_certificate_ran_out_says_nothing() -> None:
    """RFC 5280 section 3.3: an entry need stand no longer than on one list after that."""
    short = a_certificate("Two Benches", KEY.private.public_key(), ca=False, end=WHEN - dt.timedelta(days=9))
    assert revocation.status([short, ROOT], [a_list()], WHEN.date()).state == "not known"


def test_the_day_is_the_earlier_of_two_and_the_path_as_long_as_it_is() -> None:
    early = dt.datetime(2026, 3, 1, tzinfo=dt.UTC)
    assert revocation.status([LEAF, ROOT], [a_list(8, invalid=early)], WHEN.date()).day == early.date()
    assert revocation.status([LEAF, LEAF, ROOT], [a_list()], WHEN.date()).state == "not known"
    assert revocation.status([LEAF, ROOT], [], WHEN.date()).state == "not known"


IAT = dt.datetime(2026, 11, 18, tzinfo=dt.UTC)  # of the record
BEFORE, AFTER = IAT + dt.timedelta(days=1), IAT + dt.timedelta(days=9)


@pytest.mark.parametrize(
    ("code", "given", "stamped"),
    [
        ("key-chained", (), None),
        ("key-chained-not-revoked", (a_list(),), None),
        ("key-revocation-unknown", (a_list(key=OTHER_KEY),), None),
        ("key-revoked-no-stamp", (a_list(8),), None),
        ("key-revoked-no-stamp", (a_list(8),), AFTER),
        ("key-revoked-after-stamp", (a_list(8),), BEFORE),
        ("key-revoked", (a_list(8, revoked=IAT),), None),
        ("key-revoked", (a_list(8, invalid=IAT - dt.timedelta(days=30)),), BEFORE),
        ("key-revoked-no-stamp", (a_list(), a_list(8)), None),
    ],
)
def test_what_follows_for_a_record(code: str, given: Any, stamped: dt.datetime | None) -> None:
    sealed = record.seal(stool.an_unsealed(KEY), [KEY], stool.counting_salts())
    known = trust.Trust(roots=(ROOT,)) | trust.Trust(lists=given)
    how: Any = {"trust": known, "certificates": [LEAF], "today": WHEN.date(), "stamped": stamped}
    said = [check for check in record.check(sealed, WORDS, **how).checks if check.check == "key status"]
    assert [check.code for check in said] == [code, "certificate-other-name"]  # LEAF's is no workshop's
    assert "{" not in said[0].text


@pytest.mark.parametrize(
    ("days", "given", "stamped", "code"),
    [
        (0, (), None, "key-chained"),
        (1, (), None, "key-certificate-ran-out"),
        (1, (), BEFORE, "key-chained"),  # it was there while the key was guarded
        (1, (a_list(8),), None, "key-revoked-no-stamp"),
        (1, (a_list(),), None, "key-certificate-ran-out"),
    ],
)
def test_a_certificate_that_has_run_out_needs_a_time_stamp(
    days: int, given: Any, stamped: dt.datetime | None, code: str
) -> None:
    """ETSI EN 319 102-1 section 5.5 (from memory): out of bounds without a proof that it existed before."""
    sealed = record.seal(stool.an_unsealed(KEY), [KEY], stool.counting_salts())
    today = (LEAF.not_valid_after_utc + dt.timedelta(days=days)).date()
    known = trust.Trust(roots=(ROOT,)) | trust.Trust(lists=given)
    how: Any = {"trust": known, "certificates": [LEAF], "today": today, "stamped": stamped}
    said = [check for check in record.check(sealed, WORDS, **how).checks if check.check == "key status"]
    assert said[0].code == code
    assert "{" not in said[0].text


def test_lists_come_from_files(tmp_path: Path) -> None:
    one, two = a_list(8), a_list(9)
    pem = serialization.Encoding.PEM
    (tmp_path / "two.pem").write_bytes(one.public_bytes(pem) + b"words\n" + two.public_bytes(pem))
    (tmp_path / "one.crl").write_bytes(one.public_bytes(serialization.Encoding.DER))
    assert revocation.from_file(tmp_path / "two.pem") == (one, two)
    assert revocation.from_file(tmp_path / "one.crl") == (one,)
    late = a_list(8, after=dt.datetime(2060, 1, 1, tzinfo=dt.UTC)).public_bytes(serialization.Encoding.DER)
    nought = late.replace(b"20600101", b"00000101")  # ISO 8601 has such a year, and Python's dates do not
    x509.load_der_x509_crl(nought)
    cut = b"-----BEGIN X509 CRL-----\nMIIB\n-----END X509 CRL-----\n"
    for bad in (b"", cut, LEAF.public_bytes(pem), nought):
        (tmp_path / "bad").write_bytes(bad)
        with pytest.raises(KeyFileError):
            revocation.from_file(tmp_path / "bad")
    with pytest.raises(KeyFileError):
        revocation.from_file(tmp_path / "none")


def test_a_path_has_its_root_at_its_end() -> None:
    assert list(chains.way([LEAF], KEY.kid, [ROOT], WHEN).certificates) == [LEAF, ROOT]
