"""What runs through all pages: heads, feet, the draft's marking; and how a story becomes a finished PDF."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any

from reportlab.lib.enums import TA_CENTER
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from dossier.errors import OutputError
from dossier.pages import fonts
from dossier.pages.fonts import SANS, SANS_BOLD
from dossier.pages.setting import Setting, bare, cut, markup, printable
from dossier.pages.style import HAIR, INK, SOFT, text_style
from dossier.pages.tagging import Document, Margins, Meta, Text
from dossier.pages.tagging.objects import BeyondLimitsError

SIGNATURE_FIELD = "Signature1"
TIME_FIELD = "TimeStamp%d"
_SIZE = 7.6
_HEAD, _ABOVE = 14 * mm, 4 * mm  # from the top of the page, and from there to draft and trial
_MOST = 64  # letters of the object's name in a running head


class Running:
    """Draws on every page; all of it is an artifact, since the pages say it too."""

    def __init__(self, s: Setting) -> None:
        self.s = s
        self.name = printable(cut(s.object_name, _MOST))
        self.notice = " \u2013 ".join(s.say(f"running.{key}") for key in s.options.notices)

    def edges(self) -> list[Flowable]:
        """What stands on the edges of the first page and nowhere else: it is read there."""
        return []

    def header(self, canvas: Any, page: int) -> None:
        """From page 2: object and job; on all: draft and trial."""
        grid = self.s.grid
        y = grid.height - _HEAD
        if page > 1:
            canvas.setFillColor(SOFT)
            canvas.setFont(SANS, _SIZE)
            canvas.drawString(grid.left, y, self.name)
            canvas.drawRightString(grid.width - grid.right, y, self._job())
        if self.notice:
            canvas.setFillColor(INK)
            canvas.setFont(SANS_BOLD, _SIZE)
            canvas.drawCentredString(grid.width / 2, y + _ABOVE, self.notice)

    def _job(self) -> str:
        return printable(self.s.say("running.job", job=self.s.payload.job))

    def footer(self, canvas: Any, page: int) -> None:
        """Workshop and copy, digest, page n of m."""
        s, grid = self.s, self.s.grid
        y = 12 * mm
        canvas.setStrokeColor(HAIR)
        canvas.setLineWidth(0.4)
        canvas.line(grid.left, y + 4.2 * mm, grid.width - grid.right, y + 4.2 * mm)
        canvas.setFillColor(SOFT)
        canvas.setFont(SANS, _SIZE)
        canvas.drawString(grid.left, y, self._left())
        canvas.drawRightString(
            grid.width - grid.right, y, s.say("running.page", page=page, pages=canvas.page_count)
        )

    def _left(self) -> str:
        s = self.s
        names = [cut(s.payload.workshop.name, _MOST), s.say(f"copy_name.{s.record.copy}")]
        if not s.options.draft:
            digest = " ".join(s.record.digest[i : i + 4] for i in (0, 4, 8, 12))
            names.append(s.say("running.record", digest=digest))
        return printable("  \u00b7  ".join(names))

    def background(self, canvas: Any, _page: int) -> None:
        """The draft's marking, light enough to read through."""
        if self.s.options.draft:
            self._draft(canvas)

    def _draft(self, canvas: Any) -> None:
        grid = self.s.grid
        canvas.saveState()
        canvas.translate(grid.width / 2, grid.height / 2)
        canvas.rotate(55)
        canvas.setFillGray(0.92)
        canvas.setFont(SANS_BOLD, 130)
        canvas.drawCentredString(0, -45, self.s.say("running.draft_mark"))
        canvas.restoreState()


class OnePage(Running):
    """Of what is one page and says neither draft nor trial on it."""

    def header(self, canvas: Any, page: int) -> None:
        """What stands there is read."""

    def edges(self) -> list[Flowable]:
        y = self.s.grid.height - _HEAD + _ABOVE
        return [Edge(self.s, self.notice, y, SANS_BOLD, _SIZE, INK)] if self.notice else []


class Edge(Text):
    """A line in the middle of the page, `y` above its foot: it takes no room of the story."""

    def __init__(self, s: Setting, words: str, y: float, font: str, size: float, color: Any) -> None:
        super().__init__(
            markup(words), text_style("edge", font, size, size, textColor=color, alignment=TA_CENTER)
        )
        self.s, self.y = s, y

    def wrap(self, _width: float, height: float) -> tuple[float, float]:
        super().wrap(self.s.grid.width, height)
        return 0, 0

    def drawOn(self, canvas: Any, _x: float, _y: float, _sW: float = 0) -> None:  # noqa: N802, N803 - reportlab's names
        super().drawOn(canvas, 0, self.y)


def _fields(s: Setting) -> dict[str, str]:
    """The invisible fields and what a screen reader says of each."""
    times = range(1, s.options.time_places + 1)
    return {
        SIGNATURE_FIELD: s.say("running.signature", workshop=s.payload.workshop.name),
        **{TIME_FIELD % n: s.say("running.time_place", n=n) for n in times},
    }


def finished(
    s: Setting, story: Sequence[Flowable], title: str, *, signed: bool = True, running: Running | None = None
) -> bytes:
    """A story with its running heads as a finished PDF; one that will be signed gets a field for it."""
    fields = _fields(s) if signed and s.options.signed else {}
    return built(s, story, meta(s, title), running or Running(s), fields)


def built(
    s: Setting, story: Sequence[Flowable], about: Meta, running: Running, fields: dict[str, str]
) -> bytes:
    """A story as a PDF of the size and margins of `s.grid`, with these signature fields.

    Raises OutputError where a text is longer than such a file can hold.
    """
    document = Document(
        about,
        (s.grid.width, s.grid.height),
        Margins(s.grid.left, s.grid.right, s.grid.top, s.grid.bottom),
        fonts.fonts(),
        header=running.header,
        footer=running.footer,
        background=running.background,
        signature_fields=fields,
    )
    try:
        return document.build([*running.edges(), *story])
    except BeyondLimitsError as error:
        raise _too_large(s, error) from None


def _too_large(s: Setting, error: BeyondLimitsError) -> OutputError:
    if not error.begins:
        return OutputError(s.say("document.too_large"))
    said = s.say("document.too_long", begins=" ".join(error.begins.split()))
    return OutputError(said, hint=s.say("document.too_long_hint"))


def _subject(s: Setting) -> str:
    payload = s.payload
    copy = s.say(f"copy_name.{s.record.copy}")
    return s.say("document.subject", job=payload.job, workshop=payload.workshop.name, copy=copy)


def meta(s: Setting, title: str) -> Meta:
    """What the file says of itself: nothing that a copy may leave out."""
    payload = s.payload
    marks = [str(s.options.draft), *(["holder"] if s.options.by_holder else [])]
    seed = "\n".join((s.record.digest, s.record.copy, title, *marks, s.options.paper))
    return Meta(
        title=printable(bare(title)),
        language=s.words.language,
        author=printable(payload.workshop.name),
        subject=printable(bare(_subject(s))),
        keywords=printable(bare(s.say("document.keywords", type=payload.object.type))),
        created=s.options.created,
        document_id=hashlib.sha256(seed.encode("utf-8")).digest()[:16],
    )
