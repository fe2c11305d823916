"""Tokens and certificates that no well-behaved authority of time-stamps makes, by what the standards say.

RFC 3161 and 5816 (tokens), RFC 2634 and RFC 5035 5.4 (the certificate that is signed with), RFC 5280 4.2.1
(extensions). Made with asn1crypto and the library `cryptography`, each right in every other respect.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Sequence
from typing import Any

import pytest
from asn1crypto import cms, core, tsp
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa, utils
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID, ObjectIdentifier
from time_server import NOW, YEAR

from dossier.flows.verifying import checks, times
from dossier.seal import record, stamp, stamp_chain, stamp_codes, stamp_token
from dossier.seal.stamp_algorithms import DIGESTS
from dossier.seal.stamp_codes import AHEAD, MATCHES, StampError
from dossier.words import Catalogue

DATA = b"what was stamped"
Extension = tuple[x509.ExtensionType, bool]
ROOT_KEY, ISSUER_KEY, KEY = (ec.generate_private_key(ec.SECP256R1()) for _ in range(3))
AUTHORITY: Extension = (x509.BasicConstraints(ca=True, path_length=None), True)
STAMPS: Extension = (x509.ExtendedKeyUsage([ExtendedKeyUsageOID.TIME_STAMPING]), True)
UNKNOWN: Extension = (x509.UnrecognizedExtension(ObjectIdentifier("1.2.3.4.5"), b"\x05\x00"), True)
ELSEWHERE = x509.DirectoryName(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Elsewhere")]))


def certificate(name: str, key: Any, issuer: Any, issuer_key: Any, *extensions: Extension) -> Any:
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])
    made = x509.CertificateBuilder().subject_name(subject).public_key(key.public_key())
    made = made.issuer_name(issuer.subject if issuer else subject).serial_number(x509.random_serial_number())
    made = made.not_valid_before(NOW - YEAR).not_valid_after(NOW + YEAR)
    for extension, critical in extensions:
        made = made.add_extension(extension, critical=critical)
    return made.sign(issuer_key, hashes.SHA256())


ROOT = certificate("Root", ROOT_KEY, None, ROOT_KEY, AUTHORITY)
ISSUER = certificate("Issuer", ISSUER_KEY, ROOT, ROOT_KEY, AUTHORITY)
OWN = certificate("Clock", KEY, ISSUER, ISSUER_KEY, STAMPS)


def usage(**said: bool) -> Extension:
    names = (
        "digital_signature",
        "content_commitment",
        "key_encipherment",
        "data_encipherment",
        "key_agreement",
    )
    others = ("key_cert_sign", "crl_sign", "encipher_only", "decipher_only")
    return x509.KeyUsage(**dict.fromkeys((*names, *others), False) | said), True


def attribute(kind: str, value: Any) -> Any:
    return cms.CMSAttribute({"type": kind, "values": [value]})


def token(
    own: Any = OWN, issuer: Any = ISSUER, *, data: bytes = DATA, more: Sequence[Any] = (), **said: Any
) -> bytes:
    """A token by `own`; `said`: other members of its TSTInfo; `more`: signed attributes besides."""
    imprint = {"hash_algorithm": {"algorithm": "sha256"}, "hashed_message": hashlib.sha256(data).digest()}
    members = {
        "version": 1,
        "policy": "1.2.3",
        "message_imprint": imprint,
        "serial_number": 1,
        "gen_time": NOW,
    }
    content = tsp.TSTInfo(members | said).dump()
    ders = [one.public_bytes(Encoding.DER) for one in (own, issuer)]
    named = asn1_x509.Certificate.load(ders[0])
    signing = tsp.SigningCertificateV2({"certs": [{"cert_hash": hashlib.sha256(ders[0]).digest()}]})
    signed = cms.CMSAttributes(
        [
            attribute("content_type", "tst_info"),
            attribute("message_digest", hashlib.sha256(content).digest()),
            attribute("signing_certificate_v2", signing),
            *more,
        ]
    )
    signer = {
        "version": "v1",
        "sid": cms.SignerIdentifier(
            {
                "issuer_and_serial_number": cms.IssuerAndSerialNumber(
                    {"issuer": named.issuer, "serial_number": named.serial_number}
                )
            }
        ),
        "digest_algorithm": {"algorithm": "sha256"},
        "signed_attrs": signed,
        "signature_algorithm": {"algorithm": "sha256_ecdsa"},
        "signature": KEY.sign(signed.untag().dump(), ec.ECDSA(hashes.SHA256())),
    }
    whole = {
        "version": "v3",
        "digest_algorithms": [{"algorithm": "sha256"}],
        "encap_content_info": {"content_type": "tst_info", "content": core.ParsableOctetString(content)},
        "certificates": [asn1_x509.Certificate.load(der) for der in ders],
        "signer_infos": [signer],
    }
    made = cms.ContentInfo({"content_type": "signed_data", "content": cms.SignedData(whole)})
    return stamp_token.normal(made.dump())


def code(made: bytes) -> str:
    try:
        stamp.checked(made, DATA)
    except StampError as error:
        return error.code
    return ""


def extension_of_tst(*, critical: Any) -> list[Any]:
    return [{"extn_id": "1.2.3.4.5", "critical": critical, "extn_value": b"\x05\x00"}]


def test_a_critical_extension_of_a_token_is_not_passed_over() -> None:
    assert code(token()) == ""
    assert code(token(extensions=extension_of_tst(critical=False))) == ""
    assert code(token(extensions=extension_of_tst(critical=True))) == "time-stamp-algorithm"
    in_ber = core.Boolean(True)
    in_ber.contents = b"\x01"  # X.690 section 8.2.2: any bits but none
    assert code(token(extensions=extension_of_tst(critical=in_ber))) == "time-stamp-algorithm"


def test_the_older_name_of_the_certificate_is_held_against_it_too() -> None:
    """RFC 5035 section 5.4: where both attributes are there, each is evaluated by itself (from memory)."""

    def older(of: Any) -> Any:
        digest = hashlib.sha1(of.public_bytes(Encoding.DER)).digest()
        return attribute("signing_certificate", tsp.SigningCertificate({"certs": [{"cert_hash": digest}]}))

    assert code(token(more=[older(OWN)])) == ""
    assert code(token(more=[older(ISSUER)])) == "time-stamp-certificate"


def test_a_second_form_of_a_token_says_the_same() -> None:
    """FORMAT.md section 4: n - s (n of P-256: FIPS 186-4 D.1.2.3); a hash's name with NULL and without."""
    n = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551
    first = token()
    read = stamp_token.read(first)
    r, s = utils.decode_dss_signature(read.signature)
    (name,) = {one for one, hashed in DIGESTS.items() if hashed == "sha256"} - {read.digest_algorithm}
    others = (
        read._replace(signature=utils.encode_dss_signature(r, n - s)),
        read._replace(digest_algorithm=name),
    )
    for second in map(stamp_token.put_together, others):
        assert second != first
        assert stamp.checked(second, DATA)._replace(token=first) == stamp.checked(first, DATA)


