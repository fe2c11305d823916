"""Any byte of a signed dossier changed is noticed, and what it belongs to is named."""

from __future__ import annotations

import hashlib
import zlib
from pathlib import Path
from typing import Any

import pytest

from dossier.container.compare import compare_pages
from dossier.container.hashing import hash_ranges
from dossier.container.read import page_digests, read_dossier
from dossier.container.values import Name
from dossier.errors import UnreadableError
from dossier.seal.pdf import check_pdf_signature


def said_of(path: Path, key: Any, attachments: Any) -> tuple[list[str], list[str]]:
    """Codes of everything that is off, and the names of attachments that differ."""
    found = read_dossier(path)
    codes = [f.code for f in found.findings]
    digest = hash_ranges(path, found.signature.ranges) if found.signature and not codes else b""
    check = check_pdf_signature(found.signature, digest, [key.public])
    if check.verdict != "matches":
        codes.append(check.code)
    wanted = {a.name: a.sha256 for a in attachments}
    whole = path.read_bytes()
    differ = [
        a.name
        for a in found.attachments
        if hashlib.sha256(whole[a.offset : a.offset + a.length]).hexdigest() != wanted.get(a.name)
    ]
    return codes, differ


def flipped(whole: bytes, at: int, bits: int) -> bytes:
    return whole[:at] + bytes((whole[at] ^ bits,)) + whole[at + 1 :]


@pytest.mark.parametrize(
    ("bits", "step"),
    [
        (0x01, 151),
        (0x20, 307),
        *(pytest.param(bits, 11, marks=pytest.mark.campaign) for bits in (0x01, 0x10, 0x20, 0x80, 0xFF)),
    ],
)
def test_every_kth_byte(
    signed: Path, maker: Any, attachments: Any, tmp_path: Path, bits: int, step: int
) -> None:
    whole, path = signed.read_bytes(), tmp_path / "flipped.pdf"
    info = read_dossier(signed).signature
    assert info is not None
    contents = range(info.byte_range[1] + 1500, info.byte_range[2] - 1500)  # zeros, looked at below
    places = [at for at in range(bits % 7, len(whole), step) if at not in contents]
    ends = [*range(15), *range(len(whole) - 120, len(whole), 3)]
    assert len(places) > 50
    for at in [*ends, *places, contents[0], contents[-1]]:
        path.write_bytes(flipped(whole, at, bits))
        try:
            codes, _ = said_of(path, maker.key, attachments)
        except UnreadableError as error:
            codes = [error.code]
        assert codes, f"byte {at}"


@pytest.mark.parametrize("step", [29, pytest.param(1, marks=pytest.mark.campaign)])
def test_every_kth_byte_of_the_signature(signed: Path, maker: Any, step: int) -> None:
    found = read_dossier(signed)
    assert found.signature is not None
    digest = hash_ranges(signed, found.signature.ranges)
    contents = found.signature.contents
    used = len(contents.rstrip(b"0")) + 2
    for at in [*range(0, used, step), *range(used, len(contents), 997), len(contents) - 1]:
        changed = type(found.signature)(
            byte_range=found.signature.byte_range, contents=flipped(contents, at, 0x01)
        )
        assert check_pdf_signature(changed, digest, [maker.key.public]).verdict == "does not match", at


def test_upper_case_digits_are_not_the_same_signature(signed: Path, maker: Any) -> None:
    found = read_dossier(signed).signature
    assert found is not None
    changed = type(found)(byte_range=found.byte_range, contents=found.contents.upper())
    digest = hash_ranges(signed, found.ranges)
    assert check_pdf_signature(changed, digest, [maker.key.public]).code == "pdf-signature-not-canonical"


def test_a_flip_in_an_attachment_names_it(signed: Path, maker: Any, attachments: Any, tmp_path: Path) -> None:
    path = tmp_path / "flipped.pdf"
    for attached in read_dossier(signed).attachments:
        if attached.length:
            path.write_bytes(flipped(signed.read_bytes(), attached.offset + attached.length // 2, 4))
            codes, differ = said_of(path, maker.key, attachments)
            assert (codes, differ) == (["pdf-signature-digest"], [attached.name])


def test_a_changed_page_is_named(maker: Any) -> None:
    path = maker.dossier(maker.pages(marks={2: "0 0 10 10 re f"}))
    assert compare_pages(path, maker.pages()).pages == (2,)
    assert not compare_pages(path, maker.pages(marks={2: "0 0 10 10 re f"}))


def test_other_differences_are_named(maker: Any) -> None:
    path = maker.dossier()
    assert compare_pages(path, maker.pages(title="A smaller record")).others == ("metadata",)
    more = compare_pages(path, maker.pages(4))
    assert more.counts == (3, 4)
    assert more.pages == (1,)  # its link and its field have other numbers in the structure
    assert {"outline", "structure"} <= set(more.others)


def test_numbering_makes_no_difference(maker: Any) -> None:
    pages = maker.pages()
    assert not compare_pages(maker.dossier(pages, attachments=()), pages)
    assert not compare_pages(maker.dossier(pages, sign=None), pages)


def test_the_title_a_viewer_shows_is_compared(maker: Any, forgery: Any) -> None:
    """ISO 32000-1 table 317: the information dictionary stands in the trailer, not in the catalogue."""
    pages, path = maker.pages(), maker.folder / "titled.pdf"
    forgery.trailer["/Info"] = forgery.add({Name("/Title"): b"All original"})
    path.write_bytes(forgery.whole())
    assert compare_pages(path, pages).others == ("information",)


def test_words_after_a_content_that_was_cut_short_are_noticed(maker: Any, forgery: Any) -> None:
    """A deflated stream without its end (RFC 1950, RFC 1951), whose last bytes come of input already taken.

    A reader of the decoded bytes in pieces of a fixed size may stop before them; a viewer shows them.
    """
    content = b" " * (1 << 16)
    packer = zlib.compressobj(9)
    packed = packer.compress(content + b" 1 0 0 rg 9 9 99 99 re f " * 8) + packer.flush(zlib.Z_SYNC_FLUSH)
    for cut in range(16):
        unpacker = zlib.decompressobj()
        short = packed[: len(packed) - cut]
        if unpacker.decompress(short, 1 << 16) == content and not unpacker.unconsumed_tail:
            break
    assert unpacker.decompress(b"", 1 << 16)  # what the viewer shows besides
    page = forgery.objects[forgery.numbers("/Type", Name("/Page"))[0]][0]
    stream = forgery.objects[page[Name("/Contents")].number]
    paths = [maker.folder / "whole.pdf", maker.folder / "short.pdf"]
    for path, bytes_ in zip(paths, (zlib.compress(content), short), strict=True):
        stream[1] = bytes_
        path.write_bytes(forgery.whole())
    whole, cut_short = map(page_digests, paths)
    assert whole[0] != cut_short[0]
    assert whole[1:] == cut_short[1:]
