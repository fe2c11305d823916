"""Lines of text in any script: fonts chosen by cluster, directions resolved, glyphs shaped, lines broken.

    compose(frags, widths) -> [Line, ...]        line_of(text, font_name, size) -> Line

A cluster that the style's own font has is drawn with it; any other with the first face that has it all; what
no face has is left to the style's font, which draws a stand-in. White space goes with the letters before it.
Not done here: drawing (`composing`), justified lines, vertical text.

Invariants: lines together hold every character but the spaces where they were broken and unused soft
hyphens; a line's items stand from left to right.
"""

from __future__ import annotations

import itertools
import unicodedata
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from functools import cached_property, lru_cache
from typing import Any

import msgspec

from dossier.pages.tagging import bidi
from dossier.pages.tagging.breaks import SOFT_HYPHEN, breaks, cluster_starts, clusters, may_part
from dossier.pages.tagging.effort import spend
from dossier.pages.tagging.fontfile import EmbeddedFont, embedded
from dossier.pages.tagging.glyphs import Face, GlyphFont, glyph_font
from dossier.pages.tagging.languages import of_han

_FUZZ = 1e-6
_PIECE = (
    512  # characters: a longer stretch is not shaped as a whole before its pieces have shown that it may fit
)
_A_LETTER, _A_MEASURE, _A_STRETCH = 10, 2, 8  # units of `effort`
_MOST_MARKS = 32  # of one letter, with it
_LEAST = 2  # characters on the last line of an East Asian paragraph, besides the marks that close it
_CLOSING = "、。，．！？」』）］"
_EAST_ASIAN = "\u2014\u2015\u2025\u2026"


class Look(msgspec.Struct, frozen=True):
    """What a stretch of text looks like, and the link it belongs to (reportlab's number, target).

    `segment` counts the stretches within and between links.
    """

    font: str
    size: float
    color: Any = None
    link: tuple[int, str] | None = None
    segment: int = 0


class Item(msgspec.Struct, frozen=True, dict=True):
    """Text of one look, font and direction. `glyphs` is None where the style's own font draws it."""

    text: str
    look: Look
    glyphs: GlyphFont | None
    right_to_left: bool = False

    @cached_property
    def width(self) -> float:
        if self.glyphs is None:
            return float(embedded(self.look.font).stringWidth(self.text, self.look.size))
        return self.glyphs.width(self.text, self.right_to_left) * self.look.size / 1000


class Line(msgspec.Struct, frozen=True):
    """Items from left to right; `ends` is the white space dropped at its end; widths in points."""

    items: tuple[Item, ...]
    right_to_left: bool = False
    ends: str = ""

    @property
    def width(self) -> float:
        return sum(item.width for item in self.items)


def needs_composing(text: str, font_name: str) -> bool:
    """Whether `text` holds anything that the style's font cannot draw letter by letter."""
    font = embedded(font_name)
    return isinstance(font, EmbeddedFont) and not font.simple.issuperset(text)


def covered(text: str, font_name: str) -> set[str]:
    """The characters of `text` that can be drawn in this style, with any of its fonts."""
    font = embedded(font_name)
    left = {c for c in set(text) if not (c in font.simple or _ignorable(c) or font.has(ord(c)))}
    for face in font.faces:
        if not left:
            break
        has = glyph_font(face).has
        left = {c for c in left if not has(c)}
    return set(text) - left


def line_of(text: str, font_name: str, size: float, color: Any = None) -> Line:
    """A text as one line, however long; the ends of lines in it are spaces."""
    text = " ".join(text.splitlines())
    [line] = compose([(text, Look(font_name, size, color))], [float("inf")]) or [Line(())]
    return line


def compose(stretches: Sequence[tuple[str, Look]], widths: Sequence[float]) -> list[Line]:
    """Lines no wider than `widths`, the last of which holds for all further lines. `\\n` ends a line."""
    lines: list[Line] = []
    for paragraph in _paragraphs(stretches):
        lines += paragraph.lines(widths[len(lines) :] or widths[-1:])
    return lines


def base_of(text: str) -> int:
    """The base level: P2 and P3 of UAX 9; one isolate that is the whole text is looked into (HL1)."""
    whole = text[:1] == "\u2068" and text.find("\u2069") == len(text) - 1
    return bidi.base_level(text[1:-1] if whole else text)


def _paragraphs(stretches: Sequence[tuple[str, Look]]) -> Iterator[_Paragraph]:
    text = "".join(text for text, _ in stretches)
    looks = [look for text, look in stretches for _ in text]
    at = 0
    for part in text.split("\n"):
        look = looks[min(at, len(looks) - 1)] if looks else None
        if look is not None:
            yield _Paragraph(part, looks[at : at + len(part)], look)
        at += len(part) + 1


