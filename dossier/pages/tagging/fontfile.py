"""TrueType fonts as reportlab uses them, subset into simple PDF fonts whose every code is accounted for.

reportlab writes the glyph .notdef into its subsets' ToUnicode as U+0000, which PDF/A-3 (ISO 19005-3,
6.2.11.7.2) forbids, and draws .notdef for a character the font lacks (6.2.11.8). Here only codes that were
drawn are mapped; a character that the font lacks comes from its fallback font, and where no font has it a
box is drawn that still reads as the character.

Not done here: shaping and right-to-left text (see `composed`), vertical text.
Invariant: what is drawn depends on the text alone, in the order it is drawn.
"""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Iterable, Mapping
from functools import cached_property
from pathlib import Path
from typing import Any
from weakref import WeakKeyDictionary

import msgspec
from reportlab.lib.fonts import addMapping, tt2ps
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from dossier.pages.tagging.glyphs import Face
from dossier.pages.tagging.meaning import meaning

_REMEMBERED = 20_000  # words whose width is kept; some megabytes
_FALLBACK = 1000  # subset numbers from here on are the fallback font's
_STAND_INS = (0xFFFD, 0x25A1, 0x25A0, 0x3F)  # drawn for a character that no font has


_BLANKS = frozenset("\n\t\r \u00a0\u00ad")


def _is_shaped(character: str) -> bool:
    kind = unicodedata.bidirectional(character)
    return kind in ("NSM", "R", "AL", "AN", "BN") or unicodedata.category(character) in (
        "Mn",
        "Mc",
        "Me",
        "Cf",
    )


class Font(msgspec.Struct, frozen=True):
    """A font file under the name that styles use; `fallback` names another font registered before it.

    `faces`: for characters that neither has, in order; drawn by glyph (see `composed`).
    """

    name: str
    path: Path
    family: str = ""
    bold: bool = False
    italic: bool = False
    fallback: str = ""
    faces: tuple[Face, ...] = ()


class _Subset(msgspec.Struct):
    """Codes of one simple font: code -> (character whose glyph is drawn, character that is meant)."""

    codes: dict[int, tuple[int, int]] = msgspec.field(default_factory=dict)
    next_code: int = 128


class _Used(msgspec.Struct):
    """What one document has drawn with one font."""

    subsets: list[_Subset] = msgspec.field(default_factory=lambda: [_Subset()])
    places: dict[str, tuple[int, int]] = msgspec.field(default_factory=dict)  # character -> subset, code


class FontObjects(msgspec.Struct, frozen=True):
    """Everything a PDF needs for one simple TrueType font (ISO 32000-1, 9.6.3 and 9.8)."""

    resource: str
    base_name: str
    first: int
    widths: list[float]
    to_unicode: bytes
    program: bytes
    descriptor: dict[str, Any]


class EmbeddedFont(TTFont):  # type: ignore[misc]  # reportlab is untyped
    """A registered font; its state is kept per document, so documents may be built one after another."""

    def __init__(self, font: Font) -> None:
        with font.path.open("rb") as file:  # reportlab, opening it, takes Ctrl-C for a file that is not there
            super().__init__(font.name, file, shapable=False)
        self.path = font.path
        self.own = frozenset(self.face.charToGlyph)
        self.fallback: EmbeddedFont | None = pdfmetrics.getFont(font.fallback) if font.fallback else None
        self.faces = font.faces
        self.stand_in = next(code for code in _STAND_INS if code in self.own)
        self._used: WeakKeyDictionary[Any, _Used] = WeakKeyDictionary()
        self._widths: dict[str, float] = {}  # of words, at 1000 points
        self._complete_widths()

    def _complete_widths(self) -> None:
        """Widths of characters that will be drawn from elsewhere, where reportlab looks them up."""
        widths = self.face.charWidths
        if self.fallback:
            for code, width in self.fallback.face.charWidths.items():
                widths.setdefault(code, width)
        self.notdef_width = self.face.defaultWidth
        self.face.defaultWidth = self._last().face.charWidths[self._last().stand_in]

    def _last(self) -> EmbeddedFont:
        return self.fallback._last() if self.fallback else self

    def has(self, code: int) -> bool:
        return code in self.own or bool(self.fallback and self.fallback.has(code))

    @cached_property
    def simple(self) -> frozenset[str]:
        """The characters drawn one by one from left to right: no marks, no controls, nothing shaped."""
        codes = self.own | (self.fallback.own if self.fallback else frozenset())
        shown = {chr(code) for code in codes if not _is_shaped(chr(code))}
        return frozenset(shown | _BLANKS | (self.fallback.simple if self.fallback else frozenset()))

    # reportlab's protocol for fonts with subsets

    def splitString(self, text: str, doc: Any, encoding: str = "utf-8") -> list[tuple[int, bytes]]:  # noqa: N802
        runs: list[tuple[int, bytearray]] = []
        places = self._used_in(doc).places
        for character in text:
            subset, code = places.get(character) or self._place(character, doc)
            if not runs or runs[-1][0] != subset:
                runs.append((subset, bytearray()))
            runs[-1][1].append(code)
        return [(subset, bytes(codes)) for subset, codes in runs]

    def getSubsetInternalName(self, subset: int, doc: Any) -> str:  # noqa: N802 - reportlab's name
        if subset >= _FALLBACK and self.fallback:
            return self.fallback.getSubsetInternalName(subset - _FALLBACK, doc)
        return "/" + self._resource(subset)

    def _resource(self, subset: int) -> str:
        return f"{self.fontName}.{subset}"

    def stringWidth(self, text: str, size: float, encoding: str = "utf-8") -> float:  # noqa: N802 - reportlab's name
        """The width in points; reportlab asks for the same words several times while it breaks lines."""
        width = self._widths.get(text)
        if width is None:
            if len(self._widths) >= _REMEMBERED:
                self._widths.clear()
            width = self._widths[text] = super().stringWidth(text, 1000.0, encoding)
        return width * 0.001 * size

    def _used_in(self, doc: Any) -> _Used:
        used = self._used.get(doc)
        if used is None:
            used = self._used[doc] = _Used()
        return used

    def _place(self, character: str, doc: Any) -> tuple[int, int]:
        used = self._used_in(doc)
        place = used.places.get(character)
        if place is None:
            place = used.places[character] = self._new_place(ord(character), used, doc)
        return place

    def _new_place(self, code: int, used: _Used, doc: Any) -> tuple[int, int]:
        if code == 0xA0:  # a no-break space is drawn as a space, so that word spacing applies
            return self._place(" ", doc)
        if code not in self.own and self.fallback:
            subset, place = self.fallback._place(chr(code), doc)
            return subset + _FALLBACK, place
        glyph = code if code in self.own else self.stand_in
        return _add_code(used, glyph, ord(meaning(chr(code))))

    # What goes into the file

    def objects(self, doc: Any) -> list[FontObjects]:
        """The subsets drawn in `doc`, and forgets them."""
        used = self._used.pop(doc, None)
        if used is None:
            return []
        return [self._objects(n, subset) for n, subset in enumerate(used.subsets) if subset.codes]

    def _objects(self, number: int, subset: _Subset) -> FontObjects:
        first, last = min(subset.codes), max(subset.codes)
        glyphs = [subset.codes.get(code, (0, 0))[0] for code in range(last + 1)]
        program = self.face.makeSubset(glyphs)
        base_name = f"{_prefix(program)}+{self.face.name.decode('ascii')}"
        return FontObjects(
            self._resource(number),
            base_name,
            first,
            [self._width(code) for code in glyphs[first:]],
            _to_unicode(subset),
            program,
            self._descriptor(),
        )

    def _width(self, code: int) -> float:
        return float(self.face.charWidths[code] if code in self.own else self.notdef_width)

    def _descriptor(self) -> dict[str, Any]:
        face = self.face
        return {
            "Flags": (face.flags & ~32) | 4,  # symbolic, not non-symbolic: the font's own cmap is used
            "FontBBox": [int(value) for value in face.bbox],
            "ItalicAngle": face.italicAngle,
            "Ascent": face.ascent,
            "Descent": face.descent,
            "CapHeight": face.capHeight,
            "StemV": int(face.stemV),
            "MissingWidth": self.notdef_width,
        }


