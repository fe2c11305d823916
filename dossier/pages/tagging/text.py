"""Paragraphs and headings that mark themselves, and the links within them.

Markup is reportlab's small one (`<b> <i> <br/> <a href="...">`); `plain` makes it from any text. A paragraph
cut by a page break stays one element. A link gets an element of its own with its words and its annotation.

Not done here: inline images, bullets of reportlab's own kind (see `lists`).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from copy import copy
from html import escape
from typing import Any

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.textobject import PDFTextObject
from reportlab.platypus import Paragraph
from reportlab.platypus.paragraph import _SplitFrag, _SplitFragHS, _SplitWord, _SplitWordEnd, _SplitWordLL

from dossier.pages.tagging.body import Body, in_languages, language_of, reading, runs_left, segments
from dossier.pages.tagging.body import is_needed as body_is_needed
from dossier.pages.tagging.canvas import TaggedCanvas
from dossier.pages.tagging.composed import Look
from dossier.pages.tagging.effort import spend
from dossier.pages.tagging.languages import speaks
from dossier.pages.tagging.structure import Element, used_once

Link = tuple[int, str]  # reportlab's number of a link in its paragraph, and where it leads

# Roles whose words stand in a P of their own, since these elements group others (ISO 32000-1, 14.8.4.2).
_GROUPING = {"BlockQuote"}
_A_PARAGRAPH, _A_FRAGMENT, _A_WORD = 100, 25, 1  # units of `effort` besides their letters


def plain(text: str) -> str:
    """Any text as markup that prints it unchanged: special characters escaped, controls left out."""
    kept = (c if c != "\t" else " " for c in text if c in "\t\n" or unicodedata.category(c) not in _UNPRINTED)
    return escape("".join(kept), False).replace("\n", "<br/>")


_DIRECTIONS = dict.fromkeys((0x200E, 0x200F, *range(0x2066, 0x206A)))  # marks that show nothing
_FOR_LISTS = {**_DIRECTIONS, 0xA0: " "}  # a list of headings has no lines to keep together
_UNPRINTED = {"Cc", "Cf", "Cs"}


class LineText(PDFTextObject):  # type: ignore[misc]  # reportlab is untyped
    """A text object whose lines end as `ends` says: with a space where words were parted there.

    Tagged text holds every space that plain text would (ISO 32000-1, 14.8.2.5), so that a reader of the
    structure never runs the last word of a line into the first of the next.
    """

    def __init__(self, canvas: TaggedCanvas, x: float, y: float, ends: list[str]) -> None:
        super().__init__(canvas, x, y)
        self._ends = iter(ends)

    def _textOut(self, text: str, TStar: bool = False) -> None:  # noqa: N802, N803 - reportlab's names
        super()._textOut(text + next(self._ends, "") if TStar else text, TStar)


class MarkedText(LineText):
    """A text object that gives the words of each link to the link's element, the rest to the paragraph's."""

    def __init__(self, canvas: TaggedCanvas, x: float, y: float, ends: list[str], owner: Text) -> None:
        super().__init__(canvas, x, y, ends)
        self._owner = owner

    def _linkRecord(self, link: Link, event: str) -> None:  # noqa: N802 - reportlab's name
        """Called by reportlab after a link's first words, and before the words that follow it."""
        if event == "start":
            element = self._owner.link_element(link)
            self._canvas.links.append((element, self._owner.link_words[link]))
            self._code.insert(len(self._code) - 1, _Turn(element))
        else:
            self._code.append(_Turn(self._owner.element))

    def getCode(self) -> str:  # noqa: N802 - reportlab's name
        canvas, code = self._canvas, [self._code[0]]
        for element, run in _runs(self._code[1:], self._owner.element):
            if element is None or not any("Tj" in entry for entry in run):
                code += run
                continue
            self._owner.attach(element)
            code += [canvas.open_mark(element), *run, "EMC"]
        return "\n".join([*code, "ET"])


class _Turn(str):
    """An entry of the code at which the element changes."""

    element: Element | None

    def __new__(cls, element: Element | None) -> _Turn:
        turn = super().__new__(cls, "")
        turn.element = element
        return turn


def _runs(code: Iterable[str], element: Element | None) -> list[tuple[Element | None, list[str]]]:
    runs: list[tuple[Element | None, list[str]]] = [(element, [])]
    for entry in code:
        if isinstance(entry, _Turn):
            runs.append((entry.element, []))
        else:
            runs[-1][1].append(entry)
    return runs


