"""The composed lines of one paragraph: laid out for a width, cut at a page break, drawn with their marks.

Used by `text` for paragraphs that reportlab cannot set: scripts that are shaped, run right to left, or have
no spaces. Alignment is left, centred or right; a paragraph that runs right to left is set to the right.
Not done here: justified lines, bullets.

Invariant: cutting keeps every line as it was laid out.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from reportlab.lib.enums import TA_CENTER, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle

from dossier.pages.tagging.bidi import kind
from dossier.pages.tagging.composed import Line, Look, base_of, compose, needs_composing
from dossier.pages.tagging.composing import draw_end, draw_item, width_of
from dossier.pages.tagging.effort import spend
from dossier.pages.tagging.languages import by_language
from dossier.pages.tagging.meaning import readable
from dossier.pages.tagging.structure import Element

_A_STRETCH = 25  # units of `effort`: one in a language of its own
Link = tuple[int, str]
# The element of a stretch, and the words of its link.
Owner = Callable[[Look], tuple[Element | None, str]]


def is_needed(frags: Sequence[Any]) -> bool:
    """Whether any of a paragraph's words must be composed, or stand in another language than the rest."""
    return len({language_of(frag) for frag in frags}) > 1 or any(
        needs_composing(frag.text, frag.fontName) for frag in frags if getattr(frag, "text", "")
    )


def stretches(frags: Sequence[Any]) -> list[tuple[str, Look]]:
    """reportlab's fragments as text and look; a line break is a line end."""
    return [
        (_text(frag), Look(frag.fontName, frag.fontSize, frag.textColor, link, number))
        for number, (link, group) in enumerate(segments(frags))
        for frag in group
    ]


def segments(frags: Sequence[Any]) -> list[tuple[Link | None, list[Any]]]:
    """The fragments within each link and between links, in one language each."""
    return [(key[0], list(group)) for key, group in itertools.groupby(frags, key=_segment_of)]


def language_of(frag: Any) -> str:
    """What `in_languages` found; "" is the language of the document."""
    return str(getattr(frag, "language", ""))


def in_languages(frags: list[Any]) -> list[Any]:
    """Fragments cut where the language changes, each saying its own; a link is cut nowhere.

    The same list where all are in the language of the document.
    """
    if all(frag.text.isascii() for frag in frags if getattr(frag, "text", "")):
        return frags
    stretches = by_language("".join(map(_text, frags)))
    return list(_cut_by(frags, stretches)) if any(language for language, _ in stretches) else frags


def _cut_by(frags: Sequence[Any], stretches: Sequence[tuple[str, str]]) -> Iterator[Any]:
    languages = [language for language, text in stretches for _ in text]
    at = 0
    for frag in frags:
        text = _text(frag)
        if _link_of(frag) or text == "\n":
            yield frag
        else:
            pairs = zip(text, languages[at : at + len(text)], strict=True)
            for language, group in itertools.groupby(pairs, key=lambda pair: pair[1]):
                spend(_A_STRETCH)
                yield frag.clone(text="".join(c for c, _ in group), language=language)
        at += len(text)


def _segment_of(frag: Any) -> tuple[Link | None, str]:
    return _link_of(frag), language_of(frag)


def _link_of(frag: Any) -> Link | None:
    found: Link | None = (getattr(frag, "link", None) or [None])[0]
    return found


def _text(frag: Any) -> str:
    return "\n" if getattr(frag, "lineBreak", False) else str(frag.text)


def reading(frags: Sequence[Any]) -> str:
    """The text of fragments as it is read."""
    return readable("".join(map(_text, frags)))


def runs_left(frags: Sequence[Any]) -> bool:
    """Whether anything runs right to left, so that it is drawn in another order than it is read."""
    return any(kind(c) in ("R", "AL", "AN", "RLE", "RLO", "RLI", "FSI") for f in frags for c in f.text)


class Body:
    """Lines in one style."""

    def __init__(
        self, frags: Sequence[Any], style: ParagraphStyle, lines: Sequence[Line] | None = None
    ) -> None:
        self.frags, self.style = frags, style
        self.lines = list(lines or ())
        self.fixed = lines is not None
        self.first = not self.fixed  # whether the first line is the paragraph's
        self.width = 0.0

    def wrap(self, width: float) -> float:
        """Lays out for `width` points; gives the height."""
        if not self.fixed and self.width != width:
            room = width - self.style.leftIndent - self.style.rightIndent
            self.lines = compose(stretches(self.frags), [room - self.style.firstLineIndent, room])
        self.width = width
        return float(len(self.lines) * self.style.leading)

    def cut(self, height: float) -> int:
        """How many lines stay above a break: none, or as many as fit without orphans and widows."""
        fit = int((height + 1e-6) // self.style.leading)
        if fit >= len(self.lines):
            return len(self.lines)
        if not self.style.allowWidows and len(self.lines) - fit == 1:
            fit -= 1
        if fit == 1 and not self.style.allowOrphans:
            return 0
        return max(fit, 0)

    def parts(self, count: int) -> tuple[Body, Body]:
        first, rest = (
            Body(self.frags, self.style, part) for part in (self.lines[:count], self.lines[count:])
        )
        first.first = self.first
        first.width = rest.width = self.width
        return first, rest

    # Drawing

    def draw(self, canvas: Any, owner: Owner) -> None:
        y = len(self.lines) * self.style.leading - self.style.fontSize
        for number, line in enumerate(self.lines):
            self._draw_line(canvas, line, self._left(number, line), y, owner)
            y -= self.style.leading

    def _left(self, number: int, line: Line) -> float:
        style = self.style
        left = style.leftIndent + (style.firstLineIndent if self.first and not number else 0)
        spare = self.width - style.rightIndent - left - line.width
        if style.alignment == TA_RIGHT or line.right_to_left:
            return float(left + spare)
        return float(left + spare / 2 if style.alignment == TA_CENTER else left)

    @property
    def starts_left(self) -> bool:
        """Whether the first paragraph runs right to left as a whole (UAX 9, P2)."""
        return bool(base_of("".join(map(_text, self.frags)).partition("\n")[0]))

    def _draw_line(self, canvas: Any, line: Line, x: float, y: float, owner: Owner) -> None:
        for _, group in itertools.groupby(line.items, key=lambda item: item.look.segment):
            items = list(group)
            link = items[0].look.link
            element, words = owner(items[0].look)
            with canvas.mark(element):
                at = x
                for item in items:
                    draw_item(canvas, item, at, y)
                    at += item.width
                if line.ends and items[-1] is line.items[-1]:
                    draw_end(canvas, line, at, y)
            if link and not canvas.in_outer_artifact:
                self._link(canvas, link, element, words, (x, y, width_of(items)))
            x = at

    def _link(
        self, canvas: Any, link: Link, element: Element | None, words: str, place: tuple[float, float, float]
    ) -> None:
        x, y, width = place
        size = self.style.fontSize
        canvas.links.append((element, words))
        canvas.linkURL(link[1], (x, y - 0.2 * size, x + width, y + 0.8 * size))
