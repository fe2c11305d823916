"""Time-stamps against openssl (RFC 3161 requests, answers, verification) and against hostile answers."""

from __future__ import annotations

import datetime as dt
import hashlib
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from asn1crypto import cms, tsp
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import ExtendedKeyUsageOID
from hypothesis import given, settings
from hypothesis import strategies as st
from time_server import NOW, YEAR, Authority, openssl

from dossier.errors import KeyFileError
from dossier.seal import der, stamp, stamp_chain, stamp_token
from dossier.seal.stamp_codes import CODES, StampError
from dossier.words import Catalogue

DATA = b'{"payload":"...","signatures":[]}'
NONCE = bytes.fromhex("8000000000000000ffffffffffffff01")


@pytest.fixture(scope="module")
def authority(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    return Authority(tmp_path_factory.mktemp("authority"))


@pytest.fixture(scope="module")
def answer(authority: Authority) -> bytes:
    return authority.answer(stamp.request(DATA, NONCE))


@pytest.fixture(scope="module")
def token(answer: bytes) -> bytes:
    return stamp.received(answer, DATA, NONCE, now())


def now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)


def code_of(call: Callable[[], object]) -> str:
    with pytest.raises(StampError) as caught:
        call()
    return caught.value.code


def pem(path: Path, *certificates: Any) -> Path:
    path.write_bytes(b"".join(one.public_bytes(Encoding.PEM) for one in certificates))
    return path


@pytest.mark.parametrize("nonce", [b"\x00" * 15 + b"\x01", b"\x7f" + b"\xff" * 15, NONCE, bytes(16)])
def test_the_request_is_the_one_openssl_makes(tmp_path: Path, nonce: bytes) -> None:
    """openssl ts -query reads it; asn1crypto reads the same values (RFC 3161 section 2.4.1)."""
    query = tmp_path / "one.tsq"
    query.write_bytes(stamp.request(DATA, nonce))
    said = openssl("ts", "-query", "-in", query, "-text").decode()
    assert "Hash Algorithm: sha256" in said
    assert "Certificate required: yes" in said
    read = tsp.TimeStampReq.load(query.read_bytes(), strict=True)
    assert read["nonce"].native == int.from_bytes(nonce)
    assert read["message_imprint"]["hashed_message"].native == hashlib.sha256(DATA).digest()
    assert read["cert_req"].native is True


@pytest.mark.parametrize("rsa_key", [False, True])
def test_openssl_verifies_the_file(tmp_path: Path, rsa_key: bool) -> None:
    authority = Authority(tmp_path / "a", rsa_key=rsa_key)
    got = stamp.received(authority.answer(stamp.request(DATA, NONCE)), DATA, NONCE, now())
    (tmp_path / "data").write_bytes(DATA)
    (tmp_path / "record.tsr").write_bytes(stamp.to_file(got))
    root = authority.folder / "root.pem"
    said = openssl(
        "ts", "-verify", "-data", tmp_path / "data", "-in", tmp_path / "record.tsr", "-CAfile", root
    )
    assert b"Verification: OK" in said
    assert stamp.read_file(stamp.to_file(got)) == got


def test_what_a_token_says(token: bytes, authority: Authority) -> None:
    """Against asn1crypto's reading of the same token."""
    stamped = stamp.checked(token, DATA)
    read = cms.ContentInfo.load(token)["content"]["encap_content_info"]["content"].parsed
    assert stamped.time == read["gen_time"].native
    assert stamped.no_later == stamped.time + dt.timedelta(seconds=read["accuracy"]["seconds"].native)
    assert stamped.authority == "Example Clock No. 1"
    own, issuer = stamped.certificates
    assert own == authority.own.public_bytes(Encoding.DER)
    assert issuer == authority.issuer.public_bytes(Encoding.DER)


def test_whom_the_reader_confirms(token: bytes, authority: Authority, tmp_path: Path) -> None:
    stamped = stamp.checked(token, DATA)
    other = Authority(tmp_path / "other")
    for known in (authority.root, authority.issuer, authority.own):
        given = stamp_chain.from_file(pem(tmp_path / "given.pem", other.root, known))
        assert stamp_chain.is_confirmed(stamped, given)
    for unknown in (other.root, other.own):
        assert not stamp_chain.is_confirmed(stamped, (unknown.public_bytes(Encoding.DER),))
    assert not stamp_chain.is_confirmed(stamped, ())
    one = tmp_path / "one.der"
    one.write_bytes(authority.root.public_bytes(Encoding.DER))
    assert stamp_chain.is_confirmed(stamped, stamp_chain.from_file(one))


