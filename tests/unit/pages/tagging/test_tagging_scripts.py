"""Every script a name may need: shaped as HarfBuzz shapes, read back as written, conforming."""

from __future__ import annotations

import io
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pdf_aloud
import pikepdf
import pypdfium2
import pytest
import uharfbuzz
from fontTools.ttLib import TTFont
from fontTools.ttLib.sfnt import calcChecksum
from PIL import Image
from reportlab.lib.styles import ParagraphStyle

from dossier.pages import fonts
from dossier.pages.tagging import Bullets, DataTable, Heading, Text, plain
from dossier.pages.tagging.composed import line_of
from dossier.pages.tagging.glyphs import Face, GlyphFont

Build = Callable[..., bytes]

NAMES = {
    "Latin extended": "Nguyễn Łukasz Þóra Ẅ ə Đặng",
    "Greek": "Ἀθηνᾶ Παπαδοπούλου",
    "Cyrillic": "Ђорђе Ґалаган Әлия",
    "Hebrew": "יוסף כהן",
    "Arabic": "محمد العربي",
    "Persian": "گلچین پژمان",
    "Devanagari": "राजेन्द्र क्षत्रिय",
    "Thai": "กรุงเทพมหานคร",
    "Japanese": "髙橋ヨシ子、﨑山",
    "Chinese": "张伟 陳龍",
    "Korean": "김민수",
    "Armenian": "Արամ Խաչատրյան",
    "Georgian": "ნინო ბერიძე",
    "Tamil": "தமிழ்ச்செல்வி",
}
MIXED = [
    "Owner: יוסף כהן, and محمد العربي, at 12 King St.",
    "המזוודה שוקמה בידי יוסף כהן (ירושלים) בשנת 1998, במחיר 120 ₪.",
    "محمد العربي أصلح الحقيبة الجلدية (رقم ١٢) في القاهرة عام 1998.",
    "革鞄の持ち手を Smith & Söhne で作り直した（2026年）。",
    "q\u0308 e\u0301 か\u3099 שָׁלוֹם",
]


def _read(pdf: bytes) -> str:
    with pypdfium2.PdfDocument(pdf) as opened:
        return "\n".join(page.get_textpage().get_text_range() for page in opened)


@pytest.mark.parametrize("script", NAMES)
def test_a_name_reads_back(script: str, build: Build, styles: Any, assert_conforming: Any) -> None:
    """By another library (PDFium) from the page, and from the structure."""
    assert fonts.missing_glyphs(NAMES[script]) == ""
    bold = ParagraphStyle("bold", styles.body, fontName=fonts.SANS_BOLD)
    pdf = build([Text(plain(NAMES[script]), style) for style in (styles.body, bold)], header=None)
    assert_conforming(pdf)
    assert [text for _, text in pdf_aloud.structure_text(pdf)] == [NAMES[script]] * 2
    lines = [line.strip() for line in _read(pdf).splitlines()]
    assert lines.count(NAMES[script]) == 2


@pytest.mark.parametrize(
    ("text", "forms"),
    [
        ("Herr 张伟, Wien", "SC"),  # GB 2312 alone has both
        ("說明", "TC"),  # Big5 alone has the first
        ("洪吉童 홍길동", "KR"),  # with syllables of Korean
        ("直した骨", "JP"),  # with kana
        ("王小明", "JP"),  # all of them have it: what is said of no language
    ],
)
def test_han_characters_have_the_forms_of_their_language(text: str, forms: str) -> None:
    fonts.register()
    items = [item for item in line_of(text, fonts.SERIF, 10).items if item.glyphs]
    assert {item.glyphs.source.name for item in items if item.glyphs} == {f"NotoSerif{forms}-Regular"}


