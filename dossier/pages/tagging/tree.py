"""Writes the structure tree, the parent tree, links and signature fields (ISO 32000-1, 14.7.4).

Every marked-content sequence is found both ways: from its element down, and from the page's StructParents
through the parent tree up. Only standard structure types are used, so there is no role map. Elements are
most of a file's objects: their text is made directly.
"""

from __future__ import annotations

from typing import Any

import msgspec

from dossier.pages.tagging.canvas import Page
from dossier.pages.tagging.objects import File, Name, Ref, shortened, text
from dossier.pages.tagging.structure import Annotation, Content, Element

Targets = dict[str, tuple[int, float]]
_PRINT = 4  # annotation flag; the only one that PDF/A allows here (ISO 19005-3, 6.3.2)


class Tied(msgspec.Struct, frozen=True):
    """What ties the structure to the rest: its root, the form's fields, entries of each page."""

    tree: Ref
    fields: list[Ref]
    on_pages: list[dict[str, Any]]


def add_structure(file: File, root: Element, pages: list[Page], places: list[Ref], targets: Targets) -> Tied:
    """Writes `root` and everything below it; `places` are the objects of `pages`."""
    return _Tree(file, pages, places, targets).write(root)


class _Tree:
    def __init__(self, file: File, pages: list[Page], places: list[Ref], targets: Targets) -> None:
        self.file, self.pages, self.places, self.targets = file, pages, places, targets
        self.on_pages: list[dict[str, Any]] = [{} for _ in pages]
        self.refs = [text(place) for place in places]  # of pages
        self.numbers: dict[int, int] = {}  # id of an element -> its object
        self.annotations: list[int] = []  # elements by annotation, after the pages in the parent tree
        self.fields: list[Ref] = []
        self.notes: list[tuple[str, int]] = []

    def write(self, root: Element) -> Tied:
        tree = self.file.reserve()
        entries = {
            "/Type": Name("StructTreeRoot"),
            "/K": [Ref(self._element(root, tree.number))],
            "/ParentTree": self.file.add({"/Nums": self._parents()}),
            "/ParentTreeNextKey": len(self.pages) + len(self.annotations),
        }
        if self.notes:
            names = [part for name, note in self.notes for part in (name, Ref(note))]
            entries["/IDTree"] = self.file.add({"/Names": names})
        self.file.put(tree, entries)
        return Tied(tree, self.fields, self.on_pages)

    def _element(self, element: Element, parent: int) -> int:
        """Writes an element and all below it, keys in their order; gives its object."""
        number = self.numbers[id(element)] = self.file.reserve_number()
        kids = element.kids
        page = _page_of(kids)
        said = self._said(element, number) if element.says else ""
        if len(kids) == 1:
            below = f"/K {self._kid(kids[0], number, page)} "
        else:
            below = f"/K [ {' '.join([self._kid(kid, number, page) for kid in kids])} ] " if kids else ""
        language = f"/Lang {text(element.language)} " if element.language else ""
        shown = f" /Pg {self.refs[page]}" if page >= 0 else ""
        self.file.put_text(
            number,
            f"<< {said}{below}{language}/P {parent} 0 R{shown} /S /{element.tag} /Type /StructElem >>",
        )
        return number

    def _said(self, element: Element, number: int) -> str:
        """The entries before its kids: attributes, words for those who cannot see it, identifier."""
        return (
            (f"/A {_attributes(element)} " if element.attributes else "")
            + (f"/ActualText {text(element.actual)} " if element.actual else "")
            + (f"/Alt {text(shortened(element.alt))} " if element.alt else "")
            + (f"/ID {self._identifier(number)} " if element.tag == "Note" else "")
        )

    def _identifier(self, number: int) -> str:
        """Every Note has an identifier of its own (ISO 14289-1, 7.9)."""
        name = f"note-{len(self.notes) + 1:06d}"
        self.notes.append((name, number))
        return text(name)

    def _kid(self, kid: Element | Content | Annotation, number: int, page: int) -> str:
        if isinstance(kid, Element):
            return f"{self._element(kid, number)} 0 R"
        if isinstance(kid, Content):
            same = kid.page == page
            return str(kid.mcid) if same else f"<< /MCID {kid.mcid} /Pg {self.refs[kid.page]} /Type /MCR >>"
        annotation = self._annotation(kid, number)
        return f"<< /Obj {text(annotation)} /Pg {self.refs[kid.page]} /Type /OBJR >>"

    # The parent tree

    def _parents(self) -> list[Any]:
        nums: list[Any] = []
        for index, page in enumerate(self.pages):
            if page.marks:
                self.on_pages[index]["/StructParents"] = index
                marked = [Ref(self.numbers[id(element)]) for element in page.marks]
                nums += [index, self.file.add(marked)]
        for number, element in enumerate(self.annotations, len(self.pages)):
            nums += [number, Ref(element)]
        return nums

    # Annotations

    def _annotation(self, annotation: Annotation, element: int) -> Ref:
        made = {
            "/Type": Name("Annot"),
            "/Rect": annotation.rect,
            "/F": _PRINT,
            "/StructParent": len(self.pages) + len(self.annotations),
            "/P": self.places[annotation.page],
            **(self._field(annotation) if annotation.field else self._link(annotation)),
        }
        ref = self.file.add(made)
        self.annotations.append(element)
        self.on_pages[annotation.page].setdefault("/Annots", []).append(ref)
        if annotation.field:
            self.fields.append(ref)
        return ref

    def _field(self, annotation: Annotation) -> dict[str, Any]:
        """A signature field that shows nothing: zero rectangle, empty appearance (12.7.4.5)."""
        look = {
            "/Type": Name("XObject"),
            "/Subtype": Name("Form"),
            "/BBox": [0, 0, 0, 0],
            "/Resources": {},
            "/Filter": Name(
                "FlateDecode"
            ),  # of nothing: what is drawn again is compared with what stands there
        }
        return {
            "/Subtype": Name("Widget"),
            "/FT": Name("Sig"),
            "/T": annotation.field,
            "/TU": shortened(annotation.contents),
            "/AP": {"/N": self.file.stream(b"", look)},
        }

    def _link(self, annotation: Annotation) -> dict[str, Any]:
        target = annotation.target
        made: dict[str, Any] = {
            "/Subtype": Name("Link"),
            "/Border": [0, 0, 0],
            "/Contents": shortened(annotation.contents or target),
        }
        if not target.startswith("#"):
            return {**made, "/A": {"/S": Name("URI"), "/URI": target}}
        if target[1:] not in self.targets:
            raise ValueError(f"a link leads to {target!r}, which no heading has as its key")
        page, top = self.targets[target[1:]]
        return {**made, "/Dest": [self.places[page], Name("XYZ"), None, top, None]}


def _page_of(kids: list[Element | Content | Annotation]) -> int:
    """The page of the first words of an element, or -1; what stands on another page says so itself."""
    for kid in kids:
        if isinstance(kid, Content):
            return kid.page
    return -1


def _attributes(element: Element) -> str:
    """One attribute object for each owner (14.7.5); text that is a name in the standard is written as one."""
    made = [
        {"/O": Name(owner), **{f"/{k}": _value(k, v) for k, v in entries.items()}}
        for owner, entries in sorted(element.attributes.items())
    ]
    return text(made[0] if len(made) == 1 else made)


def _value(key: str, value: Any) -> Any:
    if key == "Summary":
        return shortened(value)
    return Name(value) if isinstance(value, str) else value
