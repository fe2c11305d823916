"""Time-stamps put into the PDF later (PAdES B-LTA), seen by programs of others: pyHanko, poppler, qpdf."""

from __future__ import annotations

import asyncio
import datetime as dt
import hashlib
import io
import random
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import pikepdf
import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.serialization import Encoding
from pyhanko.keys import load_cert_from_pemder
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.ades.report import AdESStatus
from pyhanko.sign.validation.ades import ades_lta_validation
from pyhanko.sign.validation.policy_decl import PdfSignatureValidationSpec, SignatureValidationSpec
from pyhanko_certvalidator.context import CertValidationPolicySpec
from pyhanko_certvalidator.policy_decl import REQUIRE_REVINFO, CertRevTrustPolicy
from pyhanko_certvalidator.registry import SimpleTrustManager
from reportlab.lib.styles import ParagraphStyle
from time_server import NOW, YEAR, Authority

from dossier.container import time_revisions
from dossier.container.hashing import hash_ranges
from dossier.container.put_time import fields_left, put_time
from dossier.container.read import read_dossier
from dossier.container.time_revisions import Kept
from dossier.errors import NotCanonicalError, OutputError
from dossier.model.container import MOST_TIME_PLACES
from dossier.pages import fonts
from dossier.pages.tagging import Document, Heading, Meta, Text
from dossier.seal import stamp
from dossier.seal.pdf import check_pdf_signature, sign_pdf
from dossier.seal.stamp_algorithms import Hashed
from dossier.seal.stamp_codes import StampError

FIELDS = {"Signature1": "seal", "TimeStamp1": "first", "TimeStamp2": "second"}
PLACES = 150


def drawn(fields: dict[str, str]) -> bytes:
    fonts.register()
    body = ParagraphStyle("body", fontName="Serif", fontSize=10, leading=14)
    story = [Heading("What is original", 1, body), Text("The dial.", body)]
    meta = Meta("A clock", "en", NOW, bytes(16))
    page = ((595, 842), (50, 50, 50, 50))
    return Document(meta, *page, fonts.fonts(), signature_fields=fields).build(story)


class Stamped(NamedTuple):
    paths: tuple[Path, Path, Path]  # signed, with one time-stamp, with two
    authority: Authority
    key: Any


@pytest.fixture(scope="module")
def stamped(tmp_path_factory: pytest.TempPathFactory, make_maker: Any) -> Stamped:
    folder = tmp_path_factory.mktemp("times")
    authority = Authority(folder / "clock")
    maker = make_maker(folder)
    first = maker.dossier(drawn(FIELDS), sign=lambda path, _: signed_by(maker.key, authority, path))
    kept = Kept(tuple(map(der, (maker.key.certificate, authority.own, authority.issuer))), lists(authority))
    second, third = folder / "second.pdf", folder / "third.pdf"
    put_time(first, second, kept, asking(authority))
    put_time(second, third, kept, asking(authority))
    return Stamped((first, second, third), authority, maker.key)


def der(certificate: x509.Certificate) -> bytes:
    return certificate.public_bytes(Encoding.DER)


def signed_by(key: Any, authority: Authority, path: Path) -> None:
    """PAdES baseline B-T, on which the later levels stand."""
    sign_pdf(path, key, when=NOW, stamp=lambda over: asking(authority)(hashlib.sha256(over).digest()))


def asking(authority: Authority) -> Callable[[bytes], bytes]:
    def ask(digest: bytes) -> bytes:
        query = stamp.request(Hashed(digest), b"nonce-of-16-byte")
        now = dt.datetime.now(dt.UTC)
        return stamp.received(authority.answer(query), Hashed(digest), b"nonce-of-16-byte", now)

    return ask


def lists(authority: Authority) -> tuple[bytes, ...]:
    """That neither the root nor the issuer has revoked anything."""
    return tuple(
        x509.CertificateRevocationListBuilder()
        .issuer_name(name)
        .last_update(NOW - dt.timedelta(days=1))
        .next_update(NOW + YEAR)
        .sign(key, hashes.SHA256())
        .public_bytes(Encoding.DER)
        for name, key in (
            (authority.root.subject, authority.root_key),
            (authority.issuer.subject, authority.issuer_key),
        )
    )


