"""Certificates that lead to a root: each case is put to OpenSSL's `verify` too, and the two must agree.

The public-key infrastructure is made here with the library `cryptography`; OpenSSL only checks.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import shutil
import ssl
import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import stool
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import dsa, ec, ed25519, rsa
from cryptography.x509.oid import ExtendedKeyUsageOID, ExtensionOID, NameOID, ObjectIdentifier

from dossier.errors import KeyFileError
from dossier.seal import chains, record, trust
from dossier.seal.keys import DOCUMENT_SIGNING, self_issued
from dossier.seal.standing import Signing
from dossier.words import Catalogue

START = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)
END = dt.datetime(2028, 1, 1, tzinfo=dt.UTC)
WHEN = dt.datetime(2026, 11, 18, 12, tzinfo=dt.UTC)
KEY = stool.p256()
ROOT_KEY, MIDDLE_KEY = (ec.derive_private_key(n, ec.SECP256R1()) for n in (1001, 1002))
RSA_KEY = rsa.generate_private_key(65537, 2048)
WEAK_KEY = rsa.generate_private_key(65537, 1024)
WEAK_DSA_KEY = dsa.generate_private_key(1024)
ED25519_KEY = ed25519.Ed25519PrivateKey.from_private_bytes(bytes(range(32)))


def usage(**what: bool) -> x509.KeyUsage:
    names = (
        "digital_signature",
        "content_commitment",
        "key_encipherment",
        "data_encipherment",
        "key_agreement",
        "key_cert_sign",
        "crl_sign",
        "encipher_only",
        "decipher_only",
    )
    return x509.KeyUsage(**{name: what.get(name, False) for name in names})


def a_certificate(
    subject: str,
    public: Any,
    issuer: str,
    issuer_key: Any,
    *,
    ca: bool = False,
    path_length: int | None = None,
    end: dt.datetime = END,
    uses: list[ObjectIdentifier] | None = None,
    key_usage: x509.KeyUsage | None = None,
    names: str = "",
    says_usage: bool = True,
) -> x509.Certificate:
    """One certificate with the extensions of RFC 5280 section 4.2.1."""

    def name(text: str) -> x509.Name:
        return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])

    may = key_usage or (usage(key_cert_sign=True, crl_sign=True) if ca else usage(digital_signature=True))
    builder = (
        x509.CertificateBuilder()
        .subject_name(name(subject))
        .issuer_name(name(issuer))
        .public_key(public)
        .serial_number(x509.random_serial_number())
        .not_valid_before(START)
        .not_valid_after(end)
        .add_extension(x509.BasicConstraints(ca=ca, path_length=path_length), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(issuer_key.public_key()), critical=False
        )
    )
    if says_usage:
        builder = builder.add_extension(may, critical=True)
    if uses:
        builder = builder.add_extension(x509.ExtendedKeyUsage(uses), critical=False)
    if names:
        only = x509.NameConstraints([x509.DirectoryName(name(names))], None)
        builder = builder.add_extension(only, critical=False)  # as some authorities forget
    plain = isinstance(issuer_key, ed25519.Ed25519PrivateKey)  # it has a hash of its own
    return builder.sign(issuer_key, None if plain else hashes.SHA256())


def a_root(key: Any = ROOT_KEY, **how: Any) -> x509.Certificate:
    return a_certificate("Root", key.public_key(), "Root", key, ca=True, **how)


def a_middle(**how: Any) -> x509.Certificate:
    return a_certificate("Middle", MIDDLE_KEY.public_key(), "Root", ROOT_KEY, **{"ca": True, **how})


def a_leaf(issuer: str = "Root", issuer_key: Any = ROOT_KEY, **how: Any) -> x509.Certificate:
    public = KEY.private.public_key()
    return a_certificate("Two Benches", public, issuer, issuer_key, **{"uses": [DOCUMENT_SIGNING], **how})


@dataclass(frozen=True)
class Case:
    certificates: list[x509.Certificate]
    root: x509.Certificate
    holds: bool
    when: dt.datetime = WHEN
    stricter: bool = False  # where the format asks for more than a path does
    flags: tuple[str, ...] = ("-x509_strict",)
    why: str = ""


CASES = {
    "straight": Case([a_leaf()], a_root(), True),
    "over one between": Case([a_leaf("Middle", MIDDLE_KEY), a_middle()], a_root(), True),
    "an RSA root": Case([a_leaf("Root", RSA_KEY)], a_root(RSA_KEY), True),
    "an Ed25519 root": Case([a_leaf("Root", ED25519_KEY)], a_root(ED25519_KEY), True),
    # RFC 5280 section 6.1.4 n asks for none; with -x509_strict OpenSSL asks what section 4.2.1.3 does.
    "a root without key usage": Case([a_leaf()], a_root(says_usage=False), True, flags=()),
    "a root that must not sign certificates": Case(
        [a_leaf()], a_root(key_usage=usage(crl_sign=True)), False, why="authority"
    ),
    "a weak root": Case(
        [a_leaf("Root", WEAK_KEY)], a_root(WEAK_KEY), False, flags=("-auth_level", "2"), why="key"
    ),
    "a weak DSA root": Case(
        [a_leaf("Root", WEAK_DSA_KEY)], a_root(WEAK_DSA_KEY), False, flags=("-auth_level", "2"), why="key"
    ),
    "one between is not there": Case([a_leaf("Middle", MIDDLE_KEY)], a_root(), False, why="issuer"),
    "the one between is no authority": Case(
        [a_leaf("Middle", MIDDLE_KEY), a_middle(ca=False)], a_root(), False, why="authority"
    ),
    "the root allows none between": Case(
        [a_leaf("Middle", MIDDLE_KEY), a_middle()], a_root(path_length=0), False
    ),
    "a root for other names": Case([a_leaf()], a_root(names="One Bench"), False, why="limits"),
    "one between for other names": Case(
        [a_leaf("Middle", MIDDLE_KEY), a_middle(names="One Bench")], a_root(), False
    ),
    "a root for this name": Case([a_leaf()], a_root(names="Two Benches"), False, stricter=True),
    "another root of the same name": Case([a_leaf()], a_root(MIDDLE_KEY), False, why="unproved"),
    "run out": Case([a_leaf(end=dt.datetime(2026, 11, 1, tzinfo=dt.UTC))], a_root(), False, why="days"),
    "the one between has run out": Case(
        [a_leaf("Middle", MIDDLE_KEY), a_middle(end=dt.datetime(2026, 11, 1, tzinfo=dt.UTC))], a_root(), False
    ),
    "not yet": Case([a_leaf()], a_root(), False, when=dt.datetime(2025, 12, 31, tzinfo=dt.UTC)),
    "self-issued": Case([self_issued(KEY.private, "Two Benches", now=START)], a_root(), False, why="issuer"),
    "for web servers only": Case(
        [a_leaf(uses=[ExtendedKeyUsageOID.SERVER_AUTH])], a_root(), False, stricter=True, why="use"
    ),
    "not for signatures": Case([a_leaf(key_usage=usage(key_agreement=True))], a_root(), False, stricter=True),
}


def leads(*given: Any) -> bool:
    return bool(chains.way(*given).certificates)


@pytest.mark.parametrize("name", CASES)
def test_a_chain_holds_or_not(name: str) -> None:
    case = CASES[name]
    assert leads(case.certificates, KEY.kid, [case.root], case.when) == case.holds


@pytest.mark.skipif(shutil.which("openssl") is None, reason="needs openssl")
@pytest.mark.parametrize("name", [name for name, case in CASES.items() if not case.stricter])
def test_openssl_says_the_same(name: str, tmp_path: Path) -> None:
    case = CASES[name]
    write(tmp_path / "root.pem", [case.root])
    write(tmp_path / "leaf.pem", case.certificates[:1])
    command = ["openssl", "verify", *case.flags, "-attime", str(int(case.when.timestamp()))]
    command += ["-CAfile", str(tmp_path / "root.pem")]
    if case.certificates[1:]:
        write(tmp_path / "others.pem", case.certificates[1:])
        command += ["-untrusted", str(tmp_path / "others.pem")]
    done = subprocess.run([*command, str(tmp_path / "leaf.pem")], capture_output=True, check=False)
    assert (done.returncode == 0) == case.holds, done.stderr


def write(path: Path, certificates: list[x509.Certificate]) -> None:
    path.write_bytes(b"".join(one.public_bytes(serialization.Encoding.PEM) for one in certificates))


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if case.why])
def test_it_is_said_at_which_certificate_the_way_breaks_off_and_why(name: str) -> None:
    case, words = CASES[name], Catalogue("en")
    way = chains.way(case.certificates, KEY.kid, [case.root], case.when)
    assert way.why == case.why
    signing = Signing((KEY.kid,), signed_on=case.when.date(), today=case.when.date())
    answer = trust.key_status(signing, True, trust.Trust(roots=(case.root,)), words, case.certificates)
    assert answer.code == "key-not-confirmed"
    issuer = {"one between is not there": "Middle", "self-issued": "Two Benches"}.get(name, "Root")
    told = words.say(f"seal.way.{case.why}", issuer=issuer)
    assert any(told in place and "breaks off at" in place for place in answer.where)


def test_a_certificate_that_issued_itself_is_not_said_to_be_away() -> None:
    """A workshop's own certificate, or a root of its own at the end of a file of certificates."""
    for certificates in ([self_issued(KEY.private, "Two Benches", now=START)], [a_leaf(), a_root()]):
        signing = Signing((KEY.kid,), signed_on=WHEN.date(), today=WHEN.date())
        other = a_certificate("Other", MIDDLE_KEY.public_key(), "Other", MIDDLE_KEY, ca=True)
        answer = trust.key_status(signing, True, trust.Trust(roots=(other,)), Catalogue("en"), certificates)
        (broken,) = [place for place in answer.where if "breaks off" in place]
        assert "no further certificate of its issuer" in broken


