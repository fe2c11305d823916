"""Pages as the program really draws them, with text, fonts, a table, a link and pictures."""

from __future__ import annotations

import datetime as dt
import io
import tracemalloc
import zlib
from collections.abc import Callable
from typing import Any

import pytest
from PIL import Image
from plain_pages import plain_pages
from reportlab.lib.styles import ParagraphStyle

from dossier.container import graph
from dossier.container.compare import compare_pages
from dossier.container.hashing import hash_ranges
from dossier.container.read import page_digests, read_dossier
from dossier.pages import fonts
from dossier.pages.tagging import DataTable, Document, Heading, Meta, NewPage, Picture, TableLook, Text
from dossier.seal.pdf import check_pdf_signature

MADE = dt.datetime(2026, 1, 15, 12, 0, tzinfo=dt.UTC)


def jpeg(shade: int) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), (shade, 120, 60)).save(out, "JPEG")
    return out.getvalue()


def drawn(condition: str = "worn", shade: int = 90, rows: int = 60, title: str = "A clock") -> bytes:
    fonts.register()
    body = ParagraphStyle("body", fontName="Serif", fontSize=10, leading=14)
    head = ParagraphStyle("head", fontName="Sans-Semibold", fontSize=14, leading=18)
    look = TableLook(head, body)
    story = [
        Heading("What is original", 1, head),
        Text('Dial and hands; see <a href="https://example.org/check">how to check</a>.', body),
        NewPage(),
        Heading("Condition", 1, head),
        Text(f"The case is {condition}.", body),
        Picture(jpeg(shade), 200, 150, "the case from the front"),
        NewPage(),
        Heading("Parts", 1, head),
        DataTable(["no.", "part"], [[str(n), f"part {n}"] for n in range(1, rows + 1)], [60, 300], look),
    ]
    meta = Meta(title, "en", MADE, bytes(16))
    signing = {"signature_fields": {"Signature1": "seal"}}
    return Document(meta, (595, 842), (50, 50, 50, 50), fonts.fonts(), **signing).build(story)


@pytest.fixture(scope="module")
def pages() -> bytes:
    return drawn()


def test_it_conforms_and_is_in_order(
    pages: bytes, maker: Any, assert_conforming: Callable[..., None]
) -> None:
    path = maker.dossier(pages)
    assert_conforming(path.read_bytes())
    found = read_dossier(path)
    assert found.findings == ()
    assert found.signature is not None
    digest = hash_ranges(path, found.signature.ranges)
    assert check_pdf_signature(found.signature, digest, [maker.key.public]).verdict == "matches"
    assert not compare_pages(path, drawn())
    numbered_anew = plain_pages(drawn())
    assert numbered_anew != drawn()
    assert not compare_pages(path, numbered_anew)


@pytest.mark.parametrize(
    ("change", "pages_that_differ"),
    [({"condition": "like new"}, (2,)), ({"shade": 200}, (2,))],
)
def test_what_differs_is_named(
    pages: bytes, maker: Any, change: dict[str, Any], pages_that_differ: tuple[int, ...]
) -> None:
    found = compare_pages(maker.dossier(pages), drawn(**change))
    assert found.counts is None
    assert set(pages_that_differ) <= set(found.pages)


def test_another_title_is_no_other_page(pages: bytes, maker: Any) -> None:
    found = compare_pages(maker.dossier(pages), drawn(title="Record of a lock"))
    assert (found.pages, found.counts) == ((), None)
    assert "metadata" in found.others


def test_words_that_look_like_a_signature_hide_nothing(pages: bytes, maker: Any) -> None:
    """The title is read in many programs; a field's own signature alone is left out of the comparison."""
    path = maker.dossier(drawn(title="The seal /FT /Sig /V 5 0 R"))
    assert not compare_pages(path, drawn(title="The seal /FT /Sig /V 5 0 R"))
    found = compare_pages(path, drawn(title="The seal /FT /Sig"))
    assert {"information", "metadata"} <= set(found.others)


def test_bits_of_the_last_codes_are_no_free_ones() -> None:
    """Six letters in fixed codes (RFC 1951, 3.2.6): five, the same from two back, seven zeros for the end.

    From one back it is the same as well. The last bit of the distance is the lowest of its byte.
    """
    codes = "110" + "110010000" * 2 + "10010001" * 3 + "0000001" + "00001" + "0000000"
    packed = int(codes[::-1], 2).to_bytes(-(-len(codes) // 8), "little")
    plain = zlib.decompress(packed, wbits=-15)
    assert plain == b"\x90\x90" + b"a" * 6
    assert packed[-1] == 1
    stream = b"\x78\x9c" + packed + zlib.adler32(plain).to_bytes(4, "big")
    piece = graph.Piece(b"<< /Filter /FlateDecode >>", 1, len(stream))
    window = graph.Window(io.BytesIO(b" " + stream), 1 + len(stream))
    assert b"".join(graph._decoded(window, piece)) == plain


def test_a_page_more_is_counted(pages: bytes, maker: Any) -> None:
    found = compare_pages(maker.dossier(pages), drawn(rows=160))
    assert found.counts is not None
    assert found.counts[0] < found.counts[1]


def test_pages_of_one_dossier_are_told_apart(pages: bytes, maker: Any) -> None:
    digests = page_digests(maker.dossier(pages))
    assert len(set(digests)) == len(digests) > 3


@pytest.mark.campaign
def test_reading_takes_little_memory(maker: Any) -> None:
    path = maker.dossier(drawn(rows=2000))
    tracemalloc.start()
    assert read_dossier(path).findings == ()
    assert tracemalloc.get_traced_memory()[1] < 30 << 20
    tracemalloc.stop()
