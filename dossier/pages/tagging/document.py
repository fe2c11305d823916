"""A story of flowables becomes a finished PDF: laid out once, drawn once, then written with its structure.

All pages are laid out before the first is drawn, so "page n of m" needs no second layout
(`canvas.page_count`). Time, identity and words come from `Meta`; nothing here reads a clock or a die.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import msgspec
from reportlab.platypus import Flowable

from dossier.pages.tagging.boxes import Filled, Space, fill, structure_of
from dossier.pages.tagging.canvas import TaggedCanvas
from dossier.pages.tagging.fontfile import Font, register_fonts
from dossier.pages.tagging.meta import Meta
from dossier.pages.tagging.structure import Annotation, Element, check_headings, prune
from dossier.pages.tagging.writer import Drawn, write

PageDraw = Callable[[TaggedCanvas, int], None]  # canvas, page number from 1


class Margins(msgspec.Struct, frozen=True):
    """Points from the edges of the page."""

    left: float
    right: float
    top: float
    bottom: float


class Document:
    """One PDF: PDF/A-3a (ISO 19005-3) and PDF/UA-1 (ISO 14289-1).

    `page_size` and `margins` (left, right, top, bottom) in points. `header`, `footer` and `background` draw
    on every page and are artifacts; they find the number of pages in `canvas.page_count`. `signature_fields`:
    invisible fields to sign later by name, and what a screen reader says of each.
    """

    def __init__(
        self,
        meta: Meta,
        page_size: tuple[float, float],
        margins: Margins | tuple[float, float, float, float],
        fonts: Sequence[Font],
        header: PageDraw | None = None,
        footer: PageDraw | None = None,
        background: PageDraw | None = None,
        signature_fields: Mapping[str, str] | None = None,
    ) -> None:
        register_fonts(fonts)
        self.meta, self.page_size, self.fonts = meta, page_size, list(fonts)
        self.margins = margins if isinstance(margins, Margins) else Margins(*margins)
        self.furniture = (("background", background), ("header", header), ("footer", footer))
        self.fields = dict(signature_fields or {})

    def build(self, story: Sequence[Flowable]) -> bytes:
        """The finished PDF. Raises ValueError for a story that cannot be laid out or tagged."""
        root = Element("Document", within=self.meta.language)
        structure_of(story, root)
        check_headings(root)
        pages = self._lay_out(story)
        canvas = TaggedCanvas(self.page_size, len(pages), self.fonts[0].name)
        for number, page in enumerate(pages, 1):
            self._draw_page(canvas, number, page)
        self._add_fields(root)
        prune(root)
        return write(Drawn(canvas, root, [font.name for font in self.fonts]), self.meta)

    def _lay_out(self, story: Sequence[Flowable]) -> list[Filled]:
        width = self.page_size[0] - self.margins.left - self.margins.right
        height = self.page_size[1] - self.margins.top - self.margins.bottom
        pages: list[Filled] = []
        rest = list(story)
        while rest or not pages:
            page = fill(rest, width, height, force=True)
            rest = page.rest
            if page.placed or not pages:
                pages.append(page)
        return pages

    def _draw_page(self, canvas: TaggedCanvas, number: int, page: Filled) -> None:
        for kind, draw in self.furniture:
            if draw:
                with canvas.artifact(kind):
                    canvas.saveState()
                    draw(canvas, number)
                    canvas.restoreState()
        top = self.page_size[1] - self.margins.top
        for placed in page.placed:
            if not isinstance(placed.flowable, Space):
                placed.flowable.drawOn(canvas, self.margins.left, top - placed.top - placed.height)
        canvas.showPage()

    def _add_fields(self, root: Element) -> None:
        """Signature fields without a place on the page, each in a Form element (ISO 14289-1, 7.18.4)."""
        for name, label in self.fields.items():
            form = root.child("Form")
            form.kids.append(Annotation(0, (0, 0, 0, 0), contents=label or name, field=name))
