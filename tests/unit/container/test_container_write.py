"""What is written, seen by programs of others: page-validation, pyHanko, poppler, qpdf (through pikepdf)."""

from __future__ import annotations

import errno
import hashlib
import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import page as page_validation
import pikepdf
import pytest
from cryptography.hazmat.primitives.serialization import Encoding
from pyhanko.keys import load_cert_from_pemder
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko_certvalidator import ValidationContext

from dossier.container import write
from dossier.container.write import write_dossier
from dossier.errors import ChangedError, OutputError, UsageError


def poppler(tool: str) -> str:
    found = shutil.which(tool)
    if found is None and os.environ.get("CI"):
        pytest.fail(f"{tool} (poppler-utils) is not installed")
    return found or pytest.skip(f"{tool} (poppler-utils) is not installed")


@pytest.mark.parametrize("profile", ["3a", "ua1", "3b"])
def test_conforms(signed: Path, profile: str) -> None:
    whole = signed.read_bytes()
    if profile == "3b":  # a file says one conformance level; same length, so nothing moves
        whole = whole.replace(b"<pdfaid:conformance>A<", b"<pdfaid:conformance>B<")
    report = page_validation.validate_pdf_bytes(whole, profile=profile)
    assert report.is_compliant, [str(f) for f in report.failures]


def test_qpdf_finds_nothing_to_say(signed: Path) -> None:
    with pikepdf.open(signed, attempt_recovery=False) as pdf:
        assert pdf.check_pdf_syntax() == []
        assert sorted(pdf.attachments) == [
            "empty.txt", "manifest.sha256", "photo-002.jpg", "record.json",
            "return.txt", "returns.txt", "trap.txt",
        ]  # fmt: skip


def test_pyhanko_says_intact_valid_and_entire(signed: Path, maker: Any, tmp_path: Path) -> None:

    pem = tmp_path / "certificate.pem"
    pem.write_bytes(maker.key.certificate.public_bytes(Encoding.PEM))
    trust = ValidationContext(trust_roots=[load_cert_from_pemder(pem)], allow_fetching=False)
    with signed.open("rb") as file:
        embedded = PdfFileReader(file).embedded_signatures
        status = validate_pdf_signature(embedded[0], trust)
    assert len(embedded) == 1
    assert status.intact and status.valid
    assert status.coverage.name == "ENTIRE_FILE"
    assert embedded[0].sig_object["/SubFilter"] == "/ETSI.CAdES.detached"


def test_pdfsig_says_valid_over_the_total_document(signed: Path) -> None:
    said = subprocess.run([poppler("pdfsig"), signed], capture_output=True, text=True, check=False).stdout
    assert "Signature is Valid." in said
    assert "Total document signed" in said
    assert "ETSI.CAdES.detached" in said


def test_pdfdetach_gives_the_same_bytes(signed: Path, attachments: Any, tmp_path: Path) -> None:
    subprocess.run([poppler("pdfdetach"), "-saveall", "-o", tmp_path, signed], check=True)
    for wanted in attachments:
        assert (tmp_path / wanted.name).read_bytes() == wanted.source


def test_a_stranger_can_cut_out_an_attachment(signed: Path, attachments: Any) -> None:
    whole = signed.read_bytes()
    for wanted in attachments:
        between = b"\r\n" if wanted.source.endswith(b"\r") else b"\n"
        assert b"\nstream\n" + wanted.source + between + b"endstream\nendobj\n" in whole


def test_one_revision_and_only_the_contents_are_not_signed(signed: Path) -> None:
    whole = signed.read_bytes()
    with pikepdf.open(signed) as pdf:
        a, b, c, d = (int(n) for n in pdf.Root.AcroForm.Fields[0].V.ByteRange)
    assert (a, c + d) == (0, len(whole))
    assert whole[b:c].startswith(b"<") and whole[b:c].endswith(b">")
    assert set(whole[b + 1 : c - 1]) <= set(b"0123456789abcdef")
    assert whole.count(b"%%EOF") == 2  # one of them inside an attachment


def test_same_arguments_same_bytes_up_to_the_signature(maker: Any) -> None:
    pages = maker.pages()  # once: qpdf puts the time into the second half of the fixture's /ID
    one, two = maker.dossier(pages).read_bytes(), maker.dossier(pages).read_bytes()
    with pikepdf.open(maker.folder / "dossier-1.pdf") as pdf:
        _, b, c, _ = (int(n) for n in pdf.Root.AcroForm.Fields[0].V.ByteRange)
    assert one[:b] + one[c:] == two[:b] + two[c:]
    assert maker.dossier(pages, sign=None).read_bytes() == maker.dossier(pages, sign=None).read_bytes()


def test_xmp_and_id_are_the_pages_own(maker: Any) -> None:
    pages = maker.pages()
    with pikepdf.open(maker.dossier(pages)) as written, pikepdf.open(maker.folder / "dossier-1.pdf"):
        xmp = written.Root.Metadata.read_raw_bytes()
        assert written.trailer.ID[0] == pikepdf.String(b"0123456789abcdef")
    assert xmp in pages


