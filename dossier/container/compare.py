"""Compares the pages in a dossier with the same pages drawn again: what is read is what was signed.

Not done here: drawing. What counts is decoded content and resources, so that a later compressor or another
number of attachments makes no difference.
"""

from __future__ import annotations

import io
from pathlib import Path

from dossier.container.graph import Document
from dossier.container.read import DEFAULT_LIMITS, objects_of
from dossier.container.window import Window, opened
from dossier.model.container import Limits, PageDifferences


def compare_pages(path: Path, redrawn: bytes, limits: Limits = DEFAULT_LIMITS) -> PageDifferences:
    """Where the pages at `path` differ from the pages PDF `redrawn`; false when nowhere.

    Raises UnreadableError when the file at `path` cannot be read or holds more than the limits.
    """
    with opened(path, limits) as window:
        there = Document(objects_of(window, limits))
        again = _document(redrawn, limits)
        pages = list(zip(there.page_digests(), again.page_digests(), strict=False))
        parts, wanted = there.part_digests(), again.part_digests()
        return PageDifferences(
            pages=tuple(number for number, (a, b) in enumerate(pages, 1) if a != b),
            counts=_counts(there, again),
            others=(
                *(part for part in wanted if parts[part] != wanted[part]),
                *(["identifier"] if there.identifier != again.identifier else []),
            ),
        )


def _counts(there: Document, again: Document) -> tuple[int, int] | None:
    counts = len(there.pages), len(again.pages)
    return None if counts[0] == counts[1] else counts


def _document(pages_pdf: bytes, limits: Limits) -> Document:
    return Document(objects_of(Window(io.BytesIO(pages_pdf), len(pages_pdf)), limits))