class _Paragraph:
    """The text up to one end of line."""

    def __init__(self, text: str, looks: Sequence[Look], look: Look) -> None:
        spend(_A_LETTER * len(text))
        self.text, self.looks, self.look = text, looks, look
        self.base = base_of(text)
        self.levels = bidi.levels(text, self.base)
        self.fonts = _fonts(text, looks)

    def lines(self, widths: Sequence[float]) -> list[Line]:
        ends = [*breaks(self.text), len(self.text)]
        starts = [0]
        while starts[-1] < len(self.text):
            width = widths[min(len(starts), len(widths)) - 1]
            starts.append(self._fit(starts[-1], ends, width))
        self._fill_last(starts, ends)
        lines = [self.line(start, end) for start, end in itertools.pairwise(starts)]
        return lines or [Line((Item("", self.look, None),), bool(self.base))]

    def _fill_last(self, starts: list[int], ends: Sequence[int]) -> None:
        """No last line of one East Asian character and its stop: a little more goes along with it.

        One goes along, not two: so many words are of two characters that the line then ends between words.
        """
        end = len(self.text.rstrip(_CLOSING))
        if len(starts) < 3 or end - starts[-2] >= _LEAST or not self._is_east_asian(starts[-2]):
            return
        room = [at for at in ends if starts[-3] < at <= end - _LEAST]
        if room and self._is_east_asian(room[-1]):
            starts[-2] = room[-1]

    def _is_east_asian(self, start: int) -> bool:
        return all("\u2e80" <= c <= "\uffef" for c in self.text[start : start + _LEAST])

    def _fit(self, start: int, ends: Sequence[int], width: float) -> int:
        """Where the line from `start` ends: at the last break that fits, or within a word that does not."""
        used, at = 0.0, start
        for end in itertools.islice(ends, bisect_right(ends, start), None):
            kept = end - len(_dropped(self.text[at:end]))
            if self._is_far_too_wide(at, kept, width - used):
                return at if at > start else self._cut(start, end, width)
            needed = self._width(at, kept, hyphen=True)
            if used + needed > width + _FUZZ:
                return at if at > start else self._cut(start, end, width)
            plain = kept == end and self.text[end - 1] != SOFT_HYPHEN
            used += needed if plain else self._width(at, end)
            at = end
        return at

    def _cut(self, start: int, end: int, width: float) -> int:
        """At least one cluster of what is wider than its line, else as many as fit, at a part of a date."""
        used, last, good = 0.0, start, start
        for at, to in clusters(self.text, start, end):
            used += self._width(at, to)
            if used > width + _FUZZ and last > start:
                return good if good > start else last
            last = to
            if to < end and may_part(self.text, to):
                good = to
        return end

    def _is_far_too_wide(self, start: int, end: int, room: float) -> bool:
        """Whether a long stretch does not fit for certain: else each line would measure all that is left."""
        used = 0.0
        for at in range(start, end if end - start > _PIECE else start, _PIECE):
            used += self._width(at, min(at + _PIECE, end))
            if used > 2 * room + _FUZZ:
                return True
        return False

    def _width(self, start: int, end: int, hyphen: bool = False) -> float:
        spend(_A_MEASURE + end - start)
        if end - start == 1:  # most of Chinese and Japanese
            look, font = self.looks[start], self.fonts[start]
            return _item(self.text[start], look, font, bool(self.levels[start] % 2)).width
        return sum(item.width for item in self._items(start, end, self.levels, hyphen))

    def line(self, start: int, end: int) -> Line:
        dropped = _dropped(self.text[start:end])
        kept = end - len(dropped)
        levels = bidi.line_levels(self.text[start:kept], self.levels[start:kept], self.base)
        placed = [0] * start + levels
        items = list(self._items(start, kept, placed, hyphen=end < len(self.text)))
        if not any(levels):
            return Line(tuple(items) or (Item("", self.look, None),), False, self._ends(dropped, end))
        order = bidi.visual_order([level for _, level in self._stretches(start, kept, placed)])
        ordered = tuple(items[n] for n in order) if items else (Item("", self.look, None),)
        return Line(ordered, bool(self.base), self._ends(dropped, end))

    def _ends(self, dropped: str, end: int) -> str:
        return dropped if end < len(self.text) else ""

    def _stretches(
        self, start: int, end: int, levels: Sequence[int]
    ) -> Iterator[tuple[tuple[int, int], int]]:
        """Runs of one look, font and level: their places and their level."""
        first = start
        for i in range(start + 1, end + 1):
            if i == end or self._key(i, levels) != self._key(first, levels):
                yield (first, i), levels[first]
                first = i

    def _key(self, i: int, levels: Sequence[int]) -> tuple[Look, int, GlyphFont | None]:
        return self.looks[i], levels[i], self.fonts[i]

    def _items(self, start: int, end: int, levels: Sequence[int], hyphen: bool = False) -> Iterator[Item]:
        if start >= end:
            return
        for (first, last), level in self._stretches(start, end, levels):
            spend(_A_STRETCH)
            text = self.text[first:last]
            if SOFT_HYPHEN in text:
                shown = hyphen and last == end and text.endswith(SOFT_HYPHEN)
                text = text.replace(SOFT_HYPHEN, "") + (SOFT_HYPHEN if shown else "")
            yield _item(text, self.looks[first], self.fonts[first], bool(level % 2))