def test_a_certificate_with_a_feature_that_the_library_does_not_know_ends_in_no_error(tmp_path: Path) -> None:
    """RFC 7633 section 4.1: the features are numbers, of which the library knows two."""
    odd = x509.UnrecognizedExtension(ExtensionOID.TLS_FEATURE, bytes.fromhex("3003020115"))
    own = self_issued(KEY.private, "Two Benches", now=START)
    issued = x509.CertificateBuilder(
        own.subject, a_root().subject, own.public_key(), 7, START, END, [x509.Extension(odd.oid, False, odd)]
    ).sign(ROOT_KEY, hashes.SHA256())
    assert chains.way([issued], KEY.kid, [a_root()], WHEN).why == "limits"
    assert not chains.is_root(issued)
    write(tmp_path / "own.pem", [issued])
    assert trust.from_file(tmp_path / "own.pem").thumbprints == {KEY.kid}


def test_a_certificate_of_another_key_says_nothing_about_this_one() -> None:
    assert not leads([a_leaf()], stool.p256(5).kid, [a_root()], WHEN)


def test_a_root_given_as_a_file_confirms_what_leads_to_it(tmp_path: Path) -> None:
    write(tmp_path / "root.pem", [a_root()])
    known = trust.from_file(tmp_path / "root.pem")
    sealed = record.seal(stool.an_unsealed(KEY), [KEY], stool.counting_salts())
    words = Catalogue("en")

    def code(certificates: list[x509.Certificate]) -> str:
        checks = record.check(sealed, words, trust=known, certificates=certificates).checks
        return next(check.code for check in checks if check.check == "key status")

    assert code([a_leaf()]) == "key-chained"
    assert code([]) == "key-not-confirmed"
    assert code(CASES["self-issued"].certificates) == "key-not-confirmed"


