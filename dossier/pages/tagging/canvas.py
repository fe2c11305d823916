"""A reportlab canvas that marks what is drawn: real content with its element, everything else as artifact.

It collects content streams, pictures and link areas page by page and writes no file. Transparency, form
XObjects and unmarked images are refused, since the finished file could not keep its promises with them.

Invariants: marked content is never nested; within an artifact nothing is marked; MCIDs count from 0 on each
page (ISO 32000-1, 14.6 and 14.7.4).
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from typing import Any, NoReturn

import msgspec
from reportlab.pdfgen.canvas import Canvas

from dossier.pages.tagging.composed import line_of, needs_composing
from dossier.pages.tagging.composing import draw_line
from dossier.pages.tagging.glyphs import GlyphUse
from dossier.pages.tagging.jpeg import Jpeg, read_jpeg
from dossier.pages.tagging.structure import Annotation, Content, Element

ARTIFACTS = {
    "layout": "/Artifact <</Type /Layout>> BDC",
    "pagination": "/Artifact <</Type /Pagination>> BDC",
    "header": "/Artifact <</Type /Pagination /Subtype /Header>> BDC",
    "footer": "/Artifact <</Type /Pagination /Subtype /Footer>> BDC",
    "background": "/Artifact <</Type /Pagination /Subtype /Watermark>> BDC",
}

Shares = tuple[float, float, float, float]  # of a picture: left, top, width, height
WHOLE: Shares = (0.0, 0.0, 1.0, 1.0)


class Page(msgspec.Struct):
    """What one page holds once drawn."""

    size: tuple[float, float]
    content: bytes = b""
    marks: list[Element] = msgspec.field(default_factory=list)  # by MCID
    pictures: dict[str, str] = msgspec.field(default_factory=dict)  # resource name -> digest of the JPEG


class Bookmark(msgspec.Struct, frozen=True):
    title: str
    level: int
    page: int
    top: float


_NOTHING = nullcontext()


class _Marked(AbstractContextManager[None]):
    """A marked-content sequence; there are thousands in a document, so that it is no generator."""

    __slots__ = ("canvas", "element")

    def __init__(self, canvas: TaggedCanvas, element: Element) -> None:
        self.canvas, self.element = canvas, element

    def __enter__(self) -> None:
        self.canvas._code.append(self.canvas.open_mark(self.element))
        self.canvas._marked = True

    def __exit__(self, *_: object) -> None:
        self.canvas._code.append("EMC")
        self.canvas._marked = False


class TaggedCanvas(Canvas):  # type: ignore[misc]  # reportlab is untyped
    """Draws like any reportlab canvas; `mark` and `artifact` say what the drawing is."""

    def __init__(self, page_size: tuple[float, float], page_count: int, font_name: str) -> None:
        super().__init__(
            io.BytesIO(),
            pagesize=page_size,
            pageCompression=0,
            invariant=1,
            initialFontName=font_name,
            enforceColorSpace="rgb",
        )
        self.page_count = page_count
        self.pages: list[Page] = [Page(page_size)]
        self.pictures: dict[str, Jpeg] = {}
        self.bookmarks: list[Bookmark] = []
        self.targets: dict[str, tuple[int, float]] = {}  # heading key -> page index, top
        self.glyph_uses: dict[str, GlyphUse] = {}  # by resource name, in the order of first use
        self.links: list[tuple[Element, str]] = []  # of the line being drawn, in order, with their words
        self._artifacts = 0
        self._marked = False
        self._decorating = False

    @property
    def page_index(self) -> int:
        return len(self.pages) - 1

    # What the drawing is

    def mark(self, element: Element | None) -> AbstractContextManager[None]:
        """Everything drawn within belongs to `element` (or, without one, is an artifact)."""
        if self._artifacts:
            return _NOTHING
        return self.artifact() if element is None else _Marked(self, element)

    def open_mark(self, element: Element) -> str:
        """The operator that opens the next marked-content sequence of this page for `element`."""
        if self._marked:
            raise ValueError(f"marked content of {element.tag} inside other marked content")
        marks = self.pages[-1].marks
        number = len(marks)
        element.kids.append(Content(len(self.pages) - 1, number))
        marks.append(element)
        return f"/{element.tag} <</MCID {number}>> BDC"

    @contextmanager
    def artifact(self, kind: str = "layout") -> Iterator[None]:
        """Everything drawn within is no part of the content: rules, running heads, repeated headings."""
        if self._marked:
            yield  # decoration of a figure is part of the figure
            return
        if not self._artifacts:
            self._code.append(ARTIFACTS[kind])
        self._artifacts += 1
        yield
        self._artifacts -= 1
        if not self._artifacts:
            self._code.append("EMC")

    @contextmanager
    def decoration(self) -> Iterator[None]:
        """An artifact around text that marks itself: its rules and grounds, but not its words."""
        self._decorating = True
        with self.artifact():
            yield
        self._decorating = False

    @property
    def in_outer_artifact(self) -> bool:
        return self._artifacts > int(self._decorating)

    def drawText(self, aTextObject: Any) -> None:  # noqa: N802, N803 - reportlab's names
        """Text that marks itself stands between two halves of the artifact around it."""
        if self._decorating:
            self._code += ["EMC", aTextObject.getCode(), ARTIFACTS["layout"]]
        else:
            super().drawText(aTextObject)

    # What is drawn

    def drawString(self, x: float, y: float, text: str, *args: Any, **kwargs: Any) -> None:  # noqa: N802 - reportlab's name
        self._string(super().drawString, x, y, text, 0.0, args, kwargs)

    def drawCentredString(self, x: float, y: float, text: str, *args: Any, **kwargs: Any) -> None:  # noqa: N802
        self._string(super().drawCentredString, x, y, text, 0.5, args, kwargs)

    def drawRightString(self, x: float, y: float, text: str, *args: Any, **kwargs: Any) -> None:  # noqa: N802
        self._string(super().drawRightString, x, y, text, 1.0, args, kwargs)

    def _string(
        self, letters: Any, x: float, y: float, text: str, share: float, args: Any, kwargs: Any
    ) -> None:
        """One line of text in any script; `share` of its width stands left of `x`."""
        if not needs_composing(text, self._fontname):
            letters(x, y, text, *args, **kwargs)
            return
        line = line_of(text, self._fontname, self._fontsize)
        draw_line(self, line, x - share * line.width, y)

    def stringWidth(self, text: str, fontName: str | None = None, fontSize: float | None = None) -> float:  # noqa: N802, N803
        name, size = fontName or self._fontname, fontSize or self._fontsize
        if needs_composing(text, name):
            return line_of(text, name, size).width
        return float(super().stringWidth(text, name, size))

    def place_jpeg(
        self, data: bytes, x: float, y: float, width: float, height: float, window: Shares = WHOLE
    ) -> None:
        """Places the bytes of a JPEG as they are; the same bytes are stored once in the document.

        Of the picture the `window` fills the place: the rest is clipped away (ISO 32000-1, 8.5.4).
        """
        digest = hashlib.sha256(data).hexdigest()
        if digest not in self.pictures:
            self.pictures[digest] = read_jpeg(data)
        name = f"Im{list(self.pictures).index(digest) + 1}"
        self.pages[-1].pictures[name] = digest
        clip = "" if window == WHOLE else f"{x:.4f} {y:.4f} {width:.4f} {height:.4f} re W n "
        left, top, across, down = window
        wide, high = width / across, height / down
        x, y = x - left * wide, y - (1 - top - down) * high
        self._code.append(f"q {clip}{wide:.4f} 0 0 {high:.4f} {x:.4f} {y:.4f} cm /{name} Do Q")

    def linkURL(self, url: str, rect: Any, relative: int = 0, **_: Any) -> None:  # noqa: N802 - reportlab's name
        self._link(url, rect)

    def linkRect(self, _contents: str, destinationname: str, rect: Any, **_: Any) -> None:  # noqa: N802 - reportlab's name
        self._link("#" + destinationname, rect)

    def _link(self, target: str, rect: Any) -> None:
        if not self.links:  # within an artifact: no element, so no area
            return
        element, words = self.links.pop(0)
        box = tuple(round(float(value), 3) for value in self._absRect(rect, 1))
        element.kids.append(Annotation(self.page_index, box, target, words))  # type: ignore[arg-type]

    def bookmark(self, title: str, level: int, top: float) -> None:
        self.bookmarks.append(Bookmark(title, level, self.page_index, round(top, 3)))

    def target(self, key: str, top: float) -> None:
        if key in self.targets:
            raise ValueError(f"two headings have the key {key!r}")
        self.targets[key] = (self.page_index, round(top, 3))

    # Pages

    def showPage(self) -> None:  # noqa: N802 - reportlab's name
        if self._artifacts or self._marked:
            raise ValueError("the page ends inside marked content")
        self.pages[-1].content = "\n".join(self._code).encode("latin-1")
        self.pages.append(Page(self._pagesize))
        self._startPage()

    # What an archivable, tagged page cannot hold

    def drawImage(self, *_: Any, **__: Any) -> NoReturn:  # noqa: N802 - reportlab's name
        raise ValueError("images are placed with Picture, or with canvas.place_jpeg inside a Figure")

    drawInlineImage = doForm = beginForm = drawImage  # noqa: N815 - reportlab's names

    def _opaque(self, alpha: float) -> None:
        if alpha != 1:
            raise ValueError("no transparency on these pages; use a lighter colour")

    _setFillAlpha = _setStrokeAlpha = setFillAlpha = setStrokeAlpha = _opaque  # noqa: N815 - reportlab's names

    def setBlendMode(self, v: str) -> None:  # noqa: N802 - reportlab's name
        if v != "Normal":
            raise ValueError("no blending on these pages; use a mixed colour")