class Text(Paragraph):  # type: ignore[misc]  # reportlab is untyped
    """A paragraph. `role` is its structure type; an empty role gives its words to the element around it."""

    def __init__(
        self,
        markup: str | None,
        style: ParagraphStyle,
        role: str = "P",
        *,
        bulletText: str | None = None,  # noqa: N803 - reportlab's name
        frags: Any = None,
    ) -> None:
        spend(_A_PARAGRAPH + 2 * len(markup or ""))
        super().__init__(markup, style, bulletText=bulletText, frags=frags)
        self.role = role
        self.element: Element | None = None
        self.continues = False  # on the next page
        self._broken_for = -1.0  # the width that its lines are broken for
        self._wrapped = (0.0, 0.0)
        self.link_words = _link_words(self.frags) if markup and "<" in markup else {}
        self._links: dict[Link, Element] = {}
        self._segments: list[Element] = []  # of composed words, where each has its own
        frags = in_languages(self.frags)
        self.says_language = frags is not self.frags
        self.frags: list[Any] = frags
        self.body = Body(self.frags, style) if body_is_needed(self.frags) else None

    def structure(self, parent: Element) -> None:
        used_once(self.element)
        left = self.body is not None and runs_left(self.frags)
        language = self._whole_language(parent.within) if self.says_language else ""
        if not self.role:
            self.element = parent.child("Span") if left or language else parent
        else:
            self.element = parent.child(self.role)
        if self.role in _GROUPING:
            self.element = self.element.child("P")
        self.element.language = language or self.element.language
        if self.body is not None:
            self._say(self.element, left)

    def _whole_language(self, document: str) -> str:
        """The language of the paragraph, where it is one and not the document's."""
        languages = set(map(language_of, self.frags))
        language = languages.pop() if len(languages) == 1 and not self.link_words else ""
        return language if speaks(language, document) else ""

    def _say(self, element: Element, left: bool) -> None:
        """Gives stretches in another language their own element, and words not drawn as read their text.

        A link has its own in both cases (ISO 32000-1, 14.9.2 and 14.9.4).
        """
        parts = segments(self.frags)
        if len(parts) == 1 and not self.link_words:
            element.actual = reading(self.frags) if left else ""
            return
        for link, frags in parts:
            part = self.link_element(link) if link else _part(element, language_of(frags[0]), left)
            if left:
                part.actual += reading(frags)
                self.attach(part)
            self._segments.append(part)

    def link_element(self, link: Link) -> Element:
        """The element of a link, the same for all its lines."""
        return self._links.setdefault(link, Element("Link"))

    def attach(self, element: Element) -> None:
        """Puts a link's element among the paragraph's kids where its first words stand."""
        if self.element is None or element is self.element:
            return
        if not element.is_listed:
            element.is_listed = True
            self.element.kids.append(element)

    def wrap(self, availWidth: float, availHeight: float) -> tuple[float, float]:  # noqa: N803 - reportlab's names
        if self.body is not None:
            self.width, self.height = availWidth, self.body.wrap(availWidth)
            return self.width, self.height
        if self._broken_for != availWidth or not hasattr(self, "blPara"):  # which a split may take away
            self._broken_for = availWidth
            spend(sum(map(_size, self.frags)))
            self._wrapped = super().wrap(availWidth, availHeight)
        return self._wrapped

    def _split(self, width: float, height: float) -> list[Text]:
        if self.body is None:
            parts: list[Text] = super().split(width, height)
            return parts
        self.body.wrap(width)
        count = self.body.cut(height)
        if not count:
            return []
        if count == len(self.body.lines):
            return [self]
        made = [copy(self), copy(self)]
        made[0].body, made[1].body = self.body.parts(count)
        return made

    def split(self, availWidth: float, availHeight: float) -> list[Text]:  # noqa: N803 - reportlab's names
        parts = self._split(availWidth, availHeight)
        for part in parts:
            part.role, part.element, part.continues = self.role, self.element, self.continues
            part.link_words, part._links = self.link_words, self._links
        if len(parts) == 2:
            parts[0].continues = True
        return parts

    def beginText(self, x: float, y: float) -> PDFTextObject:  # noqa: N802 - reportlab's name
        ends = _line_ends(self)
        return MarkedText(self.canv, x, y, ends, self) if self._turns() else LineText(self.canv, x, y, ends)

    def draw(self) -> None:
        if all(getattr(frag, "text", None) == "" for frag in self.frags):
            return  # an empty cell: nothing is drawn, and no empty paragraph is heard
        canvas: TaggedCanvas = self.canv
        if self.body is not None:
            self.body.draw(canvas, self._owner)
        elif self._turns():
            with canvas.decoration():
                super().draw()
        else:
            with canvas.mark(self._whole_link() or self.element):
                super().draw()

    def _owner(self, look: Look) -> tuple[Element | None, str]:
        """The element of composed words: a link's, a part's, or the paragraph's."""
        if self.element is None or self.canv.in_outer_artifact:
            return self.element, ""
        if look.link:
            element = self.link_element(look.link)
            self.attach(element)
            return element, self.link_words[look.link]
        if not self._segments:
            return self.element, ""
        self.attach(self._segments[look.segment])
        return self._segments[look.segment], ""

    def _turns(self) -> bool:
        """Whether the element changes within the paragraph's text."""
        return bool(self.link_words) and self.blPara.kind == 1 and not self.canv.in_outer_artifact

    def _whole_link(self) -> Element | None:
        """The element of the link that is the whole paragraph, if it is one."""
        links = getattr(self.blPara, "link", None) if self.blPara.kind == 0 else None
        if not links or self.canv.in_outer_artifact:
            return None
        element = self.link_element(links[0])
        self.attach(element)
        self.canv.links = [(element, self.link_words[links[0]])] * len(self.blPara.lines)
        return element


