"""The outline (bookmarks) of a document, nested as its headings are (ISO 32000-1, 12.3.3)."""

from __future__ import annotations

import msgspec

from dossier.pages.tagging.canvas import Bookmark
from dossier.pages.tagging.objects import File, Name, Ref, shortened


class _Entry(msgspec.Struct):
    level: int
    ref: Ref
    bookmark: Bookmark | None = None
    kids: list[_Entry] = msgspec.field(default_factory=list)


def add_outline(file: File, bookmarks: list[Bookmark], pages: list[Ref]) -> Ref | None:
    """Writes one entry for each bookmark under the nearest earlier one of a lower level."""
    if not bookmarks:
        return None
    root = _Entry(0, file.reserve())
    path = [root]
    for bookmark in bookmarks:
        while path[-1].level >= bookmark.level:
            path.pop()
        entry = _Entry(bookmark.level, file.reserve(), bookmark)
        path[-1].kids.append(entry)
        path.append(entry)
    file.put(root.ref, {"/Type": Name("Outlines"), **_below(root)})
    _put_kids(file, root, pages)
    return root.ref


def _put_kids(file: File, parent: _Entry, pages: list[Ref]) -> None:
    beside = [None, *parent.kids, None]
    for before, entry, after in zip(beside, parent.kids, beside[2:], strict=False):
        assert entry.bookmark is not None
        made = {
            "/Title": shortened(entry.bookmark.title),
            "/Dest": [pages[entry.bookmark.page], Name("XYZ"), None, entry.bookmark.top, None],
            "/Parent": parent.ref,
            **_below(entry),
        }
        if before:
            made["/Prev"] = before.ref
        if after:
            made["/Next"] = after.ref
        file.put(entry.ref, made)
        _put_kids(file, entry, pages)


def _below(entry: _Entry) -> dict[str, Ref | int]:
    """First, last and number of kids: entries below the top level start closed, so theirs is negative."""
    if not entry.kids:
        return {}
    count = len(entry.kids)
    return {
        "/First": entry.kids[0].ref,
        "/Last": entry.kids[-1].ref,
        "/Count": count if entry.bookmark is None else -count,  # table 153
    }