@pytest.mark.parametrize("text", MIXED)
def test_mixed_text_is_read_in_its_order(
    text: str, build: Build, styles: Any, assert_conforming: Any
) -> None:
    """In the structure word for word; on the page with every letter there (PDFium turns brackets round)."""
    story = [
        Heading(plain(text), 1, styles.heading),
        Text(plain(text), styles.body),
        Bullets([plain(text)], styles.body),
        DataTable(["head", plain(text)], [[plain(text), "cell"]], [90, 90], styles.look),
    ]
    pdf = build(story, header=None, footer=None)
    assert_conforming(pdf)
    read = [t for kind, t in pdf_aloud.structure_text(pdf) if t not in ("•", "head", "cell")]
    assert [" ".join(t.split()) for t in read] == [text] * 5


@pytest.mark.parametrize("nothing", ["\u200d", "\u200f", "\u2060\u2060", "\ufe0f", "a\u202c"])
def test_characters_that_show_nothing_need_no_font(
    nothing: str, build: Build, styles: Any, assert_conforming: Any
) -> None:
    """Default ignorable code points (Unicode 15, DerivedCoreProperties) are drawn by no glyph at all."""
    pdf = build([Text("Before", styles.body), Text(nothing, styles.body), Text("After", styles.body)])
    assert_conforming(pdf)
    assert "After" in _read(pdf)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\x85", "\u2028", "\n\n"])
def test_one_line_stays_one_line(end: str) -> None:
    """A name with line ends in it, in a running foot: one line (UAX 14, mandatory breaks)."""
    fonts.register()
    broken, whole = (line_of(f"\u05d0{join}b", "Sans", 8) for join in (end, " "))
    assert abs(broken.width - whole.width) < 3
    assert line_of("\n", "Sans", 8).width == 0


def test_links_keep_their_words(build: Build, styles: Any, assert_conforming: Any) -> None:
    pdf = build([Text('前 <a href="https://example.org/">リンク שלום</a> 後 עוד', styles.body)])
    assert_conforming(pdf)
    assert pdf_aloud.structure_text(pdf) == [("P", "前 "), ("Link", "リンク שלום"), ("P", " 後 עוד")]


def test_glyphs_are_those_of_harfbuzz() -> None:
    """The whole word shaped at once by the library itself, in the order it gives."""
    fonts.register()
    for text, rtl in (("राजेन्द्र", False), ("محمد", True), ("שָׁלוֹם", True), ("กรุงเทพ", False)):
        [item] = line_of(text, fonts.SERIF, 10).items
        assert item.glyphs is not None and item.right_to_left is rtl
        font = uharfbuzz.Font(uharfbuzz.Face(uharfbuzz.Blob.from_file_path(str(item.glyphs.source.path))))
        buffer = uharfbuzz.Buffer()
        buffer.add_str(text)
        buffer.guess_segment_properties()
        uharfbuzz.shape(font, buffer, {})
        ours = [glyph for shaped in item.glyphs.shape(text, rtl) for glyph in shaped.glyphs]
        assert [g.number for g in ours] == [info.codepoint for info in buffer.glyph_infos]
        scale = 1000 / font.face.upem
        places = [(p.x_advance, p.x_offset, p.y_offset) for p in buffer.glyph_positions]
        assert [(g.advance, g.dx, g.dy) for g in ours] == [tuple(v * scale for v in p) for p in places]


def test_a_long_japanese_paragraph_goes_over_pages(build: Build, styles: Any, assert_conforming: Any) -> None:
    text = "持ち手の革は植物タンニン鞣しの山羊革に替え、元の革は袋に入れて持ち主に返した。" * 60
    pdf = build([Text(plain(text), styles.body)], page_size=(300, 300), header=None, footer=None)
    assert_conforming(pdf)
    assert [t for _, t in pdf_aloud.structure_text(pdf)] == [text]
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        assert len(opened.pages) > 5


def test_same_text_same_bytes(build: Build, styles: Any) -> None:
    """Whatever was drawn before it in the same process."""
    story = lambda *texts: [Text(plain(text), styles.body) for text in texts]  # noqa: E731
    first = build(story(*MIXED))
    build(story(*NAMES.values()))
    assert build(story(*MIXED)) == first