def _part(element: Element, language: str, left: bool) -> Element:
    """The element of a stretch between links: the paragraph's, unless it has something of its own to say."""
    language = language if speaks(language, element.within) else ""
    return Element("Span", language=language) if left or language else element


def _size(frag: Any) -> int:
    """What breaking a fragment into lines takes; one left over by a page break holds words."""
    words = getattr(frag, "words", ())
    return _A_FRAGMENT + len(getattr(frag, "text", "")) + _A_WORD * len(words) + sum(map(len, words))


def _link_words(frags: Any) -> dict[Link, str]:
    """The words of each link, which its annotation says again (ISO 14289-1, 7.18.5)."""
    words: dict[Link, str] = {}
    for frag in frags:
        for link in getattr(frag, "link", []):
            words[link] = words.get(link, "") + frag.text
    return words


def _line_ends(text: Text) -> list[str]:
    """For each line a space if a space was dropped after it; a word broken within has none."""
    lines = text.blPara.lines
    ends = [" " if _spaced(text, number) else "" for number in range(len(lines))]
    if ends and not text.continues:
        ends[-1] = ""
    return ends


def _spaced(text: Text, number: int) -> bool:
    lines = text.blPara.lines
    if text.blPara.kind == 0:
        word = lines[number][1][-1] if lines[number][1] else ""
        return not isinstance(word, _SplitWord | _SplitWordLL) or isinstance(word, _SplitWordEnd)
    after = lines[number + 1].sFW if number + 1 < len(lines) else len(text.frags)
    word = text.frags[after - 1] if 0 < after <= len(text.frags) else None
    return not isinstance(word, _SplitFrag) or isinstance(word, _SplitFragHS)


class Heading(Text):
    """H1 to H6 with an entry in the outline; never the last thing on a page."""

    def __init__(
        self,
        text: str | None,
        level: int = 1,
        style: ParagraphStyle | None = None,
        bookmark: bool = True,
        key: str | None = None,
        **reportlab: Any,
    ) -> None:
        if isinstance(level, ParagraphStyle):  # a part cut off by reportlab, which knows only text and style
            level, style = 1, level
        super().__init__(text, style, f"H{level}", **reportlab)
        self.level, self.bookmark, self.key = level, bookmark, key
        self.keepWithNext = 1

    def split(self, availWidth: float, availHeight: float) -> list[Text]:  # noqa: N803 - reportlab's names
        parts = super().split(availWidth, availHeight)
        for part in parts[1:]:
            part.bookmark = False
        for part in parts[:1]:
            part.level, part.bookmark, part.key = self.level, self.bookmark, self.key
        return parts

    def draw(self) -> None:
        canvas: TaggedCanvas = self.canv
        _, top = canvas.absolutePosition(0, self.height)
        if self.bookmark and not canvas.in_outer_artifact:
            canvas.bookmark(self.getPlainText(identify=None).translate(_FOR_LISTS), self.level, top)
        if self.key and not canvas.in_outer_artifact:
            canvas.target(self.key, top)
        super().draw()