def test_the_file_is_in_order_and_begins_as_before(stamped: Stamped) -> None:
    first, second, third = (path.read_bytes() for path in stamped.paths)
    assert second.startswith(first) and third.startswith(second)
    for count, path in enumerate(stamped.paths):
        found = read_dossier(path)
        assert (found.findings, len(found.time_stamps), fields_left(path)) == ((), count, 2 - count)
        assert found.signature is not None
        digest = hash_ranges(path, found.signature.ranges)
        assert check_pdf_signature(found.signature, digest, [stamped.key.public]).verdict == "matches"


def test_each_is_over_all_before_it(stamped: Stamped) -> None:
    path = stamped.paths[2]
    for one in read_dossier(path).time_stamps:
        token = time_revisions.token(one.contents)
        stamp.checked(token, Hashed(hash_ranges(path, one.ranges)))


def test_what_is_kept_is_kept_once(stamped: Stamped) -> None:
    one, two = read_dossier(stamped.paths[2]).time_stamps
    assert (len(one.certificates), len(one.lists)) == (3, 2)
    assert (two.certificates, two.lists) == ((), ())


def test_qpdf_finds_nothing_to_say(stamped: Stamped) -> None:
    for path in stamped.paths[1:]:
        with pikepdf.open(path, attempt_recovery=False) as pdf:
            assert pdf.check_pdf_syntax() == []
            assert len(pdf.Root.DSS.Certs) == 3


def test_it_conforms(stamped: Stamped, assert_conforming: Any) -> None:
    """The validator asks that each byte range reach the end of the file; of several, only the last can."""
    for path in stamped.paths[1:]:
        assert_conforming(path.read_bytes(), allow=frozenset({"PDFA3A-SIGNATURE-BYTERANGE-001"}))


def test_pdfsig_names_them(stamped: Stamped) -> None:
    if shutil.which("pdfsig") is None:
        pytest.skip("pdfsig (poppler-utils) is not installed")
    said = subprocess.run(["pdfsig", stamped.paths[2]], capture_output=True, text=True, check=False).stdout
    assert "Signature is Valid." in said  # of the first; this program does not check time-stamps
    assert [f"Signature Field Name: {name}" in said for name in FIELDS] == [True, True, True]


def test_pyhanko_says_it_holds_for_the_long_term(stamped: Stamped, tmp_path: Path) -> None:
    """ETSI EN 319 102-1, 5.6.3 by pyHanko: with no network, from what stands in the file alone."""
    roots = []
    for name, certificate in (("clock", stamped.authority.root), ("shop", stamped.key.certificate)):
        (tmp_path / name).write_bytes(certificate.public_bytes(Encoding.PEM))
        roots.append(load_cert_from_pemder(tmp_path / name))
    policy = CertValidationPolicySpec(SimpleTrustManager.build(roots), CertRevTrustPolicy(REQUIRE_REVINFO))
    for count, path in enumerate(stamped.paths[1:], 1):
        with path.open("rb") as file:
            reader = PdfFileReader(file)
            assert len(reader.embedded_timestamp_signatures) == count
            spec = PdfSignatureValidationSpec(SignatureValidationSpec(policy))
            result = asyncio.run(ades_lta_validation(reader.embedded_regular_signatures[0], spec))
        assert result.ades_subindic.status is AdESStatus.PASSED
        assert result.oldest_evidence_record_timestamp is not None
        assert result.api_status.modification_level.name == "LTA_UPDATES"


def test_no_place_left(stamped: Stamped, tmp_path: Path) -> None:
    with pytest.raises(OutputError):
        put_time(stamped.paths[2], tmp_path / "fourth.pdf", Kept(), asking(stamped.authority))


def test_a_token_too_large_is_said(stamped: Stamped, tmp_path: Path) -> None:
    large = time_revisions.CONTENTS_BYTES + 1
    with pytest.raises(OutputError, match=f"takes {large} bytes"):
        put_time(stamped.paths[0], tmp_path / "large.pdf", Kept(), lambda _: bytes(large))


def test_no_bit_outside_the_time_stamp_can_change(stamped: Stamped, tmp_path: Path) -> None:
    first, whole = stamped.paths[0].read_bytes(), bytearray(stamped.paths[1].read_bytes())
    (one,) = read_dossier(stamped.paths[1]).time_stamps
    _, start, behind, _ = one.byte_range
    outside = [*range(len(first), start), *range(behind, len(whole))]
    path, chance = tmp_path / "flipped.pdf", random.Random(20261126)
    for at in chance.sample(outside, PLACES):
        whole[at] ^= 1 << (bit := chance.randrange(8))
        path.write_bytes(whole)
        assert not holds(path), at
        whole[at] ^= 1 << bit