def test_unsigned_pages_have_no_slot_and_conform(maker: Any) -> None:
    written = maker.dossier(sign=None)
    assert b"/ByteRange" not in written.read_bytes()
    assert page_validation.validate_pdf_bytes(written.read_bytes(), profile="3a").is_compliant


@pytest.mark.parametrize(
    "name", ["../x", "a/b", "a\\b", "", ".", "..", ".x", "a b", "x.", "CON", "nul.txt", "\u00e9"]
)
def test_names_that_may_not_be(maker: Any, make_attachment: Callable[..., Any], name: str) -> None:
    with pytest.raises(UsageError):
        maker.dossier(attachments=[make_attachment(name, b"x")])


def test_two_names_that_are_one_file_on_some_systems(maker: Any, make_attachment: Callable[..., Any]) -> None:
    with pytest.raises(UsageError):
        maker.dossier(attachments=[make_attachment("a.txt", b"x"), make_attachment("A.txt", b"y")])


@pytest.mark.parametrize("change", [{"sha256": hashlib.sha256(b"y").hexdigest()}, {"size": 2}])
def test_a_changed_source_leaves_the_earlier_file(
    maker: Any, make_attachment: Callable[..., Any], change: dict[str, Any]
) -> None:
    target = maker.folder / "kept.pdf"
    target.write_bytes(b"earlier")
    with pytest.raises(ChangedError):
        write_dossier(target, maker.pages(), [make_attachment("x.txt", b"x", **change)], None)
    assert target.read_bytes() == b"earlier"
    assert [p.name for p in maker.folder.iterdir()] == ["kept.pdf"]


@pytest.mark.parametrize(
    ("there", "said"), [(b"y", "is not what it was"), (None, "could not be read: No such")]
)
def test_a_source_that_changed_or_is_gone_is_named_as_it_is_known(
    maker: Any, make_attachment: Callable[..., Any], there: bytes | None, said: str
) -> None:
    """By its own name; not as if the dossier could not be written, which sends people to another disk."""
    source = maker.folder / "IMG_1.jpg"
    if there:
        source.write_bytes(there)
    with pytest.raises(ChangedError, match=f"IMG_1.jpg: {said}") as told:
        maker.dossier(attachments=[make_attachment("photo-001.jpg", b"x", source=source)])
    assert not isinstance(told.value.__cause__, OSError)


def test_a_failed_signature_leaves_the_earlier_file(maker: Any) -> None:
    target = maker.folder / "kept.pdf"
    target.write_bytes(b"earlier")

    def fail(path: Path, before: Any) -> None:
        raise RuntimeError("no key")

    with pytest.raises(RuntimeError):
        write_dossier(target, maker.pages(), [], fail)
    assert target.read_bytes() == b"earlier"
    assert [p.name for p in maker.folder.iterdir()] == ["kept.pdf"]


def test_a_file_from_disk_goes_in_as_it_is(maker: Any, make_attachment: Callable[..., Any]) -> None:
    content = os.urandom((5 << 20) + 7)
    source = maker.folder / "big.bin"
    source.write_bytes(content)
    written = maker.dossier(attachments=[make_attachment("big.bin", content, source=source)])
    with pikepdf.open(written) as pdf:
        assert pdf.attachments["big.bin"].get_file().read_bytes() == content


def test_a_disk_that_is_full_amid_an_attachment_is_said(
    maker: Any, make_attachment: Callable[..., Any]
) -> None:
    """By a limit of the system's own on the size of a file (setrlimit(2))."""
    resource = pytest.importorskip("resource")
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    source = maker.folder / "big.bin"
    source.write_bytes(bytes(6 << 20))
    attachment = make_attachment("big.bin", bytes(6 << 20), source=source)
    resource.setrlimit(resource.RLIMIT_FSIZE, (3 << 20, before[1]))
    try:
        with pytest.raises(OutputError, match="File too large"):
            maker.dossier(attachments=[attachment])
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    assert list(maker.folder.iterdir()) == [source]


def test_what_the_disk_says_halfway_is_not_lost(
    maker: Any, make_attachment: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """An error of writing back is told to one flush alone, be it one on the way (fsync(2))."""
    said = [OSError(errno.EIO, "Input/output error")]
    monkeypatch.setattr(write, "_BEHIND", 1)
    monkeypatch.setattr(write, "flush", lambda file: said and (_ for _ in ()).throw(said.pop()))
    with pytest.raises(OutputError, match="Input/output error"):
        maker.dossier(attachments=[make_attachment("a.bin", b"a"), make_attachment("b.bin", b"b")])
    assert not list(maker.folder.iterdir())


@pytest.mark.parametrize(
    "pages", [b"", b"%PDF-1.7\n", b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n" + b"x" * 99 + b"\nstartxref\n15\n%%EOF\n"]
)
def test_pages_in_another_form_are_refused(maker: Any, pages: bytes) -> None:
    with pytest.raises(OutputError, match="not in the form of a dossier"):
        maker.dossier(pages)
    assert not list(maker.folder.iterdir())


def test_pages_without_a_field_for_the_signature_are_refused(maker: Any) -> None:
    pages = maker.pages().replace(b"/T (Signature1)", b"/T (SignatureX)")
    with pytest.raises(OutputError, match="no signature field Signature1"):
        maker.dossier(pages)
    assert not list(maker.folder.iterdir())