def test_an_issuer_that_may_not_issue_ends_the_path(tmp_path: Path) -> None:
    """RFC 5280 section 6.1.4 (k): openssl refuses it too."""
    authority = Authority(tmp_path / "a", issuer_is_ca=False)
    got = stamp.received(authority.answer(stamp.request(DATA, NONCE)), DATA, NONCE, now())
    root = (authority.root.public_bytes(Encoding.DER),)
    assert not stamp_chain.is_confirmed(stamp.checked(got, DATA), root)
    (tmp_path / "data").write_bytes(DATA)
    (tmp_path / "r.tsr").write_bytes(stamp.to_file(got))
    with pytest.raises(AssertionError, match=r"(?i)invalid CA|verif"):
        openssl(
            *("ts", "-verify", "-data", tmp_path / "data", "-in", tmp_path / "r.tsr"),
            *("-CAfile", authority.folder / "root.pem"),
        )


def test_a_file_that_is_no_certificate(tmp_path: Path) -> None:
    (tmp_path / "x.pem").write_bytes(b"-----BEGIN CERTIFICATE-----\nAAAA\n-----END CERTIFICATE-----\n")
    with pytest.raises(KeyFileError, match="no certificate"):
        stamp_chain.from_file(tmp_path / "x.pem")


def test_another_document(token: bytes) -> None:
    assert code_of(lambda: stamp.checked(token, DATA + b" ")) == "time-stamp-other"


def test_an_answer_to_another_request(answer: bytes) -> None:
    assert code_of(lambda: stamp.received(answer, DATA, bytes(16), now())) == "nonce"
    assert code_of(lambda: stamp.received(answer, b"x", NONCE, now())) == "time-stamp-other"


def test_a_clock_that_is_wrong(answer: bytes) -> None:
    assert code_of(lambda: stamp.received(answer, DATA, NONCE, now() - dt.timedelta(days=1))) == "clocks"


def test_a_refusal(authority: Authority) -> None:
    """openssl refuses a digest that it was not told of (SHA-1), with status 2."""
    query = tsp.TimeStampReq(
        {
            "version": "v1",
            "message_imprint": {"hash_algorithm": {"algorithm": "sha1"}, "hashed_message": bytes(20)},
            "cert_req": True,
        }
    ).dump()
    assert code_of(lambda: stamp.received(authority.answer(query), DATA, NONCE, now())) == "refused"


def test_a_certificate_that_has_run_out(tmp_path: Path) -> None:
    authority = Authority(tmp_path, until=NOW - YEAR)
    got = authority.answer(stamp.request(DATA, NONCE))
    assert code_of(lambda: stamp.received(got, DATA, NONCE, now())) == "time-stamp-not-valid-then"


def test_a_signature_that_does_not_hold(token: bytes) -> None:
    read = stamp_token.read(token)
    other = read._replace(signature=read.signature[:-1] + bytes([read.signature[-1] ^ 1]))
    assert code_of(lambda: stamp.checked(stamp_token.put_together(other), DATA)) == "time-stamp-wrong"


def test_another_content_than_the_one_signed(token: bytes) -> None:
    read = stamp_token.read(token)
    content = read.content.replace(read.info.imprint, hashlib.sha256(b"mine").digest())
    other = stamp_token.put_together(read._replace(content=content))
    assert code_of(lambda: stamp.checked(other, b"mine")) == "time-stamp-wrong"


def test_an_unknown_way_of_signing(token: bytes) -> None:
    """ecdsa-with-SHA1 (RFC 3279): named, not checked, never a pass."""
    weak = der.tlv(der.SEQUENCE, der.tlv(der.OID, bytes.fromhex("2a8648ce3d0401")))
    other = stamp_token.read(token)._replace(signature_algorithm=weak)
    assert code_of(lambda: stamp.checked(stamp_token.put_together(other), DATA)) == "time-stamp-algorithm"


def test_an_unknown_hash_of_the_certificate_is_no_sign_of_another_one(tmp_path: Path) -> None:
    """SHA3-256 in the ESSCertIDv2 (RFC 5035 section 4), by openssl: nothing is wrong with such a one."""
    answer = Authority(tmp_path, ess="sha3-256").answer(stamp.request(DATA, b"12345678"))
    token = stamp_token.normal(stamp._granted(answer))
    assert code_of(lambda: stamp.checked(token, DATA)) == "time-stamp-algorithm"


