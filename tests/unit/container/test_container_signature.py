"""Whether a PDF's signature holds: every answer has a file that gives it."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path
from typing import Any

import msgspec
import pytest
from asn1crypto import cms as asn1_cms
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, ed25519
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature, encode_dss_signature
from cryptography.hazmat.primitives.serialization import Encoding

from dossier.container.hashing import hash_ranges
from dossier.container.read import read_dossier
from dossier.container.write import write_dossier
from dossier.errors import KeyFileError, OutputError
from dossier.model import signature_slot
from dossier.model.container import SignatureInfo
from dossier.model.result import Check
from dossier.seal import cms, stamp
from dossier.seal.algorithms import P256_ORDER
from dossier.seal.keys import WorkshopKey, self_issued
from dossier.seal.pdf import WORDS, check_pdf_signature, sign_pdf, time_stamp
from dossier.seal.stamp_codes import StampError

SEEN: set[str] = set()


@pytest.fixture(scope="module")
def found(signed: Path) -> SignatureInfo:
    info = read_dossier(signed).signature
    assert info is not None
    return info


@pytest.fixture(scope="module")
def digest(signed: Path, found: SignatureInfo) -> bytes:
    return hash_ranges(signed, found.ranges)


@pytest.fixture(scope="module")
def parts(found: SignatureInfo) -> cms.Parts:
    return cms.take_apart(cms.unpadded(found.contents))


def checked(found: SignatureInfo | None, der: bytes | None, digest: bytes, key: Any) -> Check:
    if found is not None and der is not None:
        contents = der.hex().encode().ljust(2 * signature_slot.CONTENTS_BYTES, b"0")
        found = SignatureInfo(byte_range=found.byte_range, contents=contents)
    check = check_pdf_signature(found, digest, [key.public])
    SEEN.add(check.code)
    return check


def other_key(now: Any) -> WorkshopKey:
    private = ec.generate_private_key(ec.SECP256R1())
    return WorkshopKey(private, self_issued(private, "Another Workshop", now=now))


def signed_parts(key: WorkshopKey, digest: bytes, certificate_digest: bytes | None = None) -> cms.Parts:
    assert key.certificate is not None
    der = key.certificate.public_bytes(Encoding.DER)
    said = certificate_digest or cms.certificate_digest(der)
    signature = key.private.sign(cms.signed_attributes(digest, said), ec.ECDSA(hashes.SHA256()))
    r, s = decode_dss_signature(signature)
    return cms.Parts(der, digest, said, encode_dss_signature(r, min(s, P256_ORDER - s)))


def test_it_matches(found: SignatureInfo, digest: bytes, maker: Any) -> None:
    assert checked(found, None, digest, maker.key).code == "pdf-signature-matches"


def test_absent(digest: bytes, maker: Any) -> None:
    assert checked(None, None, digest, maker.key).code == "pdf-signature-absent"


def test_bytes_after_it(found: SignatureInfo, digest: bytes, parts: cms.Parts, maker: Any) -> None:
    der = cms.assemble(parts) + b"\0\0\1"
    assert checked(found, der, digest, maker.key).code == "pdf-signature-padding"


@pytest.mark.parametrize("der", [b"", b"\x30\x80\0\0", b"\x30\x82\0\x10" + b"\5" * 16, b"\x30\x82\xff\xff"])
def test_no_cms(found: SignatureInfo, digest: bytes, maker: Any, der: bytes) -> None:
    assert checked(found, der, digest, maker.key).code == "pdf-signature-not-canonical"


def test_more_in_it_than_was_made(found: SignatureInfo, digest: bytes, parts: cms.Parts, maker: Any) -> None:
    """An unsigned attribute, a second certificate, a second signer: all outside what is signed."""
    for change in (add_attribute, add_certificate, add_signer):
        info = asn1_cms.ContentInfo.load(cms.assemble(parts))
        change(info["content"])
        check = checked(found, info.dump(force=True), digest, maker.key)
        assert check.code == "pdf-signature-not-canonical"


def add_attribute(signed: Any) -> None:
    extra = asn1_cms.CMSAttribute({"type": "content_type", "values": ["data"]})
    signed["signer_infos"][0]["unsigned_attrs"] = asn1_cms.CMSAttributes([extra])


def add_certificate(signed: Any) -> None:
    signed["certificates"].append(signed["certificates"][0].copy())


def add_signer(signed: Any) -> None:
    signed["signer_infos"].append(signed["signer_infos"][0].copy())


def test_a_time_stamp_is_handed_to_its_own_check(
    found: SignatureInfo, digest: bytes, parts: cms.Parts, maker: Any
) -> None:
    """The signature says nothing of a token inside it; check 9 does, and finds that this is none."""
    no_stamp = cms.assemble(parts)
    der = cms.assemble(parts._replace(token=no_stamp))
    assert checked(found, der, digest, maker.key).code == "pdf-signature-matches"
    contents = der.hex().encode().ljust(2 * signature_slot.CONTENTS_BYTES, b"0")
    given = time_stamp(SignatureInfo(byte_range=found.byte_range, contents=contents))
    assert given == (no_stamp, parts.signature)
    with pytest.raises(StampError):
        stamp.checked(*given)
    assert time_stamp(found) is None


def test_another_file(found: SignatureInfo, maker: Any) -> None:
    assert checked(found, None, bytes(32), maker.key).code == "pdf-signature-digest"


def test_a_part_of_the_file(found: SignatureInfo, digest: bytes, maker: Any) -> None:
    """It holds for the file as it was signed; another fault is said first."""
    public = [maker.key.public]
    check = check_pdf_signature(found, digest, public, of_all=False)
    SEEN.add(check.code)
    assert (check.verdict, check.code) == ("does not match", "pdf-signature-of-part")
    assert check_pdf_signature(found, bytes(32), public, of_all=False).code == "pdf-signature-digest"


def test_another_certificate_said(found: SignatureInfo, digest: bytes, maker: Any) -> None:
    der = cms.assemble(signed_parts(maker.key, digest, bytes(32)))
    assert checked(found, der, digest, maker.key).code == "pdf-signature-certificate"


def test_another_kind_of_key(found: SignatureInfo, digest: bytes, parts: cms.Parts, maker: Any) -> None:
    private = ed25519.Ed25519PrivateKey.generate()
    der = self_issued(private, "x", now=maker.key.certificate.not_valid_before_utc).public_bytes(Encoding.DER)
    changed = parts._replace(certificate=der, certificate_digest=cms.certificate_digest(der))
    check = checked(found, cms.assemble(changed), digest, maker.key)
    assert check.code == "pdf-signature-algorithm"


def test_a_signature_over_something_else(
    found: SignatureInfo, digest: bytes, parts: cms.Parts, maker: Any
) -> None:
    changed = parts._replace(signature=maker.key.private.sign(b"else", ec.ECDSA(hashes.SHA256())))
    check = checked(found, cms.assemble(changed), digest, maker.key)
    assert check.code == "pdf-signature-wrong"


def test_the_other_of_two_equal_signatures(
    found: SignatureInfo, digest: bytes, parts: cms.Parts, maker: Any
) -> None:
    r, s = decode_dss_signature(parts.signature)
    changed = parts._replace(signature=encode_dss_signature(r, P256_ORDER - s))
    check = checked(found, cms.assemble(changed), digest, maker.key)
    assert check.code == "pdf-signature-wrong"


def test_another_workshop(found: SignatureInfo, digest: bytes, maker: Any) -> None:
    other = other_key(maker.key.certificate.not_valid_before_utc)
    der = cms.assemble(signed_parts(other, digest))
    assert checked(found, der, digest, maker.key).code == "pdf-signature-other-key"
    assert checked(found, der, digest, other).code == "pdf-signature-matches"


def test_signature_of_another_dossier(found: SignatureInfo, digest: bytes, maker: Any) -> None:
    info = read_dossier(maker.dossier(maker.pages(2))).signature
    assert info is not None
    assert checked(info, None, digest, maker.key).code == "pdf-signature-digest"


def test_a_signed_file_wrapped_in_another(signed: Path, maker: Any, make_attachment: Any) -> None:
    """Wrapping: the signed original is inside, the outside is signed by somebody else."""
    other = other_key(maker.key.certificate.not_valid_before_utc)
    wrapped = maker.folder / "wrapped.pdf"
    inside = make_attachment("original.pdf", signed.read_bytes(), media_type="application/pdf")
    when = maker.key.certificate.not_valid_before_utc
    write_dossier(wrapped, maker.pages(1), [inside], lambda path, _: sign_pdf(path, other, when=when))
    outside = read_dossier(wrapped)
    assert outside.findings == ()
    assert outside.signature is not None
    digest = hash_ranges(wrapped, outside.signature.ranges)
    assert checked(outside.signature, None, digest, maker.key).code == "pdf-signature-other-key"


def test_every_answer_was_given() -> None:
    from dossier.words import _file  # noqa: PLC0415 - the list of codes

    assert set(_file("en", "seal_pdf")["check"]) == SEEN
    assert WORDS.has("seal_pdf.check.pdf-signature-matches")


def test_openssl_says_the_same(signed: Path, found: SignatureInfo, maker: Any, tmp_path: Path) -> None:
    """OpenSSL's CMS verification (RFC 5652) over the two stretches."""
    openssl = shutil.which("openssl")
    if openssl is None:
        pytest.skip("openssl is not installed")
    whole = signed.read_bytes()
    (a, b), (c, d) = found.ranges
    (tmp_path / "signed").write_bytes(whole[a : a + b] + whole[c : c + d])
    (tmp_path / "cms.der").write_bytes(cms.unpadded(found.contents))
    command = [openssl, "cms", "-verify", "-inform", "DER", "-in", "cms.der", "-content", "signed", "-binary"]
    (tmp_path / "certificate.pem").write_bytes(maker.key.certificate.public_bytes(Encoding.PEM))
    command += ["-CAfile", "certificate.pem", "-partial_chain", "-purpose", "any", "-cades", "-out", "out"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    (tmp_path / "signed").write_bytes(whole[a : a + b] + whole[c : c + d - 1])
    assert subprocess.run(command, cwd=tmp_path, capture_output=True, check=False).returncode != 0


def test_a_key_that_readers_of_pdf_do_not_take(maker: Any) -> None:
    private = ed25519.Ed25519PrivateKey.generate()
    when = maker.key.certificate.not_valid_before_utc
    key = WorkshopKey(private, self_issued(private, "x", now=when))
    with pytest.raises(KeyFileError):
        maker.dossier(sign=lambda path, _: sign_pdf(path, key, when=when))


def test_a_certificate_of_another_key(maker: Any) -> None:
    when = maker.key.certificate.not_valid_before_utc
    key = msgspec.structs.replace(maker.key, certificate=other_key(when).certificate)
    for wrong in (key, msgspec.structs.replace(maker.key, certificate=None)):
        with pytest.raises(KeyFileError):
            maker.dossier(sign=lambda path, _, wrong=wrong: sign_pdf(path, wrong, when=when))


def test_nothing_is_signed_twice(signed: Path, maker: Any, tmp_path: Path) -> None:
    path = tmp_path / "again.pdf"
    path.write_bytes(signed.read_bytes())
    with pytest.raises(OutputError):
        maker.sign(path)
    assert path.read_bytes() == signed.read_bytes()


def test_texts_that_do_not_fit(maker: Any) -> None:
    when = maker.key.certificate.not_valid_before_utc
    with pytest.raises(OutputError):
        maker.dossier(sign=lambda path, _: sign_pdf(path, maker.key, when=when, name="\u2014" * 600))