def test_latin_pages_need_no_shaping(build: Build, styles: Any) -> None:
    with pikepdf.open(io.BytesIO(build([Text("Größe, Ελλάς, Привет", styles.body)]))) as pdf:
        assert {str(f.Subtype) for f in pdf.pages[0].Resources.Font.values()} == {"/TrueType"}


def test_a_variable_font_is_embedded_at_its_weight() -> None:
    """Advances of the subset are those that HarfBuzz gives at this weight."""
    face = next(f for f in fonts.fonts() if f.name == fonts.SANS_BOLD).faces
    hebrew: Face = next(f for f in face if "Hebrew" in f.name)
    font = GlyphFont(hebrew)
    glyphs = sorted({g.number for shaped in font.shape("משה", True) for g in shaped.glyphs})
    program, places = font.subset(glyphs)
    made = uharfbuzz.Font(uharfbuzz.Face(program))
    assert "fvar" not in made.face.table_tags
    for glyph in glyphs:
        assert abs(made.get_glyph_h_advance(places[glyph]) - font.font.get_glyph_h_advance(glyph)) <= 1
    assert font.width("משה", True) > GlyphFont(Face(hebrew.path)).width("משה", True)


@pytest.mark.parametrize("script", ["Japanese", "Korean", "Arabic", "Devanagari"])
def test_two_other_programs_draw_the_letters(script: str, build: Build, styles: Any, tmp_path: Path) -> None:
    """PDFium and poppler put the same ink on the page; nothing would show where a font is not understood."""
    pdf = build([Text(plain(NAMES[script]), styles.body)], header=None, footer=None)
    (tmp_path / "one.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", "144", "-gray", "one.pdf", "page"], cwd=tmp_path, check=True)
    poppler = np.asarray(Image.open(next(tmp_path.glob("page*.pgm"))), float)
    with pypdfium2.PdfDocument(pdf) as opened:
        pdfium = np.asarray(opened[0].render(scale=2).to_pil().convert("L"), float)
    one, other = (255 - image[: min(map(len, (poppler, pdfium)))] for image in (poppler, pdfium))
    assert one.sum() > 255 * 20 * len(NAMES[script])
    assert abs(one.sum() - other.sum()) < 0.25 * one.sum()
    assert np.corrcoef(one[:, :1180].ravel(), other[:, :1180].ravel())[0, 1] > 0.8


def test_a_cff_subset_is_sound() -> None:
    """Read strictly by fontTools: checksums of the tables, and glyphs whose CIDs are their numbers."""
    font = GlyphFont(next(f for f in fonts.fonts()[0].faces if "JP" in f.name))
    glyphs = sorted({g.number for shaped in font.shape("日本語ｱ") for g in shaped.glyphs})
    program, _ = font.subset(glyphs)
    with TTFont(io.BytesIO(program), checkChecksums=2) as made:
        assert [tag for tag in made.keys() if tag != "GlyphOrder" and made[tag]]  # noqa: SIM118 - tables
        charset = made["CFF "].cff[0].charset
        assert [charset.index(f"cid{number:05d}") for number in glyphs] == glyphs
        whole = calcChecksum(program[: (at := _head(made) + 8)] + bytes(4) + program[at + 4 :])
        assert (0xB1B0AFBA - whole) % 2**32 == made["head"].checkSumAdjustment


def _head(font: TTFont) -> int:
    return int(font.reader.tables["head"].offset)


def test_every_character_of_hong_kong_and_taiwan_can_be_printed(
    build: Build, styles: Any, assert_conforming: Any
) -> None:
    """All that Python's codecs for Big5 and HKSCS have, one in seven; then a line of it on a page."""
    han = "".join(chr(code) for code in (*range(0x3400, 0x9FFF, 7), *range(0x20000, 0x2A6DF, 7)))
    known = han.encode("big5hkscs", "ignore").decode("big5hkscs")
    assert len(known) > 2000
    assert fonts.missing_glyphs(known) == ""
    assert_conforming(build([Text(f"\U0002010c\U00020158 \u9999\u6e2f {known[-20:]}", styles.body)]))