def _dropped(text: str) -> str:
    return text[len(text.rstrip(" \u3000")) :]


@lru_cache(maxsize=8192)
def _item(text: str, look: Look, font: GlyphFont | None, right_to_left: bool) -> Item:
    """Brackets that run right to left are mirrored by the shaper, whatever font they are in."""
    if right_to_left and font is None:
        font = _own_shaped(embedded(look.font), text)
    return Item(text, look, font, right_to_left)


def _own_shaped(font: EmbeddedFont, text: str) -> GlyphFont | None:
    while font.fallback and not all(ord(c) in font.own or _ignorable(c) for c in text):
        font = font.fallback
    return glyph_font(Face(font.path)) if all(ord(c) in font.own or _ignorable(c) for c in text) else None


# Fonts


def _fonts(text: str, looks: Sequence[Look]) -> list[GlyphFont | None]:
    """The glyph font of each character, cluster by cluster; None: the style's own font."""
    fonts: list[GlyphFont | None] = []
    language = of_han(text)
    for start, end in itertools.pairwise([*cluster_starts(text), len(text)]):
        cluster = text[start:end]
        before = fonts[-1] if fonts else None
        joins = _joins(cluster, before)
        fonts += (before,) * (end - start) if joins else _cluster_fonts(cluster, looks[start].font, language)
    return fonts


@lru_cache(maxsize=8192)
def _cluster_fonts(cluster: str, font_name: str, language: str) -> tuple[GlyphFont | None, ...]:
    """One font for all of it; a letter with a mark of another script, which no font has both, takes two."""
    font = _font(cluster, font_name, language)
    if font is not None or all(map(embedded(font_name).has, map(ord, _seen(cluster)))):
        return (font,) * len(cluster)
    fonts: list[GlyphFont | None] = []
    for c in cluster:
        fonts.append(fonts[-1] if fonts and _ignorable(c) else _font(c, font_name, language))
    return tuple(fonts)


def _joins(cluster: str, before: GlyphFont | None) -> bool:
    """A space between words of one script is drawn with them, so that they are shaped as one.

    Dots and dashes after Han characters stand in the middle of their height, as those fonts have them.
    """
    if before is None or not before.has(cluster[0]):
        return False
    return cluster[0] in (_EAST_ASIAN if before.is_cff else " \u200c\u200d")


@lru_cache(maxsize=8192)
def _font(cluster: str, font_name: str, language: str) -> GlyphFont | None:
    font = embedded(font_name)
    if font.simple.issuperset(cluster):
        return None
    needed = _seen(cluster)
    own: EmbeddedFont | None = font
    while own is not None:
        if len(cluster) > 1 and all(ord(c) in own.own for c in needed):
            return glyph_font(Face(own.path))
        own = own.fallback
    if all(font.has(ord(c)) for c in needed):
        return None
    faces = map(glyph_font, _ordered(font.faces, language))
    return next((face for face in faces if all(face.has(c) for c in needed)), None)


@lru_cache(maxsize=64)
def _ordered(faces: tuple[Face, ...], language: str) -> tuple[Face, ...]:
    """The faces with those first among the faces for Han characters that have this language's forms."""
    own = [face for face in faces if language and face.language == language]
    others = [face for face in faces if face not in own]
    first = next((n for n, face in enumerate(others) if face.language), len(others))
    return (*others[:first], *own, *others[first:])


def _seen(cluster: str) -> list[str]:
    """The characters of a cluster that take a glyph.

    Composing sorts the marks of a letter, in time that grows with the square of their number (50,000 took
    5 s); no language has more than thirty on one (UAX 15, stream-safe text format).
    """
    composed = unicodedata.normalize("NFC", cluster) if len(cluster) <= _MOST_MARKS else cluster
    return [c for c in composed if not _ignorable(c)] or [cluster[0]]


def _ignorable(character: str) -> bool:
    """Characters that shape others and show nothing themselves."""
    code = ord(character)
    return (
        character in "\u00ad\u034f\u061c\u180e\ufeff\n"
        or 0x200B <= code <= 0x200F
        or 0x202A <= code <= 0x202E
        or 0x2060 <= code <= 0x206F
        or 0xFE00 <= code <= 0xFE0F
        or 0xE0001 <= code <= 0xE0FFF
    )