def test_an_authoritys_certificate_is_a_root_and_any_other_confirms_its_own_key(tmp_path: Path) -> None:
    write(tmp_path / "leaf.pem", [a_leaf()])
    assert trust.from_file(tmp_path / "leaf.pem").thumbprints == {KEY.kid}
    (tmp_path / "none.pem").write_bytes(b"-----BEGIN CERTIFICATE-----\nMIIB\n-----END CERTIFICATE-----\n")
    with pytest.raises(KeyFileError):
        trust.from_file(tmp_path / "none.pem")


@pytest.mark.parametrize(
    ("was", "becomes"),
    [
        ("a003020102", "a003020142"),  # version 67 (RFC 5280 section 4.1.2.1 knows three)
        (
            "06082a8648ce3d030107",
            "06082a8648ce3d030166",
        ),  # no such curve (RFC 5480 section 2.1.1.1)
        ("0603551d0f", "0603551d25"),  # one extension twice (RFC 5280 section 4.2)
        ("0c0b54776f20", "0c0b54ff6f20"),  # a name that is no UTF-8 (section 4.1.2.4)
    ],
    ids=["version", "curve", "extension twice", "name"],
)
def test_a_certificate_the_library_does_not_know_ends_in_no_error(
    was: str, becomes: str, tmp_path: Path
) -> None:
    """Found by fuzzing: the library's errors have no common root."""
    der = self_issued(KEY.private, "Two Benches", now=START).public_bytes(serialization.Encoding.DER)
    assert bytes.fromhex(was) in der
    path = tmp_path / "x.pem"
    path.write_text(ssl.DER_cert_to_PEM_cert(der.replace(bytes.fromhex(was), bytes.fromhex(becomes))))
    for one in chains.load_all(path.read_bytes()):
        assert not chains.is_root(one)
        assert not leads([one], KEY.kid, [one], WHEN)
        signing = Signing((KEY.kid,), signed_on=WHEN.date())
        for certificates in ([one], [one, a_root()], [a_leaf("Middle", MIDDLE_KEY), one]):
            said = trust.key_status(signing, True, trust.Trust(roots=(one,)), Catalogue("en"), certificates)
            assert said.code == "key-not-confirmed"
    with contextlib.suppress(KeyFileError):
        assert trust.from_file(path).thumbprints == {KEY.kid}
