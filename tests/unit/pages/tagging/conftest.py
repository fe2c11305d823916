"""A plain document to put stories into, and invented pictures."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import pytest
from PIL import Image
from reportlab.lib.styles import ParagraphStyle

from dossier.pages import fonts
from dossier.pages.tagging import Document, Meta, TableLook

A4 = (595.28, 841.89)


@dataclass(frozen=True)
class Styles:
    body: ParagraphStyle
    small: ParagraphStyle
    heading: ParagraphStyle
    look: TableLook


@pytest.fixture(scope="session")
def styles() -> Styles:
    fonts.register()
    body = ParagraphStyle(
        "body", fontName="Serif", fontSize=10, leading=14, spaceAfter=6, allowWidows=0, allowOrphans=0
    )
    small = ParagraphStyle("small", fontName="Sans", fontSize=8, leading=10)
    heading = ParagraphStyle("heading", fontName="Sans-Semibold", fontSize=15, leading=18, spaceBefore=10)
    return Styles(
        body, small, heading, TableLook(ParagraphStyle("head", small, fontName="Sans-Semibold"), small)
    )


@pytest.fixture(scope="session")
def meta() -> Meta:
    zone = dt.timezone(dt.timedelta(hours=1))
    made = dt.datetime(2026, 11, 25, 9, 30, tzinfo=zone)
    return Meta(
        "Record of a work-box & its key",
        "en-GB",
        made,
        bytes(range(16)),
        "A. Maker <shop>",
        "What was done",
        "box, key",
    )


@pytest.fixture(scope="session")
def build(meta: Meta) -> Callable[..., bytes]:
    """`build(story, **options of Document)` on A4 with a running head and "page n of m"."""

    def furniture(text: str, y: float) -> Callable[[Any, int], None]:
        def draw(canvas: Any, page: int) -> None:
            canvas.setFont("Sans", 8)
            canvas.drawString(60, y, text.format(page=page, pages=canvas.page_count))

        return draw

    def make(story: Sequence[Any], **options: Any) -> bytes:
        options.setdefault("header", furniture("RUNNING HEAD", 810))
        options.setdefault("footer", furniture("page {page} of {pages}", 30))
        return Document(meta, options.pop("page_size", A4), (60, 60, 60, 60), fonts.fonts(), **options).build(
            story
        )

    return make


@pytest.fixture(scope="session")
def jpeg() -> Callable[..., bytes]:
    """`jpeg(mode="RGB", size=(320, 240), **save options)`: a ramp as a JPEG."""

    def make(mode: str = "RGB", size: tuple[int, int] = (320, 240), **options: Any) -> bytes:
        out = io.BytesIO()
        Image.linear_gradient("L").convert(mode).resize(size).save(out, "JPEG", **options)
        return out.getvalue()

    return make
