"""The structure tree read back (pikepdf, own walker) says what the story said, in its order."""

from __future__ import annotations

import io
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pdf_aloud
import pdf_checks
import pikepdf
import pypdfium2
import pytest
from counting import calls
from reportlab.lib.styles import ParagraphStyle

from dossier.pages.tagging import (
    Bullets,
    Columns,
    DataTable,
    Figure,
    Heading,
    NewPage,
    Numbered,
    Picture,
    Rule,
    Space,
    Text,
    Together,
    plain,
)
from dossier.pages.tagging.structure import Element

Build = Callable[..., bytes]


def skeleton(pdf_bytes: bytes) -> str:
    """The tree as nested names: `Document(H1 P(Link))`."""
    with pikepdf.open(io.BytesIO(pdf_bytes)) as pdf:
        return " ".join(_names(kid) for kid in pdf_checks.kids(pdf.Root.StructTreeRoot))


def _names(element: Any) -> str:
    inner = [_names(k) for k in pdf_checks.kids(element) if isinstance(k, pikepdf.Dictionary) and "/S" in k]
    return str(element.S)[1:] + (f"({' '.join(inner)})" if inner else "")


def texts_by_page(pdf_bytes: bytes) -> list[str]:
    """An independent reader's text, page by page."""
    document = pypdfium2.PdfDocument(pdf_bytes)
    return [page.get_textpage().get_text_range() for page in document]


def test_an_empty_cell_is_no_empty_paragraph(build: Build, styles: Any, assert_conforming: Any) -> None:
    """Its cell stays, so that the row has as many as the head (ISO 32000-1, 14.8.4.3.4)."""
    cells = [Text("a", styles.body), Text("", styles.body)]
    pdf = build([DataTable(["One", "Two"], [cells], [60, 60], styles.look)])
    assert skeleton(pdf).endswith("TBody(TR(TD(P) TD))))")
    assert_conforming(pdf)


def test_every_kind_in_order(build: Build, styles: Any, jpeg: Any, assert_conforming: Any) -> None:
    pdf = build(
        [
            Heading("One", 1, styles.heading),
            Text("First <b>words</b>.", styles.body),
            Rule(),
            Bullets(
                ["apples", [Text("pears", styles.body), Numbered(["a", "b"], styles.body, start=3)]],
                styles.body,
            ),
            Space(12),
            Columns([[Text("left", styles.body)], [Text("right", styles.body)]], [200, 200], 20),
            Picture(jpeg(), 100, 75, "A ramp", "Caption words", styles.small),
            Figure(lambda c, w, h: c.rect(0, 0, w, h), 50, 20, "A box"),
            Together([Heading("Two", 2, styles.heading), Text("Quoted", styles.body, "BlockQuote")]),
            Text("Mind this", styles.small, "Note"),
            DataTable(["No", "What"], [["1", "x"], ["2", ""]], [50, 100], styles.look, row_header=True),
        ]
    )
    assert_conforming(pdf)
    assert skeleton(pdf) == (
        "Document(H1 P L(LI(Lbl LBody) LI(Lbl LBody(P L(LI(Lbl LBody) LI(Lbl LBody))))) P P "
        "Div(Figure Caption) Figure H2 BlockQuote(P) Note "
        "Table(THead(TR(TH TH)) TBody(TR(TH TD) TR(TH TD))))"
    )
    assert pdf_aloud.structure_text(pdf) == [
        ("H1", "One"),
        ("P", "First words."),
        ("Lbl", "•"),
        ("LBody", "apples"),
        ("Lbl", "•"),
        ("P", "pears"),
        ("Lbl", "3."),
        ("LBody", "a"),
        ("Lbl", "4."),
        ("LBody", "b"),
        ("P", "left"),
        ("P", "right"),
        ("Caption", "Caption words"),
        ("H2", "Two"),
        ("P", "Quoted"),
        ("Note", "Mind this"),
        ("TH", "No"),
        ("TH", "What"),
        ("TH", "1"),
        ("TD", "x"),
        ("TH", "2"),
    ]
    assert pdf_aloud.outline(pdf) == [(1, "One"), (2, "Two")]


def test_paragraph_over_three_pages_is_one_element(build: Build, styles: Any, assert_conforming: Any) -> None:
    words = " ".join(f"word{n}" for n in range(2500))
    pdf = build([Text(words, styles.body)])
    assert_conforming(pdf)
    assert pdf_aloud.structure_text(pdf) == [("P", words)]
    assert len(texts_by_page(pdf)) >= 3


