"""Each check of `pdf_checks` finds its fault: a conforming file is spoiled in one way at a time."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import pdf_checks
import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, String

from dossier.pages.tagging import DataTable, Figure, Heading, Text


@pytest.fixture(scope="module")
def sound(build: Any, styles: Any) -> bytes:
    return build(
        [
            Heading("One", 1, styles.heading),
            Text('Words with <a href="https://example.org/">a link</a>.', styles.body),
            Figure(lambda c, w, h: c.rect(0, 0, w, h), 50, 20, "A box"),
            DataTable(["a", "b"], [["1", "2"], ["3", "4"]], [50, 50], styles.look),
        ]
    )


def first(pdf: pikepdf.Pdf, kind: str) -> Any:
    return next(e for e in pdf_checks.every_element(pdf.Root.StructTreeRoot) if kind == e.S)


def font(pdf: pikepdf.Pdf) -> Any:
    return next(iter(pdf.pages[0].Resources.Font.values()))


def wider(pdf: pikepdf.Pdf) -> None:
    for made in pdf.pages[0].Resources.Font.values():
        made.Widths = Array([float(w) + 40 for w in made.Widths])


def other_subtype(pdf: pikepdf.Pdf) -> None:
    font(pdf).Subtype = Name.Type1


def meaningless(pdf: pikepdf.Pdf) -> None:
    for made in pdf.pages[0].Resources.Font.values():
        made.ToUnicode = pdf.make_stream(b"1 beginbfchar\n<41> <0000>\nendbfchar")


def no_struct_parents(pdf: pikepdf.Pdf) -> None:
    del pdf.pages[0].StructParents


def swapped_parents(pdf: pikepdf.Pdf) -> None:
    listed = pdf.Root.StructTreeRoot.ParentTree.Nums[1]
    listed[0], listed[1] = listed[1], listed[0]


def no_type(pdf: pikepdf.Pdf) -> None:
    del first(pdf, "/TBody").S


def odd_type(pdf: pikepdf.Pdf) -> None:
    first(pdf, "/THead").S = Name("/TableTop")


def role_to_itself(pdf: pikepdf.Pdf) -> None:
    pdf.Root.StructTreeRoot.RoleMap = Dictionary(THead=Name.THead)


def empty_title(pdf: pikepdf.Pdf) -> None:
    raw = pdf.Root.Metadata.read_bytes()
    start, end = raw.index(b"<rdf:li xml:lang"), raw.index(b"</dc:title>")
    empty = raw[:start] + b'<rdf:li xml:lang="x-default"></rdf:li></rdf:Alt>' + raw[end:]
    pdf.Root.Metadata = pdf.make_stream(empty, Type=Name.Metadata, Subtype=Name.XML)


def other_author(pdf: pikepdf.Pdf) -> None:
    pdf.trailer.Info.Author = String("Somebody else")


def wrong_components(pdf: pikepdf.Pdf) -> None:
    pdf.Root.OutputIntents[0].DestOutputProfile.N = 4


def untied_link(pdf: pikepdf.Pdf) -> None:
    pdf.pages[0].Annots[0].StructParent = 99


def unmarked_words(pdf: pikepdf.Pdf) -> None:
    raw = pdf.pages[0].Contents.read_bytes()
    pdf.pages[0].Contents = pdf.make_stream(raw + b"\n0 0 10 10 re f")


def uneven_table(pdf: pikepdf.Pdf) -> None:
    del first(pdf, "/TR").K[1]


def no_alternate_text(pdf: pikepdf.Pdf) -> None:
    del first(pdf, "/Figure").Alt


SPOILED: list[tuple[Callable[[pikepdf.Pdf], None], str]] = [
    (wider, "width of code"),
    (other_subtype, "does not fit its font program"),
    (meaningless, "has no meaning"),
    (no_struct_parents, "no StructParents"),
    (swapped_parents, "not reached through the parent tree"),
    (no_type, "without /S"),
    (odd_type, "not a standard one"),
    (role_to_itself, "to itself"),
    (empty_title, "dc:title is empty"),
    (other_author, "/Author differs"),
    (wrong_components, "/N says 4"),
    (untied_link, "not tied to an element"),
    (unmarked_words, "outside marked content"),
    (uneven_table, "rows differ in length"),
    (no_alternate_text, "without alternate text"),
]


def test_the_file_is_sound(sound: bytes, assert_conforming: Any) -> None:
    assert_conforming(sound)


@pytest.mark.parametrize(("spoil", "message"), SPOILED, ids=[f.__name__ for f, _ in SPOILED])
def test_fault_is_found(sound: bytes, spoil: Callable[[pikepdf.Pdf], None], message: str) -> None:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(sound)) as pdf:
        spoil(pdf)
        pdf.save(out)
    found = pdf_checks.faults(out.getvalue(), profiles=())
    assert any(message in fault for fault in found), found
