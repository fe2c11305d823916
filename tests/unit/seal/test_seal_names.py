"""The name a record gives its workshop beside the one its key is held out under (FORMAT.md section 8).

The certificates of other names are made by OpenSSL, those of the workshop's own as the program makes them.
"""

from __future__ import annotations

import datetime as dt
import shutil
import subprocess
from pathlib import Path

import pytest
import stool
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

from dossier.model.statements import CardKey, KeyCard
from dossier.seal import keycard, names, record, recovery, trust
from dossier.seal.keys import LONGEST_NAME, self_issued
from dossier.words import Catalogue

WORDS = Catalogue("en")
KEY = stool.p256()
NOW = dt.datetime(2026, 11, 1, tzinfo=dt.UTC)
NAME = "Two Benches Workshop"  # of the record
SEALED = record.seal(stool.an_unsealed(KEY), [KEY], stool.counting_salts())
BOTH = {"certificate-other-name", "card-other-name"}


def said(certificates: list[x509.Certificate], known: trust.Trust = trust.NOBODY) -> list[str]:
    checks = record.check(SEALED, WORDS, trust=known, certificates=certificates).checks
    return [check.text for check in checks if check.code in BOTH]


def by_openssl(folder: Path, subject: str) -> x509.Certificate:
    pem = KEY.private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    (folder / "key.pem").write_bytes(pem)
    made = subprocess.run(
        ["openssl", "req", "-x509", "-utf8", "-key", folder / "key.pem", "-subj", subject, "-days", "30"],
        check=True,
        capture_output=True,
    )
    return x509.load_pem_x509_certificate(made.stdout)


@pytest.mark.skipif(not shutil.which("openssl"), reason="openssl is not installed")
@pytest.mark.parametrize(
    ("subject", "other"),
    [
        ("/CN=Rook and Daughter", "Rook and Daughter"),
        ("/O=Rook and Daughter/C=AT", "Rook and Daughter"),
        (f"/CN=Jorin Oake/O={NAME}", ""),  # a person of the workshop
        ("/CN=two  benches, WORKSHOP", ""),
        ("/C=AT", ""),  # made out to nobody
    ],
)
def test_a_certificate_of_another_name_is_said(tmp_path: Path, subject: str, other: str) -> None:
    found = said([by_openssl(tmp_path, subject)])
    assert len(found) == bool(other)
    assert all(NAME in text and other in text and "{" not in text for text in found)


def test_it_changes_no_answer_and_stands_beside_a_confirmed_key() -> None:
    certificate = self_issued(KEY.private, "Rook and Daughter", now=NOW)
    known = trust.Trust(thumbprints=frozenset({KEY.kid}))
    checks = record.check(SEALED, WORDS, trust=known, certificates=[certificate]).checks
    status = [(c.code, c.verdict) for c in checks if c.check == "key status"]
    assert status == [("key-confirmed", "matches"), ("certificate-other-name", "could not tell")]


def test_one_of_another_key_or_one_that_was_changed_says_nothing() -> None:
    assert said([self_issued(stool.p256(77).private, "Rook and Daughter", now=NOW)]) == []
    der = self_issued(KEY.private, "Rook and Daughter", now=NOW).public_bytes(Encoding.DER)
    assert said([x509.load_der_x509_certificate(der.replace(b"Rook and", b"Hook and"))]) == []
    assert said([]) == []


@pytest.mark.parametrize("name", ["Ä" * 40, "Two Benches " * 8, "工房" * 20, "!!!"])
def test_what_a_certificate_has_no_room_for_is_the_same_name(name: str) -> None:
    """RFC 5280 appendix A.1: ub-common-name; the program cuts at so many bytes of UTF-8."""
    certificate = self_issued(KEY.private, name, now=NOW)
    assert names.other_name(certificate, name) == ""
    if len(name.encode()) > LONGEST_NAME:
        assert names.other_name(certificate, name[: LONGEST_NAME // 4])


def confirmed_card(name: str, page: str = "") -> trust.Trust:
    paper = recovery.keys_of(bytes(32))
    card = KeyCard(
        format="1.0",
        number=1,
        issued="2026-11-01",
        expires="2028-11-01",
        name=name,
        verification_page=page,
        recovery=tuple(key.public for key in paper),
        keys=(CardKey(key=KEY.public, state="in use", since="2026-01-02"),),
    )
    return trust.Trust(cards=(keycard.read(keycard.make(card, paper, [KEY])),))


def test_a_confirmed_card_answers_before_the_certificate() -> None:
    own, other = (self_issued(KEY.private, name, now=NOW) for name in (NAME, "Rook and Daughter"))
    (text,) = said([own], confirmed_card("Rook and Daughter"))
    assert "key card" in text and "Rook and Daughter" in text
    assert said([other], confirmed_card(NAME)) == []


def test_a_page_that_the_workshop_has_left_is_said_of_a_record_too() -> None:
    """The paper leads there for good, and the address may be others' by now."""
    for page, told in (("https://new.example/r", True), ("https://check.example/r", False), ("", False)):
        checks = record.check(SEALED, WORDS, trust=confirmed_card(NAME, page)).checks
        found = [check.text for check in checks if check.code == "code-other-page"]
        assert [page in text and "https://check.example/r" in text for text in found] == [True] * told


def test_nothing_in_a_name_moves_the_cursor() -> None:
    certificate = self_issued(KEY.private, "Rook\x1b[2J\u202e" + "k" * 20, now=NOW)
    (text,) = said([certificate])
    assert text.isprintable()