def test_no_stretch_of_it_can_be_taken_out_or_doubled(stamped: Stamped, tmp_path: Path) -> None:
    """Seeded: a stretch of the revisions left out, put in twice, or moved; never read as in order."""
    begin, whole = len(stamped.paths[0].read_bytes()), stamped.paths[2].read_bytes()
    path, chance = tmp_path / "moved.pdf", random.Random(20261126)
    for _ in range(PLACES):
        a, b, c = sorted(chance.randrange(begin, len(whole)) for _ in range(3))
        changed = chance.choice(
            (whole[:a] + whole[b:], whole[:b] + whole[a:], whole[:a] + whole[b:c] + whole[a:b] + whole[c:])
        )
        path.write_bytes(changed)
        assert changed == whole or not holds(path) or len(read_dossier(path).time_stamps) < 2, (a, b, c)


def holds(path: Path) -> bool:
    """Whether the file is in order and has a time-stamp that is over it."""
    found = read_dossier(path)
    try:
        for one in found.time_stamps:
            digest = Hashed(hash_ranges(path, one.ranges))
            stamp.checked(time_revisions.token(one.contents), digest)
    except (StampError, NotCanonicalError):
        return False
    return not found.findings


@pytest.mark.parametrize("behind", [b"\n", b"%%EOF\n", b"9 0 obj\n<< >>\nendobj\n"])
def test_nothing_else_may_follow(stamped: Stamped, tmp_path: Path, behind: bytes) -> None:
    path = tmp_path / "more.pdf"
    path.write_bytes(stamped.paths[1].read_bytes() + behind)
    found = read_dossier(path)
    assert {one.code for one in found.findings} <= {"later-revision", "bytes-after-end"}
    assert found.findings and len(found.time_stamps) == 1


def test_a_page_changed_behind_a_time_stamp(stamped: Stamped, tmp_path: Path) -> None:
    writer = IncrementalPdfFileWriter(io.BytesIO(stamped.paths[1].read_bytes()))
    writer.root["/Pages"]["/Kids"][0].get_object()["/Rotate"] = generic.NumberObject(90)
    writer.mark_update(writer.root["/Pages"]["/Kids"].raw_get(0))
    path = tmp_path / "turned.pdf"
    with path.open("wb") as out:
        writer.write(out)
    found = read_dossier(path)
    assert [one.code for one in found.findings] == ["later-revision"]
    assert found.changed_pages == (1,)


@pytest.mark.parametrize(
    "fields",
    [
        ["Signature1", "TimeStamp2"],
        ["Signature1", "Other"],
        ["Signature1", *(f"TimeStamp{n}" for n in range(1, 11))],
    ],
)
def test_fields_are_named_in_order(make_maker: Any, tmp_path: Path, fields: list[str]) -> None:
    path = make_maker(tmp_path).dossier(drawn(dict.fromkeys(fields, "x")))
    assert "form" in {one.code for one in read_dossier(path).findings}


def test_no_more_revisions_are_read_than_there_may_be_places(make_maker: Any, tmp_path: Path) -> None:
    """Each is over all before it: without a bound, a file of a gigabyte is hashed for hours."""
    fields = dict.fromkeys(["Signature1", *(f"TimeStamp{n}" for n in range(1, 13))], "x")
    assert fields_left(make_maker(tmp_path).dossier(drawn(fields))) == MOST_TIME_PLACES


def test_what_no_check_would_read_is_not_written(stamped: Stamped, tmp_path: Path) -> None:
    """CONTAINER.md, section 7: 16 MiB. Lists of large authorities have several each."""
    kept = Kept((), (bytes(8 << 20), b"x" * (8 << 20)))
    with pytest.raises(OutputError, match="16 MiB"):
        put_time(stamped.paths[1], tmp_path / "large.pdf", kept, asking(stamped.authority))
    assert not (tmp_path / "large.pdf").exists()
    put_time(stamped.paths[1], tmp_path / "fits.pdf", Kept((), kept.lists[:1]), asking(stamped.authority))
    assert read_dossier(tmp_path / "fits.pdf").findings == ()