@pytest.mark.parametrize(
    "algorithm",
    [
        "2.16.840.1.101.3.4.3.20",  # id-slh-dsa-sha2-128s, RFC 9909
        "1.2.840.113549.1.1.10",  # RSASSA-PSS, without the parameters that say which hash (RFC 4055)
    ],
)
def test_issuers_that_cannot_be_told_here_make_no_token_wrong(algorithm: str) -> None:
    """A later program knows that this issuer signed; this one does not."""
    der = asn1_x509.Certificate.load(OWN.public_bytes(Encoding.DER))
    other = {"algorithm": algorithm}
    der["tbs_certificate"]["signature"], der["signature_algorithm"] = other, other
    own = x509.load_der_x509_certificate(der.dump(force=True))
    for signer, wanted in ((own, "time-stamp-algorithm"), (OWN, "time-stamp-shape")):
        read = stamp_token.read(token(signer, ROOT))
        both = (read.certificates[0], ROOT.public_bytes(Encoding.DER))
        assert code(stamp_token.put_together(read)) == ""
        assert code(stamp_token.put_together(read._replace(certificates=both))) == wanted


def test_an_authority_with_a_small_key_vouches_for_nobody() -> None:
    """1024 bits: not since 2013 (NIST SP 800-131A, from memory); whoever has broken it makes any signer's."""
    for bits, wanted in ((1024, False), (2048, True)):
        key = rsa.generate_private_key(65537, bits)
        issuer = certificate("Issuer", key, ROOT, ROOT_KEY, AUTHORITY)
        found = stamp.checked(token(certificate("Clock", KEY, issuer, key, STAMPS), issuer), DATA)
        assert stamp_chain.is_confirmed(found, [ROOT.public_bytes(Encoding.DER)]) == wanted


