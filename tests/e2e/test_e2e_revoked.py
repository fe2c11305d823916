"""A buyer gives the root of an authority, and its list of revoked certificates, to the command (RFC 5280)."""

from __future__ import annotations

import datetime as dt
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

PEM = serialization.Encoding.PEM
NOW = dt.datetime.now(dt.UTC).replace(microsecond=0)
DAY = dt.timedelta(days=1)
AUTHORITY = ec.generate_private_key(ec.SECP256R1())
TOP = ec.generate_private_key(ec.SECP256R1())
NAME, NAME_OF_TOP = (
    x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, f"An invented {one}")])
    for one in ("authority", "root")
)


def certificate(
    subject: x509.Name, public: Any, *, ca: bool, issuer: x509.Name = NAME, by: Any = AUTHORITY
) -> x509.Certificate:
    may = dict.fromkeys(("key_encipherment", "data_encipherment", "key_agreement"), False)
    may |= dict.fromkeys(("encipher_only", "decipher_only", "content_commitment"), False)
    usage = x509.KeyUsage(digital_signature=not ca, key_cert_sign=ca, crl_sign=ca, **may)
    builder = x509.CertificateBuilder(
        issuer, subject, public, 2 if ca else 3, NOW - 30 * DAY, NOW + 300 * DAY
    )
    for value, critical in (
        (x509.BasicConstraints(ca=ca, path_length=None), True),
        (usage, True),
        (x509.SubjectKeyIdentifier.from_public_key(public), False),
        (x509.AuthorityKeyIdentifier.from_issuer_public_key(by.public_key()), False),
    ):
        builder = builder.add_extension(value, critical=critical)
    return builder.sign(by, hashes.SHA256())


def a_list(*serials: int) -> bytes:
    builder = x509.CertificateRevocationListBuilder(NAME, NOW - DAY, NOW + 9 * DAY)
    for serial in serials:
        entry = x509.RevokedCertificateBuilder(serial, NOW - 2 * DAY).build()
        builder = builder.add_revoked_certificate(entry)
    return builder.sign(AUTHORITY, hashes.SHA256()).public_bytes(PEM)


@pytest.fixture(scope="module")
def bought(job: Path, run: Callable[..., Any], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A dossier by a key whose certificate is of an authority below a root, and the record of it.

    Beside the record the certificate alone, with the authority as root; two lists.
    """
    home = tmp_path_factory.mktemp("bought")
    assert run("keys", "new", home / "keys", "--name", "Bench & Awl", "--no-passphrase").code == 0
    shutil.copytree(job, home / "satchel")
    shop = (job.parent / "workshop.toml").read_text(encoding="utf-8")
    (home / "workshop.toml").write_text(shop.replace("keys/trial", "keys/workshop"), encoding="utf-8")
    file = home / "keys/workshop-certificate.pem"
    own = x509.load_pem_x509_certificate(file.read_bytes())
    leaf = certificate(own.subject, own.public_key(), ca=False)
    below = certificate(NAME, AUTHORITY.public_key(), ca=True, issuer=NAME_OF_TOP, by=TOP)
    top = certificate(NAME_OF_TOP, TOP.public_key(), ca=True, issuer=NAME_OF_TOP, by=TOP)
    (home / "top.pem").write_bytes(top.public_bytes(PEM))
    file.write_bytes(b"".join(one.public_bytes(PEM) for one in (leaf, own, below)))  # one leads nowhere
    assert run("compile", home / "satchel", "--to", home / "out").code == 0
    (home / "record.json").write_bytes((home / "out/record.json").read_bytes())
    (home / "certificate.pem").write_bytes(leaf.public_bytes(PEM))
    root = certificate(NAME, AUTHORITY.public_key(), ca=True)
    (home / "root.pem").write_bytes(root.public_bytes(PEM))
    for name, data in {"good.crl": a_list(9), "revoked.crl": a_list(3, 9), "none.crl": b"words"}.items():
        (home / name).write_bytes(data)
    return home


@pytest.mark.parametrize(
    ("given", "exit_code", "code", "words"),
    [
        ([], 0, "key-chained", "could not be told"),
        (["good.crl"], 0, "key-chained-not-revoked", "had not revoked it"),
        (["revoked.crl"], 1, "key-revoked", "signed by a key whose certificate was revoked by then"),
        (["good.crl", "revoked.crl"], 1, "key-revoked", "was revoked by its authority"),
    ],
)
def test_lists_are_asked(
    bought: Path, run: Callable[..., Any], given: list[str], exit_code: int, code: str, words: str
) -> None:
    asked = ["--trust", bought / "root.pem", *(word for one in given for word in ("--crl", bought / one))]
    ran = run("verify", bought / "record.json", *asked)
    assert ran.code == exit_code, ran.out
    assert words in " ".join(ran.out.split())
    plain = json.loads(run("verify", bought / "record.json", *asked, "--json").out)
    assert [check["code"] for check in plain[0]["checks"] if check["number"] == 5] == [code]


@pytest.mark.parametrize("name", ["out", "out/dossier.pdf", "out/record.json", "copy"])
def test_a_dossier_has_the_whole_way_to_its_root(bought: Path, run: Callable[..., Any], name: str) -> None:
    """The issuers in the workshop's file had been left out, and its root confirmed nothing."""
    if name == "copy":
        assert run("copy", bought / "out", "--for", "resale", "--to", bought / name).code == 0
    (plain,) = json.loads(run("verify", bought / name, "--trust", bought / "top.pem", "--json").out)
    assert plain["overall"] == "in order"
    assert [check["code"] for check in plain["checks"] if check["number"] == 5] == ["key-chained"]


def test_what_is_no_list_is_one_sentence(bought: Path, run: Callable[..., Any]) -> None:
    ran = run("verify", bought / "record.json", "--crl", bought / "none.crl")
    assert ran.code != 0
    assert "no list of revoked certificates can be read here" in ran.err
