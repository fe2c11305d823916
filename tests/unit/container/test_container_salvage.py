"""What is attached to a dossier is found after other programs have saved it: qpdf (pikepdf), pyHanko."""

from __future__ import annotations

import hashlib
import io
import zlib
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pikepdf import ObjectStreamMode, StreamDecodeLevel
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.pdf_utils.writer import copy_into_new_writer

from dossier.container.salvage import embedded
from dossier.errors import UnreadableError
from dossier.model.container import Limits

MANY = 1 << 20


def by_qpdf(whole: bytes, **options: Any) -> bytes:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(whole)) as pdf:
        pdf.save(out, **options)
    return out.getvalue()


def by_pyhanko(whole: bytes) -> bytes:
    out = io.BytesIO()
    copy_into_new_writer(PdfFileReader(io.BytesIO(whole))).write(out)
    return out.getvalue()


WAYS: dict[str, Any] = {
    "as it is": lambda whole: whole,
    "qpdf": by_qpdf,
    "qpdf, objects packed": lambda w: by_qpdf(w, object_stream_mode=ObjectStreamMode.generate),
    "qpdf, for the web": lambda w: by_qpdf(w, linearize=True),
    "qpdf, unpacked": lambda w: by_qpdf(
        w, compress_streams=False, stream_decode_level=StreamDecodeLevel.generalized
    ),
    "qpdf, readable": lambda w: by_qpdf(w, qdf=True),
    "qpdf, packed anew": lambda w: by_qpdf(w, recompress_flate=True),
    "pyHanko": by_pyhanko,
}


def found_in(path: Path, content: bytes, begins: bytes = b"{", most: int = MANY) -> list[Any]:
    path.write_bytes(content)
    return embedded(path, (begins,), most)


@pytest.mark.parametrize("way", WAYS)
def test_everything_attached_is_found(signed: Path, attachments: Any, tmp_path: Path, way: str) -> None:
    found = found_in(tmp_path / "x.pdf", WAYS[way](signed.read_bytes()))
    digests = [one.sha256 for one in found]
    assert sorted(digests) == sorted(one.sha256 for one in attachments)
    contents = {one.sha256: one.source for one in attachments}
    for one in found:
        whole = contents[one.sha256]
        whole = whole if isinstance(whole, bytes) else whole.read_bytes()
        assert one.content == (whole if whole.startswith(b"{") else b"")


def stream(content: bytes, entries: bytes = b"", length: int | None = None) -> bytes:
    said = len(content) if length is None else length
    head = b"1 0 obj\n<< /Type /EmbeddedFile %s /Length %d >>\nstream\n" % (entries, said)
    return head + content + b"\nendstream\nendobj\n"


def test_what_is_asked_for_is_kept_up_to_a_bound(tmp_path: Path) -> None:
    """Both are found; once what is kept comes to more than was asked for, nothing more is."""
    one, two = b"{" + b"1" * 600, b"{" + b"2" * 600
    found = found_in(tmp_path / "x.pdf", b"%PDF-1.7\n" + stream(one) + stream(two), most=1000)
    assert [item.sha256 for item in found] == [hashlib.sha256(each).hexdigest() for each in (one, two)]
    assert [item.content for item in found] == [one, b""]


def test_streams_packed_in_other_ways_are_left_aside(tmp_path: Path) -> None:
    pieces = [
        stream(b"{}", b"/Filter /LZWDecode"),
        stream(b"{}", b"/Filter [/ASCIIHexDecode /FlateDecode]"),
        stream(b"{}", b"/Filter /FlateDecode"),  # not what it says
        b"<< /EmbeddedFiles 3 0 R >> /EmbeddedFile",
    ]
    assert found_in(tmp_path / "x.pdf", b"".join(pieces)) == []


@pytest.mark.parametrize("end", [b"\n", b"\r\n", b""])
def test_a_length_that_stands_elsewhere(tmp_path: Path, end: bytes) -> None:
    """As qpdf writes it where people shall read the file; ISO 32000-2, 7.3.8.1, on the line end before."""
    elsewhere = (
        stream(b"{} \n").replace(b"/Length 4", b"/Length 9 0 R").replace(b"\nendstream", end + b"endstream")
    )
    (one,) = found_in(tmp_path / "x.pdf", elsewhere)
    assert one.content == (b"{} \n" if end else b"{} ")


