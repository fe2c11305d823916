"""Reading back what was written."""

from __future__ import annotations

import hashlib
import zlib
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from dossier.container import hashing
from dossier.container.compare import compare_pages
from dossier.container.hashing import hash_many, hash_ranges
from dossier.container.pictures import placed_pictures
from dossier.container.read import page_digests, read_dossier
from dossier.errors import UnreadableError
from dossier.seal.pdf import check_pdf_signature


def test_what_was_written_is_found(signed: Path, attachments: Any) -> None:
    found = read_dossier(signed)
    assert found.findings == ()
    assert (found.size, found.pages, found.revision_end) == (signed.stat().st_size, 3, signed.stat().st_size)
    wanted = sorted(attachments, key=lambda a: a.name)
    assert [(a.name, a.media_type, a.relationship, a.length) for a in found.attachments] == [
        (w.name, w.media_type, w.relationship, w.size) for w in wanted
    ]
    assert [a.description for a in found.attachments] == [w.description for w in wanted]
    digests = hash_many(signed, [[(a.offset, a.length)] for a in found.attachments])
    assert [d.hex() for d in digests] == [w.sha256 for w in wanted]


def test_what_many_names_lead_to_is_hashed_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """FIPS 180-2, B.1: the digest of "abc"."""
    (tmp_path / "abc").write_bytes(b"xabc")
    asked: list[object] = []

    def counted(path: Path, ranges: hashing.Ranges) -> bytes:
        asked.append(ranges)
        return hash_ranges(path, ranges)

    monkeypatch.setattr(hashing, "hash_ranges", counted)
    found = hash_many(tmp_path / "abc", [[(1, 3)], [(0, 1)], *([[(1, 3)]] * 50)])
    abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert [one.hex() == abc for one in found] == [True, False, *([True] * 50)]
    assert len(asked) == 2


def test_it_agrees_with_qpdf(signed: Path) -> None:
    found = read_dossier(signed)
    with pikepdf.open(signed, attempt_recovery=False) as pdf:
        assert len(pdf.pages) == found.pages
        for name, spec in pdf.attachments.items():
            ours = found.attachment(name)
            assert ours is not None
            start = ours.offset
            assert spec.get_file().read_bytes() == signed.read_bytes()[start : start + ours.length]
        signature = pdf.Root.AcroForm.Fields[0].V
        assert found.signature is not None
        assert tuple(int(n) for n in signature.ByteRange) == found.signature.byte_range
        assert bytes(signature.Contents).hex().encode() == found.signature.contents
        assert str(signature.Name) == found.signature.name == "B\u00e9n\u00e9t & Sons (trial)"
        assert found.signature.when == str(signature.M) == "D:20260115120000Z"


def test_the_signature_holds(signed: Path, maker: Any) -> None:
    found = read_dossier(signed)
    assert found.signature is not None
    digest = hash_ranges(signed, found.signature.ranges)
    whole = signed.read_bytes()
    _, b, c, _ = found.signature.byte_range
    assert digest == hashlib.sha256(whole[:b] + whole[c:]).digest()
    check = check_pdf_signature(found.signature, digest, [maker.key.public])
    assert (check.verdict, check.code) == ("matches", "pdf-signature-matches")


def test_an_unsigned_file_has_no_signature(maker: Any) -> None:
    found = read_dossier(maker.dossier(sign=None))
    assert (found.findings, found.signature) == ((), None)


def test_the_same_pages_drawn_again(signed: Path, maker: Any) -> None:
    assert not compare_pages(signed, maker.pages())
    assert len(set(page_digests(signed))) == 3


def test_hashing_beyond_the_end(signed: Path) -> None:
    with pytest.raises(UnreadableError) as raised:
        hash_ranges(signed, [(10, signed.stat().st_size)])
    assert raised.value.code == "truncated"


def test_pictures_of_the_pages(signed: Path, maker: Any) -> None:
    """Each picture as it stands, by the digest of its bytes; attachments are none of them."""
    placed = placed_pictures(signed)
    assert len(placed) == 3
    for digest, picture in placed.items():
        assert hashlib.sha256(picture).hexdigest() == digest
        assert picture.startswith(b"\xff\xd8")
    with pikepdf.open(signed) as pdf:
        raw = {bytes(page.Resources.XObject.P0.read_raw_bytes()) for page in pdf.pages}
    assert raw == set(placed.values())


def test_what_does_not_inflate_is_another_page(signed: Path, maker: Any, forgery: Any) -> None:
    """A damaged stream, bytes after its end, another packing: the first two differ, the last does not."""
    page = forgery.objects[forgery.numbers("/Type", "/Page")[1]][0]
    content = forgery.objects[page["/Contents"].number]
    packed, path = content[1], maker.folder / "packed.pdf"
    plain = zlib.decompress(packed)
    for stream, differs in (
        (packed[:-6] + b"\0" * 6, (2,)),
        (packed + b"hidden", (2,)),
        (plain, (2,)),
        (zlib.compress(plain, 0), ()),
    ):
        content[1] = stream
        path.write_bytes(forgery.whole())
        assert compare_pages(path, maker.pages()).pages == differs
