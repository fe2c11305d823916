"""What a root vouches for is a name, and what was revoked speaks for nobody (FORMAT.md, checks 5 and 11)."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import NameOID

from dossier.flows.verify import Asked, verify
from dossier.flows.verifying import checks, lying_beside, pages_against, statements
from dossier.model.record import OpenRecord
from dossier.seal import algorithms, form
from dossier.seal import record as seal
from dossier.seal.keys import fingerprint_words
from dossier.seal.record import RecordCheck
from dossier.seal.standing import CODES, REVOKED, answer
from dossier.seal.trust import Trust
from dossier.words import Catalogue

VECTOR = Path(__file__).parents[2] / "vectors" / "keycard" / "record" / "record-withdrawn"
WORDS = Catalogue("en")
TODAY = dt.date(2026, 12, 24)
DAY = dt.timedelta(days=1)
NOON = dt.datetime(2026, 11, 1, 12, tzinfo=dt.UTC)
ROOT_KEY = ec.generate_private_key(ec.SECP256R1())
ROOT = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "An invented authority")])


def opened() -> OpenRecord:
    return seal.open_record(form.from_json((VECTOR / "record.json").read_bytes()))


def issued(subject: x509.Name, public: ec.EllipticCurvePublicKey, *, ca: bool) -> x509.Certificate:
    """By the root, its own too."""
    others = ("key_encipherment", "data_encipherment", "key_agreement", "content_commitment")
    no = dict.fromkeys((*others, "encipher_only", "decipher_only"), False)
    usage = x509.KeyUsage(digital_signature=not ca, key_cert_sign=ca, crl_sign=ca, **no)
    return (
        x509.CertificateBuilder(ROOT, subject, public, 2 if ca else 3, NOON - 99 * DAY, NOON + 999 * DAY)
        .add_extension(x509.BasicConstraints(ca=ca, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(ROOT_KEY.public_key()), critical=False
        )
        .sign(ROOT_KEY, hashes.SHA256())
    )


@pytest.mark.parametrize(
    ("kind", "name", "overall"),
    [
        (NameOID.COMMON_NAME, "", "in order"),  # that of the workshop
        (NameOID.ORGANIZATION_NAME, "", "in order"),
        (NameOID.COMMON_NAME, "Mallory", "not confirmed"),
        (NameOID.EMAIL_ADDRESS, "mallory@example.com", "not confirmed"),
    ],
)
def test_a_certificate_in_another_name_confirms_no_key(
    tmp_path: Path, kind: x509.ObjectIdentifier, name: str, overall: str
) -> None:
    """Anybody can have one from the authority that the reader relies on."""
    payload = opened().payload
    public = algorithms.load_public(payload.workshop.keys[0])
    subject = x509.Name([x509.NameAttribute(kind, name or payload.workshop.name)])
    leaf, root = issued(subject, public, ca=False), issued(ROOT, ROOT_KEY.public_key(), ca=True)
    (tmp_path / "record.json").write_bytes((VECTOR / "record.json").read_bytes())
    (tmp_path / "certificate.pem").write_bytes(leaf.public_bytes(Encoding.PEM))
    result = verify(tmp_path / "record.json", Asked(today=TODAY, trust=Trust(roots=(root,))))
    said = [check.code for check in result.checks if check.number == 5]
    assert said == ["key-chained", *(["certificate-other-name"] if name else [])]
    assert result.overall == overall


@pytest.mark.parametrize(
    ("code", "counts"), [("key-chained", True), *((one, False) for one in sorted(REVOKED))]
)
def test_a_key_whose_certificate_was_revoked_withdraws_nothing(code: str, counts: bool) -> None:
    """A thief could have made it as well, with any date; so it is with a key card."""
    assert code in CODES
    record = opened()
    kid = record.payload.workshop.keys[0]["kid"]
    said = answer(code, WORDS, [fingerprint_words(kid)], date="2026-11-25")
    about = statements.subject_of(RecordCheck((said,), record, (kid,)))
    found = statements.later(about, lying_beside.beside(VECTOR), Trust(), TODAY, WORDS)
    assert [one.code for one in found] == ["record-withdrawn" if counts else "statement-by-another"]
    assert (checks.overall([said, *found]) == "superseded") == counts or code == "key-revoked"


@pytest.mark.parametrize("code", ["key-chained-not-revoked", *sorted(REVOKED)])
def test_pages_signed_by_a_key_that_was_revoked_are_drawn_again(code: str) -> None:
    """A record may stand by its time-stamp; pages that a thief signs around it do not."""
    said = RecordCheck((answer(code, WORDS, date="2026-11-25"),), None)
    assert pages_against.others_may_sign(Trust(), said) == (code in REVOKED)