def _add_code(used: _Used, glyph: int, meaning: int) -> tuple[int, int]:
    """ASCII keeps its own codes in the first subset (a reader of the raw stream can read it)."""
    if 32 <= glyph < 127 and glyph == meaning:
        used.subsets[0].codes[glyph] = (glyph, meaning)
        return 0, glyph
    if used.subsets[-1].next_code > 255:
        used.subsets.append(_Subset(next_code=33))
    subset = used.subsets[-1]
    code = subset.next_code
    subset.codes[code] = (glyph, meaning)
    subset.next_code += 1
    return len(used.subsets) - 1, code


def _prefix(program: bytes) -> str:
    """Six letters that tell this subset from others (9.6.4), made from its bytes."""
    return "".join(chr(65 + byte % 26) for byte in hashlib.sha256(program).digest()[:6])


def _to_unicode(subset: _Subset) -> bytes:
    """A ToUnicode CMap (9.10.3) of the codes drawn, at most 100 to a block."""
    return to_unicode({code: chr(meant) for code, (_, meant) in subset.codes.items()}, 1)


def to_unicode(meanings: Mapping[int, str], size: int) -> bytes:
    """A ToUnicode CMap of codes of `size` bytes and their texts."""
    lines = [
        f"<{code:0{2 * size}X}> <{meaning.encode('utf-16-be').hex().upper()}>"
        for code, meaning in sorted(meanings.items())
    ]
    blocks = [lines[at : at + 100] for at in range(0, len(lines), 100)]
    body = "".join(f"{len(b)} beginbfchar\n" + "\n".join(b) + "\nendbfchar\n" for b in blocks)
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
        "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
        f"1 begincodespacerange\n<{'00' * size}> <{'FF' * size}>\nendcodespacerange\n"
        f"{body}endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n"
    ).encode("ascii")


def register_fonts(fonts: Iterable[Font]) -> None:
    """Makes fonts known to reportlab under their names and families; again is harmless."""
    for font in fonts:
        _register(font)


def _register(font: Font) -> None:
    known = font.name in pdfmetrics.getRegisteredFontNames()
    if known and getattr(pdfmetrics.getFont(font.name), "path", None) == font.path:
        return
    pdfmetrics.registerFont(EmbeddedFont(font))
    family = font.family or font.name
    for bold, italic in ((0, 0), (0, 1), (1, 0), (1, 1)):
        if not _mapped(family, bold, italic):
            addMapping(family, bold, italic, font.name)
    addMapping(family, int(font.bold), int(font.italic), font.name)


def _mapped(family: str, bold: int, italic: int) -> bool:
    try:
        tt2ps(family, bold, italic)
    except ValueError:
        return False
    return True


def embedded(name: str) -> EmbeddedFont:
    """The registered font of this name."""
    font: EmbeddedFont = pdfmetrics.getFont(name)
    return font