def test_a_way_of_stamping_that_is_not_checked_leaves_a_file_in_order() -> None:
    """As one that cannot be opened does (FORMAT.md section 12): without it the file would be in order too."""
    said = [stamp_codes.answer("time-stamp-algorithm", Catalogue("en"))]
    assert not checks.unsure(said)


def test_an_accuracy_is_not_below_none() -> None:
    with pytest.raises(StampError, match="accuracy"):
        token(accuracy={"seconds": -5})


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ({"digital_signature": True}, ""),
        ({"content_commitment": True}, ""),
        ({"key_cert_sign": True}, "time-stamp-purpose"),
        ({"key_encipherment": True}, "time-stamp-purpose"),
    ],
)
def test_the_key_of_a_time_stamp_is_one_for_signatures(said: dict[str, bool], wanted: str) -> None:
    """RFC 5280 section 4.2.1.3."""
    assert code(token(certificate("Clock", KEY, ISSUER, ISSUER_KEY, STAMPS, usage(**said)))) == wanted


@pytest.mark.parametrize("critical", [True, False])
def test_no_path_passes_over_what_limits_it(critical: bool) -> None:
    """RFC 5280 sections 4.2 and 4.2.1.10: of what is critical and not known, and of constraints on names."""

    def confirmed(own: Any, issuer: Any, root: Any = ROOT) -> bool:
        found = stamp.checked(token(own, issuer), DATA)
        return stamp_chain.is_confirmed(found, [root.public_bytes(Encoding.DER)])

    assert confirmed(OWN, ISSUER)
    unknown = certificate("Clock", KEY, ISSUER, ISSUER_KEY, STAMPS, (UNKNOWN[0], critical))
    assert confirmed(unknown, ISSUER) != critical
    only = x509.NameConstraints(permitted_subtrees=[ELSEWHERE], excluded_subtrees=None)
    issuer = certificate("Issuer", ISSUER_KEY, ROOT, ROOT_KEY, AUTHORITY, (only, critical))
    assert not confirmed(OWN, issuer)
    root = certificate("Root", ROOT_KEY, None, ROOT_KEY, AUTHORITY, (only, critical))
    assert not confirmed(OWN, ISSUER, root)


def test_a_time_still_to_come_is_said_and_proves_nothing(sealed: Any, words: Catalogue) -> None:

    today = NOW.date()
    root = (ROOT.public_bytes(Encoding.DER),)
    for ahead, wanted in ((0, MATCHES), (1, MATCHES), (30, AHEAD)):
        made = token(data=record.to_stamp(sealed), gen_time=NOW + dt.timedelta(days=ahead))
        found = times.of_record(sealed, stamp.to_file(made), root, words, today=today)
        assert [one.code for one in found.answers] == [wanted], ahead
        assert (found.stamped is None) == (wanted == AHEAD)
