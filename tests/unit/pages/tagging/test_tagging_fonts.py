"""Fonts: what is drawn has a glyph, a width and a meaning, whatever the text."""

from __future__ import annotations

import io
import zlib
from collections.abc import Callable
from typing import Any

import pdf_aloud
import pikepdf
from fontTools.ttLib import TTFont
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth

from dossier.pages import fonts
from dossier.pages.script_fonts import faces
from dossier.pages.tagging import Text, plain

Build = Callable[..., bytes]


def test_figures_are_tabular_as_the_font_files_say() -> None:
    for font in fonts.fonts():
        program = TTFont(font.path)
        cmap = program.getBestCmap()
        assert len({program["hmtx"][cmap[ord(digit)]][0] for digit in "0123456789"}) == 1, font.name


def test_missing_glyphs_are_named_once_in_order() -> None:
    assert fonts.missing_glyphs("Größe Ελλάς Привет, łódź ½ – “quoted” 20 °C") == ""
    assert fonts.missing_glyphs("\ue0ffa\U000f0fff\ue0ff中\u00a0\n") == "\ue0ff\U000f0fff"


def test_coverage_agrees_with_another_reader_of_the_fonts() -> None:
    families = [f.path for f in fonts.fonts() if f.name in (fonts.SERIF, fonts.SANS)]
    sets = [
        set(TTFont(path).getBestCmap())
        for path in (*families, *(face.path for face in faces(serif=True, bold=False)))
    ]
    covered = set.union(*sets)
    text = "".join(chr(code) for code in range(0x21, 0x30000) if chr(code).isprintable())
    nothing = {"\u034f", *map(chr, range(0xFE00, 0xFE10))}  # default ignorable, drawn as nothing
    assert set(fonts.missing_glyphs(text)) == {c for c in text if ord(c) not in covered} - nothing


def test_any_character_is_drawn_and_read_back(build: Build, styles: Any, assert_conforming: Any) -> None:
    text = "Kyrillisch Привет, Ελλάς, 中文 כל 🎻 \ue000 \ufffe end"
    italic = ParagraphStyle("italic", styles.body, fontName=fonts.SERIF_ITALIC)
    pdf = build([Text(plain(text), style) for style in (styles.body, italic, styles.small)])
    assert_conforming(pdf)
    readable = text.replace("\ue000", "\ufffd").replace("\ufffe", "\ufffd")
    assert [t for _, t in pdf_aloud.structure_text(pdf)] == [readable] * 3


def test_a_letter_with_a_mark_of_another_script_has_no_empty_glyph(
    build: Build, styles: Any, assert_conforming: Any
) -> None:
    """No font has both; each is drawn with its own, and read back in order (ISO 19005-3, 6.2.11.8)."""
    text = "\u17d2\u1039 a\u1039 \u0915\u0e31 \u4e2d\u0e31 1\u20e3 1\ufe0f\u20e3 end"
    pdf = build([Text(plain(text), styles.body)])
    assert_conforming(pdf)
    assert [t for _, t in pdf_aloud.structure_text(pdf)] == [text]


def test_a_map_of_glyphs_whose_checksum_ends_in_a_carriage_return(
    build: Build, styles: Any, assert_conforming: Any
) -> None:
    """39 letters are glyphs 1 to 39: 1 + 780 is 0x30D, the last bytes of Adler-32 (RFC 1950), whatever zeros
    follow. A stream must not end so (ISO 32000-1, 7.3.8.1)."""
    letters = "".join(map(chr, (*range(0x561, 0x587), 0x531)))
    pdf = build([Text(letters, styles.body)])
    assert_conforming(pdf)
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        [places] = [
            obj.CIDToGIDMap.read_raw_bytes()
            for obj in opened.objects
            if isinstance(obj, pikepdf.Dictionary) and isinstance(obj.get("/CIDToGIDMap"), pikepdf.Stream)
        ]
    unpadded = zlib.decompress(places).removesuffix(b"\0\1")
    assert zlib.adler32(unpadded) % 256 == 0x0D
    assert not places.endswith(b"\r")


def test_more_characters_than_one_subset_holds(build: Build, styles: Any, assert_conforming: Any) -> None:
    letters = [chr(c) for c in range(0xA1, 0x500) if chr(c).isalpha() and not fonts.missing_glyphs(chr(c))]
    assert len(letters) > 300
    pdf = build([Text(" ".join(letters), styles.body)])
    assert_conforming(pdf)
    [(_, text)] = pdf_aloud.structure_text(pdf)
    assert text.split() == letters


def test_widths_are_the_font_files(styles: Any) -> None:
    program = TTFont(next(f.path for f in fonts.fonts() if f.name == fonts.SERIF))
    cmap, advances = program.getBestCmap(), program["hmtx"]
    text = "The quick brown fox, 1234"
    wanted = sum(advances[cmap[ord(c)]][0] for c in text) / program["head"].unitsPerEm * 10
    assert abs(stringWidth(text, fonts.SERIF, 10) - wanted) < 1e-6


def test_only_what_is_drawn_is_embedded(build: Build, styles: Any) -> None:
    with pikepdf.open(io.BytesIO(build([Text("abc", styles.body)], header=None, footer=None))) as pdf:
        [font] = pdf.pages[0].Resources.Font.values()
        program = TTFont(io.BytesIO(font.FontDescriptor.FontFile2.read_bytes()))
        assert program["maxp"].numGlyphs == 4  # .notdef, a, b, c
