"""Writes the structure tree, the parent tree, links and signature fields (ISO 32000-1, 14.7.4).

Every marked-content sequence is found both ways: from its element down, and from the page's StructParents
through the parent tree up. Only standard structure types are used, so there is no role map.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, String

from dossier.pages.tagging.canvas import Page
from dossier.pages.tagging.structure import Annotation, Content, Element

Targets = dict[str, tuple[int, float]]
_PRINT = 4  # annotation flag; the only one that PDF/A allows here (ISO 19005-3, 6.3.2)


def add_structure(pdf: pikepdf.Pdf, root: Element, pages: list[Page], targets: Targets) -> None:
    """Ties `root` and everything below it to the pages of `pdf`."""
    _Tree(pdf, pages, targets).write(root)


class _Tree:
    def __init__(self, pdf: pikepdf.Pdf, pages: list[Page], targets: Targets) -> None:
        self.pdf, self.pages, self.targets = pdf, pages, targets
        self.page_objects = [page.obj for page in pdf.pages]
        self.objects: dict[int, Any] = {}  # id of an element -> its object
        self.annotations: list[Any] = []  # elements by annotation, after the pages in the parent tree
        self.fields: list[Any] = []
        self.notes: list[tuple[str, Any]] = []
        self.attributes: dict[str, Any] = {}  # what is said of many cells alike is made once

    def write(self, root: Element) -> None:
        tree = self.pdf.make_indirect(Dictionary(Type=Name.StructTreeRoot))
        tree.K = Array([self._element(root, tree)])
        tree.ParentTree = self.pdf.make_indirect(Dictionary(Nums=self._parents()))
        tree.ParentTreeNextKey = len(self.pages) + len(self.annotations)
        if self.notes:
            names = [part for name, note in self.notes for part in (String(name), note)]
            tree.IDTree = self.pdf.make_indirect(Dictionary(Names=Array(names)))
        self.pdf.Root.StructTreeRoot = tree
        if self.fields:
            self.pdf.Root.AcroForm = Dictionary(Fields=Array(self.fields), SigFlags=3)

    def _element(self, element: Element, parent: Any) -> Any:
        page = next((kid.page for kid in element.kids if isinstance(kid, Content)), None)
        made = self.pdf.make_indirect(Dictionary(self._entries(element, parent, page)))
        self.objects[id(element)] = made
        if element.tag == "Note":
            self._identify(made)
        kids = [self._kid(kid, made, page) for kid in element.kids]
        if kids:
            made.K = kids[0] if len(kids) == 1 else Array(kids)
        return made

    def _entries(self, element: Element, parent: Any, page: int | None) -> dict[str, Any]:
        entries = {"/Type": _name("StructElem"), "/S": _name(element.tag), "/P": parent}
        if page is not None:
            entries["/Pg"] = self.page_objects[page]
        if element.alt:
            entries["/Alt"] = String(element.alt)
        if element.actual:
            entries["/ActualText"] = String(element.actual)
        if element.language:
            entries["/Lang"] = String(element.language)
        if element.attributes:
            entries["/A"] = self._attributes(element)
        return entries

    def _attributes(self, element: Element) -> Any:
        key = repr(element.attributes)
        if key not in self.attributes:
            self.attributes[key] = _attributes(element)
        return self.attributes[key]

    def _identify(self, made: Any) -> None:
        """Every Note has an identifier of its own (ISO 14289-1, 7.9)."""
        name = f"note-{len(self.notes) + 1:06d}"
        made.ID = String(name)
        self.notes.append((name, made))

    def _kid(self, kid: Element | Content | Annotation, made: Any, page: int | None) -> Any:
        if isinstance(kid, Element):
            return self._element(kid, made)
        if isinstance(kid, Annotation):
            annotation = self._annotation(kid, made)
            return Dictionary(Type=Name.OBJR, Obj=annotation, Pg=self.page_objects[kid.page])
        if kid.page == page:
            return kid.mcid
        return Dictionary(Type=Name.MCR, Pg=self.page_objects[kid.page], MCID=kid.mcid)

    # The parent tree

    def _parents(self) -> Array:
        nums: list[Any] = []
        for index, page in enumerate(self.pages):
            if page.marks:
                self.page_objects[index].StructParents = index
                marked = Array([self.objects[id(element)] for element in page.marks])
                nums += [index, self.pdf.make_indirect(marked)]
        for number, element in enumerate(self.annotations, len(self.pages)):
            nums += [number, element]
        return Array(nums)

    # Annotations

    def _annotation(self, annotation: Annotation, element: Any) -> Any:
        made = self.pdf.make_indirect(
            Dictionary(
                Type=Name.Annot,
                Rect=Array(list(annotation.rect)),
                F=_PRINT,
                StructParent=len(self.pages) + len(self.annotations),
                P=self.page_objects[annotation.page],
            )
        )
        self.annotations.append(element)
        page = self.page_objects[annotation.page]
        if "/Annots" not in page:
            page.Annots = Array([])
        page.Annots.append(made)
        if annotation.field:
            self._field(made, annotation)
        else:
            self._link(made, annotation)
        return made

    def _field(self, made: Any, annotation: Annotation) -> None:
        """A signature field that shows nothing: zero rectangle, empty appearance (12.7.4.5)."""
        made.Subtype, made.FT = Name.Widget, Name.Sig
        made.T, made.TU = String(annotation.field), String(annotation.contents)
        empty = self.pdf.make_stream(
            b"", Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 0, 0]), Resources=Dictionary()
        )
        made.AP = Dictionary(N=empty)
        self.fields.append(made)

    def _link(self, made: Any, annotation: Annotation) -> None:
        made.Subtype, made.Border = Name.Link, Array([0, 0, 0])
        made.Contents = String(annotation.contents or annotation.target)
        if not annotation.target.startswith("#"):
            made.A = Dictionary(S=Name.URI, URI=String(annotation.target))
            return
        if annotation.target[1:] not in self.targets:
            raise ValueError(f"a link leads to {annotation.target!r}, which no heading has as its key")
        page, top = self.targets[annotation.target[1:]]
        made.Dest = Array([self.page_objects[page], Name.XYZ, None, top, None])


@cache
def _name(text: str) -> Any:
    return Name("/" + text)


def _attributes(element: Element) -> Any:
    """One attribute object for each owner (14.7.5); text that is a name in the standard is written as one."""
    made = [
        Dictionary({"/O": _name(owner), **{f"/{k}": _value(k, v) for k, v in entries.items()}})
        for owner, entries in sorted(element.attributes.items())
    ]
    return made[0] if len(made) == 1 else Array(made)


def _value(key: str, value: Any) -> Any:
    if isinstance(value, tuple):
        return Array(list(value))
    if isinstance(value, str):
        return String(value) if key == "Summary" else _name(value)
    return value
