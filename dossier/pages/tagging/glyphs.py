"""Fonts drawn by glyph and not by character: for scripts that are shaped, and for those with many signs.

HarfBuzz shapes (it is imported when the first such text comes) and cuts the subset that is embedded. In the
file each is a composite font (ISO 32000-1, 9.7): two-byte codes, which are the numbers of its glyphs.
A code means the text of its glyph in the order of reading; where one meaning is not enough, `Shaped.exact`
is false and the drawing says the text itself (ActualText, 14.9.4).

Invariant: what is drawn, and the subset, depend on the text alone, in the order it is drawn.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator, Sequence
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import msgspec

from dossier.pages.tagging.cff import with_glyph_numbers
from dossier.pages.tagging.meaning import readable

_LAM_ALEF = re.compile("[\u0644\u06b5-\u06b8][\u064b-\u065f\u0670]*[\u0622\u0623\u0625\u0627\u0671]")
_REMEMBERED = 8192  # shaped words that are kept
_DROPPED = (
    "GSUB",
    "GPOS",
    "GDEF",
    "BASE",
    "VORG",
    "vhea",
    "vmtx",
    "DSIG",
    "name",
    "post",
    "OS/2",
    "STAT",
)


class Face(msgspec.Struct, frozen=True):
    """A font file; `weight` on its own axis where it has one, `bolder` where a bold has to be made of it.

    `language`: whose forms of Han characters it has (`languages.of_han`).
    """

    path: Path
    weight: int = 0
    bolder: bool = False
    language: str = ""

    @property
    def name(self) -> str:
        """A name for resources: letters and digits of the file's name, and the weight."""
        stem = "".join(c for c in self.path.stem.split("[")[0] if c.isalnum() or c == "-")
        return f"{stem}{self.weight or ''}"


class Glyph(msgspec.Struct, frozen=True):
    """One glyph, lengths in 1/1000 of the size; `dx`, `dy` move it without moving what follows."""

    number: int
    advance: float
    dx: float
    dy: float


class Shaped(msgspec.Struct, frozen=True):
    """The glyphs of one cluster from left to right, and its text as it is read."""

    glyphs: tuple[Glyph, ...]
    texts: tuple[str, ...]  # of each glyph
    text: str
    exact: bool  # whether the texts of the glyphs are the text

    @property
    def width(self) -> float:
        return sum(glyph.advance for glyph in self.glyphs)


class GlyphFont:
    """One font file at one weight."""

    def __init__(self, face: Face) -> None:
        import uharfbuzz  # noqa: PLC0415 - start-up: pages in Latin letters alone need no shaping

        self.hb = uharfbuzz
        self.source = face
        self.face = uharfbuzz.Face(uharfbuzz.Blob.from_file_path(str(face.path)))
        self.font = uharfbuzz.Font(self.face)
        self.variable = "fvar" in self.face.table_tags
        if self.variable and face.weight:
            self.font.set_variations({"wght": face.weight})
        self.scale = 1000.0 / self.face.upem
        self.is_cff = "CFF " in self.face.table_tags
        self.shape = lru_cache(maxsize=_REMEMBERED)(self._shape)
        self.has = lru_cache(maxsize=_REMEMBERED)(self._has)
        self.advance = lru_cache(maxsize=None)(self._advance)

    def _has(self, character: str) -> bool:
        return bool(self.font.get_nominal_glyph(ord(character)))

    def _shape(self, text: str, right_to_left: bool = False) -> tuple[Shaped, ...]:
        """`text` of one script and direction as clusters from left to right."""
        buffer = self.hb.Buffer()
        buffer.add_codepoints([ord(character) for character in text])
        buffer.guess_segment_properties()
        buffer.direction = "rtl" if right_to_left else "ltr"
        buffer.flags = self.hb.BufferFlags.REMOVE_DEFAULT_IGNORABLES
        self.hb.shape(self.font, buffer, _features(text) if right_to_left else {})
        clusters: dict[int, list[Glyph]] = {}
        if not len(buffer):  # only characters that show nothing
            return ()
        for info, position in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
            clusters.setdefault(info.cluster, []).append(self._glyph(info, position))
        ends = dict(_ends(clusters, len(text)))
        return tuple(self._cluster(glyphs, text[at : ends[at]]) for at, glyphs in clusters.items())

    def _glyph(self, info: Any, position: Any) -> Glyph:
        scale = self.scale
        return Glyph(
            info.codepoint, position.x_advance * scale, position.x_offset * scale, position.y_offset * scale
        )

    def _cluster(self, glyphs: list[Glyph], text: str) -> Shaped:
        text = readable(text)
        if len(glyphs) == 1:
            return Shaped(tuple(glyphs), (text,), text, True)
        own = {self.font.get_nominal_glyph(ord(character)): character for character in text}
        texts = tuple(own.get(glyph.number, "") for glyph in glyphs)
        exact = len(glyphs) == len(text) and "".join(texts) == text
        return Shaped(tuple(glyphs), texts, text, exact)

    def width(self, text: str, right_to_left: bool = False) -> float:
        return sum(shaped.width for shaped in self.shape(text, right_to_left))

    def _advance(self, glyph: int) -> float:
        return float(self.font.get_glyph_h_advance(glyph) * self.scale)

    def subset(self, glyphs: Iterable[int]) -> tuple[bytes, dict[int, int]]:
        """The program of these glyphs, without variations, and where each glyph now is."""
        hb = self.hb
        wanted = hb.SubsetInput()
        if self.is_cff:  # their codes are their places
            wanted.flags = hb.SubsetFlags.RETAIN_GIDS
        for glyph in glyphs:
            wanted.glyph_set.add(glyph)
        for tag in _DROPPED:
            wanted.drop_table_tag_set.add(int.from_bytes(tag.encode("ascii"), "big"))
        if self.variable:
            wanted.pin_all_axes_to_default(self.face)
            if self.source.weight:
                wanted.pin_axis_location(self.face, "wght", self.source.weight)
        plan = hb.SubsetPlan(self.face, wanted)
        made = plan.execute()
        places = dict(plan.old_to_new_glyph_mapping)
        program = bytes(made.blob.data)
        return (with_glyph_numbers(program) if self.is_cff else program), places