def test_a_certificate_swapped_for_another_of_the_same_name(token: bytes, authority: Authority) -> None:
    """The attack that the signing-certificate attribute stops (RFC 5035): same key, issuer and serial."""
    read = stamp_token.read(token)
    swapped = bytearray(read.certificates[0])
    swapped[-1] ^= 1  # the issuer's signature on it: still issuer, serial and key
    other = stamp_token.put_together(read._replace(certificates=(bytes(swapped),)))
    assert code_of(lambda: stamp.checked(other, DATA)) == "time-stamp-certificate"


@pytest.mark.parametrize(
    ("purposes", "critical"),
    [
        ((ExtendedKeyUsageOID.TIME_STAMPING,), False),
        ((ExtendedKeyUsageOID.TIME_STAMPING, ExtendedKeyUsageOID.CODE_SIGNING), True),
        ((ExtendedKeyUsageOID.CODE_SIGNING,), True),
    ],
)
def test_a_certificate_for_something_else(
    token: bytes, tmp_path: Path, purposes: Any, critical: bool
) -> None:
    """RFC 3161 section 2.3. openssl will not sign with such a certificate, so the token is signed here."""
    other = Authority(tmp_path, purposes=purposes, critical=critical)
    forged = signed_again(stamp_token.read(token), other)
    assert code_of(lambda: stamp.checked(forged, DATA)) == "time-stamp-purpose"


def test_a_time_at_the_end_of_all_days(token: bytes, tmp_path: Path) -> None:
    """RFC 5280 section 4.1.2.5: 99991231235959Z is the end of a certificate that has none."""
    read = stamp_token.read(token)
    last = dt.datetime(9999, 12, 31, 23, 59, 59, tzinfo=dt.UTC)
    content = read.content.replace(f"{read.info.time:%Y%m%d%H%M%SZ}".encode(), b"99991231235959Z")
    assert content != read.content
    endless = Authority(tmp_path, until=last)
    forged = signed_again(read._replace(content=content), endless)
    assert code_of(lambda: stamp.checked(forged, DATA)) == "time-stamp-shape"
    assert stamp.checked(signed_again(read, endless), DATA)


def test_a_certificate_that_is_empty(token: bytes) -> None:
    read = stamp_token.read(token)
    more = stamp_token.put_together(read._replace(certificates=(*read.certificates, b"\x30\x00")))
    assert code_of(lambda: stamp.checked(more, DATA)) == "time-stamp-shape"


def test_a_certificate_of_the_year_nought(tmp_path: Path) -> None:
    """ISO 8601 has a year 0000, and Python's dates have none."""
    authority = Authority(tmp_path, until=dt.datetime(2060, 1, 1, tzinfo=dt.UTC))
    read = stamp_token.read(stamp.received(authority.answer(stamp.request(DATA, NONCE)), DATA, NONCE, now()))
    own = read.certificates[0].replace(b"20600101000000Z", b"00000101000000Z")
    assert own != read.certificates[0]
    forged = stamp_token.put_together(read._replace(certificates=(own,)))
    assert code_of(lambda: stamp.checked(forged, DATA)) in ("time-stamp-shape", "time-stamp-certificate")
    authority.own = x509.load_der_x509_certificate(own)
    assert code_of(lambda: stamp.checked(signed_again(read, authority), DATA)) == "time-stamp-shape"


def signed_again(read: stamp_token.Token, authority: Authority) -> bytes:
    """The same content under another authority's P-256 key, in CMS made by asn1crypto's rules."""
    from cryptography.hazmat.primitives import hashes, serialization  # noqa: PLC0415 - here alone
    from cryptography.hazmat.primitives.asymmetric import ec  # noqa: PLC0415

    own = authority.own.public_bytes(Encoding.DER)
    signing = tsp.SigningCertificateV2({"certs": [{"cert_hash": hashlib.sha256(own).digest()}]})
    attributes = cms.CMSAttributes(
        [
            {"type": "content_type", "values": ["tst_info"]},
            {"type": "message_digest", "values": [hashlib.sha256(read.content).digest()]},
            {"type": "signing_certificate_v2", "values": [signing]},
        ]
    )
    key = serialization.load_pem_private_key((authority.folder / "tsa.key").read_bytes(), None)
    assert isinstance(key, ec.EllipticCurvePrivateKey)
    made = read._replace(
        certificates=(own,),
        attributes=attributes.contents if attributes.contents else der.one(attributes.dump(), 0x31).body,
        signature=key.sign(attributes.dump(), ec.ECDSA(hashes.SHA256())),
        digest_algorithm=stamp_token.SHA256,
        signature_algorithm=der.tlv(der.SEQUENCE, der.tlv(der.OID, bytes.fromhex("2a8648ce3d040302"))),
    )
    return stamp_token.put_together(made)


