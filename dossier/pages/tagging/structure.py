"""The structure tree of a tagged PDF as plain values (ISO 32000-1, 14.7 and 14.8).

Elements are made from the story before anything is drawn, so their order is the story's; drawing only adds
the marked content that belongs to each. Nothing here knows of PDF objects; `finish` writes them.

Invariant: an element has one parent and is listed once among its kids.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import msgspec

# Elements that stay though nothing is drawn in them: a table keeps its grid, a list item its body.
KEPT_EMPTY = frozenset({"TD", "TH", "LBody", "Lbl"})
_KEEPING = frozenset({"Table", "L"})  # what these stand in; it goes with them where nothing at all is drawn

Value = str | int | float | tuple[float, ...]


class Content(NamedTuple):
    """A marked-content sequence: page index from 0 and its MCID on that page (14.7.4.2)."""

    page: int
    mcid: int


class Annotation(msgspec.Struct):
    """A link or field to be written as an annotation and tied in by an object reference (14.7.4.3)."""

    page: int
    rect: tuple[float, float, float, float]  # points, absolute on the page
    target: str = ""  # a URI, or "#key" of a heading
    contents: str = ""
    field: str = ""  # name of a signature field; "" for a link


class Element(msgspec.Struct):
    """One structure element; `attributes` maps an attribute owner (14.8.5) to its entries."""

    tag: str
    alt: str = ""
    identifier: str = ""
    actual: str = ""  # the text as it is read, where what is drawn stands in another order (14.9.4)
    language: str = ""  # of its text, where it is not the document's (14.9.2)
    within: str = ""  # the language of the document, handed down
    attributes: dict[str, dict[str, Value]] = msgspec.field(default_factory=dict)
    kids: list[Element | Content | Annotation] = msgspec.field(default_factory=list)
    is_listed: bool = False  # among the kids of its parent, where that comes after it is made

    def child(self, tag: str, alt: str = "") -> Element:
        """A new element at the end of this one's kids."""
        element = Element(tag, alt, within=self.within)
        self.kids.append(element)
        return element

    def child_elements(self) -> list[Element]:
        return [kid for kid in self.kids if isinstance(kid, Element)]

    @property
    def says(self) -> bool:
        """Whether anything is said of it beside its type and language; of a note, its identifier."""
        return bool(self.attributes or self.alt or self.actual or self.tag == "Note")

    def set(self, owner: str, **entries: Value) -> Element:
        """Adds entries to the attributes of `owner` ("Table", "List", "Layout")."""
        self.attributes.setdefault(owner, {}).update(entries)
        return self


def used_once(element: Element | None) -> None:
    """Raises ValueError for a flowable that has its element already: it would be read in two places."""
    if element is not None:
        raise ValueError(
            "a flowable stands twice in the story, or in two stories; make it anew for each place"
        )


def check_headings(root: Element) -> None:
    """Levels start at H1 and go down one at a time (ISO 14289-1, 7.4.2). Raises ValueError."""
    before = 0
    for element in _below(root):
        if element.tag in _HEADINGS:
            level = int(element.tag[1])
            if level > before + 1:
                raise ValueError(f"H{level} follows {f'H{before}' if before else 'no heading'}")
            before = level


_HEADINGS = {f"H{level}" for level in range(1, 7)}


def _below(root: Element) -> Iterator[Element]:
    """Every element, in the order in which they are read."""
    stack = [root]
    while stack:
        element = stack.pop()
        yield element
        stack += reversed(element.child_elements())


def prune(element: Element) -> None:
    """Takes out elements that hold nothing, deepest first."""
    kept: list[Element | Content | Annotation] = []
    for kid in element.kids:
        if isinstance(kid, Element):
            if kid.kids:
                prune(kid)
            if not kid.kids and kid.tag not in KEPT_EMPTY:
                continue
            if kid.tag in _KEEPING and not _is_drawn(kid):
                continue
        kept.append(kid)
    element.kids = kept


def _is_drawn(element: Element) -> bool:
    return any(not isinstance(kid, Element) for below in _below(element) for kid in below.kids)