def _features(text: str) -> dict[str, Any]:
    """Right to left: of all ligatures only those of lam and alef, which are obligatory.

    The letters of a ligature come out turned round in programs that read text from a page.
    """
    obligatory = [(found.start(), found.end(), True) for found in _LAM_ALEF.finditer(text)]
    return {"liga": False, "clig": False, "rlig": [(0, len(text), False), *obligatory]}


def _ends(clusters: Iterable[int], end: int) -> Iterator[tuple[int, int]]:
    starts = sorted(clusters)
    return zip(starts, [*starts[1:], end], strict=True)


@cache
def glyph_font(face: Face) -> GlyphFont:
    """The font of a face, opened once."""
    return GlyphFont(face)


class CompositeObjects(msgspec.Struct, frozen=True):
    """Everything a PDF needs for one composite font (ISO 32000-1, 9.7.4 to 9.8)."""

    resource: str
    base_name: str
    is_cff: bool
    widths: list[tuple[int, float]]  # code, width
    meanings: dict[int, str]
    places: bytes  # CIDToGIDMap, for TrueType
    program: bytes
    descriptor: dict[str, Any]


class GlyphUse(msgspec.Struct):
    """What one document has drawn with one font."""

    font: GlyphFont
    meanings: dict[int, str] = msgspec.field(default_factory=dict)  # glyph -> text

    @property
    def resource(self) -> str:
        return self.font.source.name

    def code(self, glyph: int, text: str) -> tuple[int, bool]:
        """The code that draws a glyph, and whether it means this text."""
        meant = self.meanings.setdefault(glyph, text)
        return glyph, meant == text

    def objects(self) -> CompositeObjects:
        font, glyphs = self.font, sorted(self.meanings)
        program, places = font.subset(glyphs)
        name = _prefix(program) + "+" + self.resource
        return CompositeObjects(
            self.resource,
            name,
            font.is_cff,
            [(glyph, font.advance(glyph)) for glyph in glyphs],
            {glyph: self.meanings[glyph] or "\ufffd" for glyph in glyphs},
            b"" if font.is_cff else _places(glyphs, places),
            program,
            self._descriptor(),
        )

    def _descriptor(self) -> dict[str, Any]:
        font = self.font
        head = font.face.reference_table("head").data
        box = [int.from_bytes(head[at : at + 2], "big", signed=True) * font.scale for at in range(36, 44, 2)]
        extents = font.font.get_font_extents("ltr")
        return {
            "Flags": 4,  # symbolic: codes are the font's own
            "FontBBox": [round(value) for value in box],
            "ItalicAngle": 0,
            "Ascent": round(extents.ascender * font.scale),
            "Descent": round(extents.descender * font.scale),
            "CapHeight": round(extents.ascender * font.scale * 0.8),
            "StemV": 80,
        }


def _places(glyphs: Sequence[int], places: dict[int, int]) -> bytes:
    table = bytearray(2 * (max(glyphs) + 1))
    for glyph in glyphs:
        table[2 * glyph : 2 * glyph + 2] = places[glyph].to_bytes(2, "big")
    return bytes(table)


def _prefix(program: bytes) -> str:
    """Six letters that tell this subset from others (9.6.4), made from its bytes."""
    return "".join(chr(65 + byte % 26) for byte in hashlib.sha256(program).digest()[:6])
