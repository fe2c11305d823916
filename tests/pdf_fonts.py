"""Fonts of a PDF against their programs, read with pikepdf and fontTools (ISO 32000-1, 9.6.2.1 and 9.7.4)."""

from __future__ import annotations

import io
import re
from typing import Any

from fontTools.misc.psCharStrings import T2WidthExtractor
from fontTools.ttLib import TTFont


def to_unicode(font: Any) -> dict[int, str]:
    """Codes of a simple font and what they mean (ISO 32000-1, 9.10.3); bfchar only, which is all we write."""
    if "/ToUnicode" not in font:
        return {}
    cmap = font.ToUnicode.read_bytes().decode("ascii")
    blocks = re.findall(r"beginbfchar(.*?)endbfchar", cmap, re.S)
    pairs = re.findall(r"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>", "".join(blocks))
    return {int(code, 16): bytes.fromhex(value).decode("utf-16-be") for code, value in pairs}


def one_font_faults(font: Any, codes: set[int]) -> list[str]:
    """Of a simple TrueType font with its own (1,0) cmap, or of a composite one; codes really shown."""
    name = str(font.BaseFont)
    if font.get("/Subtype") == "/Type0":
        return composite_faults(name, font, codes)
    if font.get("/Subtype") != "/TrueType" or "/FontFile2" not in font.FontDescriptor:
        return [f"{name}: subtype {font.get('/Subtype')} does not fit its font program"]
    if not re.fullmatch(r"/[A-Z]{6}\+.+", name) or font.FontDescriptor.FontName != font.BaseFont:
        return [f"{name}: not named as a subset"]
    program = TTFont(io.BytesIO(font.FontDescriptor.FontFile2.read_bytes()))
    return _code_faults(name, font, codes, program)


def composite_faults(name: str, font: Any, codes: set[int]) -> list[str]:
    """Of a Type 0 font with Identity-H: TrueType glyphs by CIDToGIDMap, CFF glyphs by CID (9.7.4.2)."""
    [descendant] = font.DescendantFonts
    descriptor = descendant.FontDescriptor
    found = [] if font.Encoding == "/Identity-H" else [f"{name}: encoding {font.Encoding}"]
    if (
        not re.fullmatch(r"/[A-Z]{6}\+.+", name)
        or len({descriptor.FontName, descendant.BaseFont, font.BaseFont}) > 1
    ):
        found.append(f"{name}: not named as a subset")
    if descendant.Subtype == "/CIDFontType2":
        advance = _true_type_advances(descendant)
    else:
        advance = _cff_advances(descriptor)
    given, meanings = _given_widths(descendant), to_unicode(font)
    for code in sorted(codes):
        if advance(code) is None:
            found.append(f"{name}: code {code} shows .notdef")
        elif abs(given.get(code, 1000.0) - advance(code)) > 1:
            found.append(f"{name}: width of code {code} is {given.get(code)}, the font says {advance(code)}")
        if meanings.get(code, "\0")[:1] in ("\0", "\ufeff", "\ufffe"):
            found.append(f"{name}: code {code} has no meaning")
    return found


def _given_widths(descendant: Any) -> dict[int, float]:
    """/W in the form that lists widths from a code on (9.7.4.3)."""
    listed = list(descendant.W)
    pairs = zip(listed[::2], listed[1::2], strict=True)
    return {int(first) + n: float(width) for first, widths in pairs for n, width in enumerate(widths)}


def _true_type_advances(descendant: Any) -> Any:
    program = TTFont(io.BytesIO(descendant.FontDescriptor.FontFile2.read_bytes()))
    places = descendant.CIDToGIDMap.read_bytes()
    scale = 1000 / program["head"].unitsPerEm

    def advance(code: int) -> float | None:
        glyph = int.from_bytes(places[2 * code : 2 * code + 2], "big")
        return program["hmtx"][program.getGlyphName(glyph)][0] * scale if glyph else None

    return advance


def _cff_advances(descriptor: Any) -> Any:
    assert descriptor.FontFile3.Subtype == "/OpenType"
    fonts = TTFont(io.BytesIO(descriptor.FontFile3.read_bytes()))["CFF "].cff
    glyphs = fonts[0].CharStrings

    def advance(code: int) -> float | None:
        name = f"cid{code:05d}"
        if name not in glyphs:
            return None
        assert fonts[0].charset.index(name) == code  # programs that take CIDs for places draw the same
        number = fonts[0].charset.index(name)
        private = fonts[0].FDArray[fonts[0].FDSelect[number]].Private
        subrs = getattr(private, "Subrs", [])
        pen = T2WidthExtractor(subrs, fonts[0].GlobalSubrs, private.nominalWidthX, private.defaultWidthX)
        pen.execute(glyphs[name])
        return float(pen.width)

    return advance


def _code_faults(name: str, font: Any, codes: set[int], program: TTFont) -> list[str]:
    cmap = next(t for t in program["cmap"].tables if (t.platformID, t.platEncID) == (1, 0)).cmap
    meanings, found, scale = to_unicode(font), [], 1000 / program["head"].unitsPerEm
    for code in sorted(codes):
        glyph = cmap.get(code, ".notdef")
        if program.getGlyphID(glyph) == 0:
            found.append(f"{name}: code {code} shows .notdef")
        width = float(font.Widths[code - int(font.FirstChar)])
        if abs(width - program["hmtx"][glyph][0] * scale) > 1:
            found.append(
                f"{name}: width of code {code} is {width}, the font says {program['hmtx'][glyph][0]}"
            )
        if meanings.get(code, "\0") in ("\0", "\ufeff", "\ufffe"):
            found.append(f"{name}: code {code} has no meaning")
    return found
