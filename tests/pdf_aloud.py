"""A PDF read back in the order of its structure tree, as it is heard, and the names in its outline.

Read with pikepdf, none of it with the code under test (ISO 32000-1, 14.7 and 14.8).
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from itertools import groupby
from typing import Any

import pikepdf
from pdf_checks import PageContent, kids, read_content


def structure_text(pdf_bytes: bytes) -> list[tuple[str, str]]:
    """(type, text) of every run of words, in the order of the structure tree.

    A paragraph with a link in it gives three runs; its pieces on several pages or lines are one, and so are
    its words in another language. An element that has its text beside it (ActualText) is read by that.
    """
    with pikepdf.open(io.BytesIO(pdf_bytes)) as pdf:
        pages = {page.obj.objgen: read_content(page) for page in pdf.pages}
        runs = groupby(_runs(pdf.Root.StructTreeRoot, pages), key=lambda run: run[0].objgen)
        joined = [[(str(element.S)[1:], text) for element, text in pieces] for _, pieces in runs]
    return [(run[0][0], text) for run in joined if (text := "".join(piece for _, piece in run))]


def _runs(element: Any, pages: dict[Any, PageContent]) -> Iterator[tuple[Any, str]]:
    if "/ActualText" in element:
        yield element, str(element.ActualText)
        return
    for kid in kids(element):
        if isinstance(kid, int) or kid.get("/Type") == "/MCR":
            at = element.Pg if isinstance(kid, int) else kid.get("/Pg", element.get("/Pg"))
            mcid = kid if isinstance(kid, int) else int(kid.MCID)
            yield element, pages[at.objgen].marked[mcid].text
        elif kid.get("/Type") != "/OBJR":
            of_paragraph = kid.get("/S") == "/Span" and element.S in _WORDS
            yield from ((element if of_paragraph else at, text) for at, text in _runs(kid, pages))


_WORDS = (
    "/P",
    "/H1",
    "/H2",
    "/H3",
    "/Caption",
    "/TD",
    "/TH",
    "/LBody",
    "/Span",
)  # elements whose spans are stretches of their words


def outline(pdf_bytes: bytes) -> list[tuple[int, str]]:
    """(level from 1, title) of the bookmarks in order."""
    with pikepdf.open(io.BytesIO(pdf_bytes)) as pdf, pdf.open_outline() as found:
        return list(_entries(found.root, 1))


def _entries(items: Any, level: int) -> Iterator[tuple[int, str]]:
    for item in items:
        yield level, str(item.title)
        yield from _entries(item.children, level + 1)