def _joined(pdf: bytes) -> str:
    [(kind, text)] = pdf_aloud.structure_text(pdf)
    assert kind == "P"
    return " ".join(text.split())


def test_styled_paragraph_keeps_its_spaces_over_lines_and_pages(build: Build, styles: Any) -> None:
    words = [f"word{n}" for n in range(1500)]
    markup = " ".join(f"<b>{w}</b>" if n % 7 == 0 else w for n, w in enumerate(words))
    assert _joined(build([Text(markup, styles.body)])) == " ".join(words)


def test_long_words_are_broken_without_spaces(build: Build, styles: Any, assert_conforming: Any) -> None:
    long = "Donaudampfschifffahrt" * 8
    pdf = build(
        [Text(f"before {long} after", styles.heading), Text(f"<i>x</i> {long} <b>y</b>", styles.heading)]
    )
    assert_conforming(pdf)
    assert [text for _, text in pdf_aloud.structure_text(pdf)] == [f"before {long} after", f"x {long} y"]


def test_table_of_200_rows_repeats_its_head_as_an_artifact(
    build: Build, styles: Any, assert_conforming: Any
) -> None:
    rows = [[f"{n}", f"part {n}", "words " * (n % 30)] for n in range(200)]
    pdf = build([DataTable(["No", "Part", "What was done"], rows, [40, 100, 300], styles.look, alt="Parts")])
    assert_conforming(pdf)
    found = pdf_aloud.structure_text(pdf)
    assert [text for kind, text in found if kind == "TH"] == ["No", "Part", "What was done"]
    cells = [cell.strip() for row in rows for cell in row if cell.strip()]
    assert [text for kind, text in found if kind == "TD"] == cells
    pages = texts_by_page(pdf)
    assert len(pages) > 4
    assert all("What was done" in page for page in pages)


def test_row_higher_than_a_page_is_cut_and_keeps_its_cells(
    build: Build, styles: Any, assert_conforming: Any
) -> None:
    long = " ".join(f"w{n}" for n in range(4000))
    pdf = build([DataTable(["No", "Words"], [["1", long], ["2", "end"]], [40, 120], styles.look)])
    assert_conforming(pdf)
    cells = [text for kind, text in pdf_aloud.structure_text(pdf) if kind == "TD"]
    assert cells == ["1", long, "2", "end"]


def test_columns_longer_than_a_page_are_read_left_first(
    build: Build, styles: Any, assert_conforming: Any
) -> None:
    left, right = (" ".join(f"{side}{n}" for n in range(1200)) for side in "lr")
    pdf = build([Columns([[Text(left, styles.body)], [Text(right, styles.body)]], [200, 200], 20)])
    assert_conforming(pdf)
    assert [t for _, t in pdf_aloud.structure_text(pdf)] == [left, right]


def test_links_have_their_own_element_words_and_target(
    build: Build, styles: Any, assert_conforming: Any
) -> None:
    pdf = build(
        [
            Heading("Top", 1, styles.heading, key="top"),
            Text(
                'See <a href="https://example.org/a?b=1&amp;c=2">this <b>bold</b> page</a>, then.',
                styles.body,
            ),
            Text('<a href="#top">Back to the top</a>', styles.body),
            Text(
                "many words " * 12
                + '<a href="https://example.org/">over the line end '
                + "on " * 20
                + "</a>",
                styles.body,
            ),
        ]
    )
    assert_conforming(pdf)
    assert pdf_aloud.structure_text(pdf)[1:6] == [
        ("P", "See "),
        ("Link", "this bold page"),
        ("P", ", then."),
        ("Link", "Back to the top"),
        ("P", "many words " * 12),
    ]
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        annotations = list(opened.pages[0].Annots)
        assert str(annotations[0].A.URI) == "https://example.org/a?b=1&c=2"
        assert str(annotations[0].Contents) == "this bold page"
        assert annotations[1].Dest[0].objgen == opened.pages[0].obj.objgen
        assert [str(a.A.URI) for a in annotations[2:]] == ["https://example.org/"] * 2  # one area a line


def test_link_to_no_heading_is_refused(build: Build, styles: Any) -> None:
    with pytest.raises(ValueError, match="no heading has as its key"):
        build([Text('<a href="#gone">x</a>', styles.body)])


def test_links_in_a_repeated_head_stand_once(build: Build, styles: Any, assert_conforming: Any) -> None:
    head = ['<a href="https://example.org/h">No</a>', 'and <a href="https://example.org/i">this</a> one']
    pdf = build([DataTable(head, [[str(n), "x"] for n in range(150)], [100, 200], styles.look)])
    assert_conforming(pdf)
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        assert [len(page.get("/Annots", [])) for page in opened.pages][:2] == [2, 0]


