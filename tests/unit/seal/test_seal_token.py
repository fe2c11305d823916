"""A key on a token, with SoftHSM2 as the token: it signs a record, a card and a PDF's certificate.

OpenSSL checks the certificate that the token's key issued itself.
"""

from __future__ import annotations

import datetime as dt
import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import stool
from cryptography.hazmat.primitives.serialization import Encoding

from dossier.errors import KeyFileError
from dossier.seal import record, token
from dossier.seal.keys import certificate_signed_by, fingerprint_words
from dossier.seal.trust import Trust
from dossier.words import Catalogue

MODULES = (
    "/usr/lib/softhsm/libsofthsm2.so",
    "/usr/lib64/pkcs11/libsofthsm2.so",
    "/usr/local/lib/softhsm/libsofthsm2.so",
)
MODULE = next((path for path in MODULES if Path(path).exists()), "")
pkcs11 = pytest.importorskip("pkcs11")
needs_token = pytest.mark.skipif(not MODULE or not shutil.which("softhsm2-util"), reason="needs SoftHSM2")
PIN = "123456"


@pytest.fixture(scope="module")
def uri(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A token with a P-256 key `workshop`, a P-384 key `large`."""
    home = tmp_path_factory.mktemp("softhsm")
    (home / "tokens").mkdir()
    (home / "softhsm2.conf").write_text(
        f"directories.tokendir = {home / 'tokens'}\nobjectstore.backend = file\n"
    )
    os.environ["SOFTHSM2_CONF"] = str(home / "softhsm2.conf")
    command = [
        "softhsm2-util",
        "--init-token",
        "--free",
        "--label",
        "Bench & Awl",
        "--pin",
        PIN,
        "--so-pin",
        PIN,
    ]
    subprocess.run(command, check=True, capture_output=True)
    with pkcs11.lib(MODULE).get_token(token_label="Bench & Awl").open(rw=True, user_pin=PIN) as session:
        for label, curve in (("workshop", "secp256r1"), ("large", "secp384r1")):
            make(session, label, curve)
    yield f"pkcs11:token=Bench%20%26%20Awl;object=workshop?module-path={MODULE}"
    del os.environ["SOFTHSM2_CONF"]


def make(session: Any, label: str, curve: str) -> None:
    from pkcs11.util.ec import encode_named_curve_parameters  # noqa: PLC0415 - an optional library

    parameters = {pkcs11.Attribute.EC_PARAMS: encode_named_curve_parameters(curve)}
    domain = session.create_domain_parameters(pkcs11.KeyType.EC, parameters, local=True)
    domain.generate_keypair(store=True, label=label)


@needs_token
def test_a_tokens_key_signs_a_record_that_checks(uri: str) -> None:
    key = token.open_token(uri, lambda: PIN)
    sealed = record.seal(stool.an_unsealed(key), [key], stool.counting_salts())
    checked = record.check(sealed, Catalogue("en"), trust=Trust(thumbprints=frozenset({key.kid})))
    assert [check.code for check in checked.checks] == [
        "signatures-match",
        "key-confirmed",
        "disclosures-match",
    ]
    assert checked.fingerprint == fingerprint_words(key.kid)


@needs_token
def test_every_signature_has_the_lower_s(uri: str) -> None:
    from dossier.seal.algorithms import is_high_s  # noqa: PLC0415 - beside its one use

    key = token.open_token(uri, lambda: PIN)
    assert not any(is_high_s(key.sign(bytes([n]))) for n in range(32))


@needs_token
def test_openssl_takes_the_certificate_that_the_tokens_key_issued(uri: str, tmp_path: Path) -> None:
    key = token.open_token(uri, lambda: PIN)
    certificate = certificate_signed_by(key, "Bench & Awl", now=dt.datetime(2026, 11, 25, tzinfo=dt.UTC))
    path = tmp_path / "certificate.pem"
    path.write_bytes(certificate.public_bytes(Encoding.PEM))
    command = ["openssl", "verify", "-check_ss_sig", "-partial_chain", "-trusted", str(path), str(path)]
    done = subprocess.run(command, capture_output=True, check=False)
    assert done.returncode == 0, done.stderr
    with_certificate = token.open_token(uri, lambda: PIN, certificate)
    assert with_certificate.certificate == certificate


@needs_token
@pytest.mark.parametrize(
    ("change", "pin", "said"),
    [
        (("object=workshop", "object=nothing"), PIN, 'has no key pair labelled "nothing"'),
        (("Bench", "Bank"), PIN, 'no token labelled "Bank & Awl" is here'),
        (("workshop", "large"), PIN, "P-256"),
        (("libsofthsm2", "nothing"), PIN, "cannot be used as a token's module"),
        (("", ""), "654321", "does not take this PIN"),
        (("", ""), "", "does not take this PIN"),
    ],
    ids=["no key", "no token", "P-384", "no module", "wrong PIN", "no PIN"],
)
def test_what_a_token_does_not_give_is_one_sentence(
    uri: str, change: tuple[str, str], pin: str, said: str
) -> None:
    with pytest.raises(KeyFileError) as refused:
        token.open_token(uri.replace(*change), lambda: pin)
    assert said in f"{refused.value} {refused.value.hint}"
    assert refused.value.hint


@pytest.mark.parametrize(
    "uri",
    [
        "pkcs11:",
        "pkcs11:token=a;object=b",
        "pkcs11:token=a?module-path=/m.so",
        "pkcs11:token=a;object=b?module-path=/m.so&pin-value=1234",
        "pkcs11:token=a;object=b;serial=1?module-path=/m.so",
    ],
)
def test_a_uri_that_says_less_or_more_is_refused(uri: str) -> None:
    with pytest.raises(KeyFileError):
        token.parse(uri)


def test_percent_signs_are_read_as_rfc_7512_has_them() -> None:
    place = token.parse("pkcs11:object=my%20key;token=The%3B%20Bench?module-path=/m.so")
    assert (place.token, place.key, place.module) == ("The; Bench", "my key", "/m.so")
