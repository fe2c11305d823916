"""The outline (bookmarks) of a document, nested as its headings are (ISO 32000-1, 12.3.3)."""

from __future__ import annotations

from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, String

from dossier.pages.tagging.canvas import Bookmark


def add_outline(pdf: pikepdf.Pdf, bookmarks: list[Bookmark]) -> None:
    """Writes one entry for each bookmark under the nearest earlier one of a lower level."""
    if not bookmarks:
        return
    root = pdf.make_indirect(Dictionary(Type=Name.Outlines))
    path: list[tuple[int, Any]] = [(0, root)]
    for bookmark in bookmarks:
        while path[-1][0] >= bookmark.level:
            path.pop()
        item = _item(pdf, bookmark)
        _append(path[-1][1], item)
        path.append((bookmark.level, item))
    _count(root, is_root=True)
    pdf.Root.Outlines = root


def _item(pdf: pikepdf.Pdf, bookmark: Bookmark) -> Any:
    page = pdf.pages[bookmark.page].obj
    target = Array([page, Name.XYZ, None, bookmark.top, None])
    return pdf.make_indirect(Dictionary(Title=String(bookmark.title), Dest=target))


def _append(parent: Any, item: Any) -> None:
    item.Parent = parent
    if "/Last" in parent:
        item.Prev = parent.Last
        parent.Last.Next = item
    else:
        parent.First = item
    parent.Last = item


def _count(item: Any, is_root: bool = False) -> int:
    """Sets /Count: entries below the top level start closed, so theirs is negative (table 153)."""
    below, kid = 0, item.get("/First")
    while kid is not None:
        inner = _count(kid)
        below += 1 + (inner if is_root is None else 0)
        kid = kid.get("/Next")
    if below:
        item.Count = below if is_root else -below
    return below