@pytest.mark.parametrize("end", [b"", b"\n", b"\r", b"\r\n", b"\n\n", b" \r"])
def test_a_length_that_qpdf_writes_into_the_next_object(tmp_path: Path, end: bytes) -> None:
    """For people to read (qpdf's QDF mode): an end of line may be the file's own, as a comment says."""
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.attachments["a"] = pikepdf.AttachedFileSpec(pdf, b"{} a" + end, filename="a")
        pdf.save(tmp_path / "in.pdf", compress_streams=False)
    whole = by_qpdf((tmp_path / "in.pdf").read_bytes(), qdf=True, compress_streams=False)
    assert b"{} a" + end in whole
    (one,) = found_in(tmp_path / "x.pdf", whole)
    assert one.content == b"{} a" + end


@pytest.mark.parametrize("said", [b"3", b"7", b"100"])
def test_a_length_in_another_object_that_fits_no_end_is_not_believed(tmp_path: Path, said: bytes) -> None:
    """What lies behind a stream may be anything; only the end of a line can be the stream's own or not."""
    elsewhere = stream(b"{} a").replace(b"/Length 4", b"/Length 9 0 R")
    after = b"9 0 obj\n" + said + b"\nendobj\n"
    (one,) = found_in(tmp_path / "x.pdf", elsewhere + after)
    assert one.content == b"{} a"


def test_a_bomb_is_not_unpacked(tmp_path: Path) -> None:
    """Zeros a thousand times as many as what they are packed into."""
    packed = zlib.compress(bytes(200 << 20), 1)
    assert found_in(tmp_path / "x.pdf", stream(packed, b"/Filter /FlateDecode")) == []


def test_streams_that_lie_over_each_other_are_bounded(tmp_path: Path) -> None:
    """Hundreds that each go on to the end of the file."""
    over = b"".join(stream(b"{", length=10**9) for _ in range(300)) + bytes(8 << 20)
    assert found_in(tmp_path / "x.pdf", over) == []


def test_marks_without_end_are_not_followed(tmp_path: Path) -> None:
    """Blanks took the square of their number, at each of as many marks as fit."""
    one = b"1 0 obj<</Filter" + b" " * 3000 + b"/EmbeddedFile " * 200 + b"/X>>stream\n"
    assert found_in(tmp_path / "x.pdf", one * 400) == []


def test_a_mark_across_two_reads_is_found_once(tmp_path: Path) -> None:
    """The file is read a mebibyte at a time."""
    whole = stream(b"{}")
    at = whole.index(b"/EmbeddedFile")
    for shift in (0, 5, 12, 13, 14):
        before = bytes((1 << 20) - at - shift)
        assert len(found_in(tmp_path / "x.pdf", before + whole)) == 1


def test_two_marks_of_one_stream_are_one_file(tmp_path: Path) -> None:
    assert len(found_in(tmp_path / "x.pdf", stream(b"{}", b"/Type /EmbeddedFile"))) == 1


def test_a_mark_in_another_object_is_of_no_stream(tmp_path: Path) -> None:
    other = b"1 0 obj\n<< /Subtype /EmbeddedFile >>\nendobj\n"
    assert found_in(tmp_path / "x.pdf", other + stream(b"{}").replace(b"/Type /EmbeddedFile", b"")) == []


def test_limits_hold(signed: Path) -> None:
    assert len(embedded(signed, (b"{",), MANY, Limits(attachments=1))) == 1
    with pytest.raises(UnreadableError):
        embedded(signed, (b"{",), MANY, Limits(file_bytes=10))


@given(
    st.lists(
        st.one_of(
            st.binary(max_size=30),
            st.sampled_from(
                [b"/EmbeddedFile", b"obj", b"<<", b"/Filter /FlateDecode", b"stream\n", b"/Length 7"]
            ),
        )
    )
)
def test_no_bytes_are_too_odd(tmp_path_factory: pytest.TempPathFactory, pieces: list[bytes]) -> None:
    path = tmp_path_factory.mktemp("odd") / "x.pdf"
    for one in found_in(path, b" ".join(pieces)):
        assert len(one.content) <= MANY