def test_signature_fields_show_nothing_and_are_tagged(
    build: Build, styles: Any, assert_conforming: Any
) -> None:
    pdf = build([Text("x", styles.body)], signature_fields={"Signature1": "Workshop", "Stamp1": "Time"})
    assert_conforming(pdf)
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        form = opened.Root.AcroForm
        assert int(form.SigFlags) == 3
        said = [(str(field.T), str(field.FT), str(field.TU)) for field in form.Fields]
        assert said == [("Signature1", "/Sig", "Workshop"), ("Stamp1", "/Sig", "Time")]
        for field in form.Fields:
            assert "/V" not in field
            assert [float(v) for v in field.Rect] == [0, 0, 0, 0]


def test_running_heads_are_no_content(build: Build, styles: Any) -> None:
    pdf = build([Text("a", styles.body), NewPage(), Text("b", styles.body)])
    assert pdf_aloud.structure_text(pdf) == [("P", "a"), ("P", "b")]
    assert ["page 1 of 2" in texts_by_page(pdf)[0], "page 2 of 2" in texts_by_page(pdf)[1]] == [True, True]


def test_heading_levels_may_not_be_skipped(build: Build, styles: Any) -> None:
    with pytest.raises(ValueError, match="H3 follows H1"):
        build([Heading("a", 1, styles.heading), Heading("b", 3, styles.heading)])


def test_a_flowable_that_cannot_say_what_it_is_is_refused(build: Build) -> None:
    from reportlab.platypus import Spacer  # noqa: PLC0415 - only here

    with pytest.raises(TypeError, match="Spacer"):
        build([Spacer(1, 1)])


def test_a_flowable_may_stand_only_once(build: Build, styles: Any) -> None:
    text = Text("twice", styles.body)
    with pytest.raises(ValueError, match="twice in the story"):
        build([text, text])


@pytest.mark.parametrize(
    "text", ["a < b & c > d", "<b>not bold</b>", "5 &lt; 6", "tab\tand\nline", "nul\x00 zero\u200b width"]
)
def test_plain_prints_any_text(build: Build, styles: Any, assert_conforming: Any, text: str) -> None:
    pdf = build([Text(plain(text), styles.body)])
    assert_conforming(pdf)
    wanted = text.replace("\x00", "").replace("\u200b", "")
    assert _joined(pdf) == " ".join(wanted.split())


@pytest.mark.skipif(shutil.which("pdfinfo") is None, reason="poppler-utils is not installed")
def test_poppler_reads_the_same_tree(build: Build, styles: Any, tmp_path: Path) -> None:
    story = [
        Heading("Top", 1, styles.heading),
        Text('See <a href="https://example.org/">this page</a>, then.', styles.body),
        Bullets(["apples", "pears"], styles.body),
        DataTable(["No", "What"], [["1", "a hinge"]], [50, 100], styles.look, row_header=True),
    ]
    file = tmp_path / "made.pdf"
    file.write_bytes(build(story))
    said = subprocess.run(
        ["pdfinfo", "-struct-text", file], capture_output=True, text=True, check=True
    ).stdout
    tree = [line.strip() for line in said.splitlines() if line.strip()]
    words = [line for line in tree if line.startswith('"')]
    assert "".join(word[1:-1] for word in words) == "TopSee this page, then.•apples•pearsNoWhat1a hinge"
    kinds = [line.split()[0].rstrip(":") for line in tree if not line.startswith('"')]
    assert [
        k for k in kinds if k in ("Table", "THead", "TBody", "TR", "TH", "TD", "Link", "L", "LI", "H1")
    ] == (
        "H1 Link L LI LI Table THead TR TH TH TBody TR TH TD".split()  # noqa: SIM905 - reads as a line
    )


def test_stretches_of_a_long_paragraph_are_listed_without_looking_through_all() -> None:
    """A text in two directions has an element for each turn: a stranger's record can have ten thousands."""

    def listing(count: int) -> Callable[[], None]:
        owner, parent = Text("x", ParagraphStyle("plain")), Element("Document")
        owner.structure(parent)
        made = [Element("Span") for _ in range(count)]

        def work() -> None:
            for one in [*made, *made]:
                owner.attach(one)
            assert owner.element is not None
            assert owner.element.kids == made

        return work

    assert calls(listing(400)) < 3 * calls(listing(200))