def test_signed_again_by_a_proper_authority_holds(token: bytes, tmp_path: Path) -> None:
    """The check of the forger above: with a right certificate the same token holds."""
    assert stamp.checked(signed_again(stamp_token.read(token), Authority(tmp_path)), DATA)


def test_an_old_sha1_signing_certificate_is_not_enough(tmp_path: Path) -> None:
    """RFC 5816: the first signing-certificate attribute knows SHA-1 alone."""
    authority = Authority(tmp_path, ess="sha1")
    got = authority.answer(stamp.request(DATA, NONCE))
    assert code_of(lambda: stamp.received(got, DATA, NONCE, now())) == "time-stamp-shape"


def test_what_anybody_could_add_is_not_kept(answer: bytes, token: bytes, tmp_path: Path) -> None:
    """A stranger's certificate and an unsigned attribute, put in by asn1crypto."""
    more = tsp.TimeStampResp.load(answer)["time_stamp_token"].copy()
    stranger = Authority(tmp_path).root.public_bytes(Encoding.DER)
    more["content"]["certificates"].append(cms.CertificateChoices.load(stranger))
    more["content"]["signer_infos"][0]["unsigned_attrs"] = [{"type": "content_type", "values": ["data"]}]
    changed = more.dump(force=True)
    assert code_of(lambda: stamp.checked(changed, DATA)) == "time-stamp-shape"
    assert stamp_token.normal(changed) == token


def test_a_last_certificate_that_nothing_vouches_for(token: bytes) -> None:
    own, issuer = stamp_token.read(token).certificates
    assert stamp_token.read(stamp_token.without(token, frozenset())).certificates == (own,)
    assert stamp_token.without(token, frozenset({issuer})) == token


def test_no_bit_of_a_token_can_be_flipped_unnoticed(token: bytes) -> None:
    """Outside the last certificate, which only a path to a given one looks at; see `without`."""
    bare = stamp_token.without(token, frozenset())
    seeded = random.Random(20261125)
    for at in sorted(seeded.sample(range(len(bare) * 8), 4000)):
        changed = bytearray(bare)
        changed[at // 8] ^= 1 << at % 8
        assert code_of(lambda changed=bytes(changed): stamp.checked(changed, DATA)) in CODES


@pytest.mark.parametrize("cut", [0, 1, 2, 20, 400, -1])
def test_cut_short(token: bytes, cut: int) -> None:
    assert code_of(lambda: stamp.checked(token[:cut], DATA)) == "time-stamp-shape"
    assert code_of(lambda: stamp.read_file(stamp.to_file(token)[:cut])) == "time-stamp-shape"


@settings(deadline=None, max_examples=300)
@given(st.binary(max_size=300), st.integers(0, 2000), st.integers(0, 40))
def test_nothing_but_our_error_escapes(noise: bytes, at: int, instead: int) -> None:
    base = _ONE[0] if _ONE else b""
    for data in (noise, base[:at] + noise + base[at + instead :]):
        for call in (stamp_token.read, stamp_token.normal, stamp.read_file):
            try:
                call(data)
            except StampError as error:
                assert error.code in CODES
        try:
            stamp.checked(data, DATA)
        except StampError as error:
            assert error.code in CODES


_ONE: list[bytes] = []


@pytest.fixture(autouse=True, scope="module")
def _keep(token: bytes) -> None:
    _ONE.append(token)


def test_too_large() -> None:
    huge = der.tlv(der.SEQUENCE, bytes(stamp_token.MOST_BYTES))
    assert code_of(lambda: stamp.checked(huge, DATA)) == "time-stamp-shape"
    assert code_of(lambda: stamp.received(huge, DATA, NONCE, now())) == "time-stamp-shape"


def test_every_code_has_words() -> None:
    words = Catalogue("en")
    assert [code for code in CODES if not words.has(f"stamp.code.{code}")] == []
