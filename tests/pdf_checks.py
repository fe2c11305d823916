"""Checks of a PDF that another's validator makes, and those that it was found to miss.

The gate is page-validation (profiles 3a and ua1). Besides, read here and in `pdf_fonts` with pikepdf and
fontTools, none of it with the code under test: reachability of marked content through the parent tree (ISO
32000-1, 14.7.4.4), widths against the font program (9.6.2.1; ISO 19005-3, 6.2.11.5), types (14.8.4),
metadata, profile.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from xml.etree import ElementTree

import page as page_validation
import pikepdf
from pdf_fonts import one_font_faults, to_unicode
from PIL import ImageCms

# ISO 32000-1, tables 333 to 340.
STANDARD_TYPES = set(
    """Document Part Art Sect Div BlockQuote Caption TOC TOCI Index NonStruct Private P H H1 H2 H3 H4 H5 H6
    L LI Lbl LBody Table TR TH TD THead TBody TFoot Span Quote Note Reference BibEntry Code Link Annot Ruby
    Warichu RB RT RP WT WP Figure Formula Form""".split()  # noqa: SIM905 - a list of 48 is no easier to read
)
PAINTING = {"S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "sh", "Do", "Tj", "TJ", "'", '"', "EI"}
PROFILES = ("3a", "ua1")


@dataclass
class Marked:
    """What stands in one marked-content sequence of a page."""

    tag: str
    text: str = ""
    painted: bool = False


@dataclass
class PageContent:
    marked: dict[int, Marked] = field(default_factory=dict)
    artifacts: str = ""  # the words that are in no structure
    used_codes: dict[str, set[int]] = field(default_factory=dict)  # font resource name -> codes shown
    faults: list[str] = field(default_factory=list)


def faults(
    pdf_bytes: bytes, allow: frozenset[str] = frozenset(), profiles: tuple[str, ...] = PROFILES
) -> list[str]:
    """Everything wrong with a PDF that is meant to be PDF/A-3a and PDF/UA-1; `allow` names known rules."""
    found = [fault for profile in profiles for fault in validator_faults(pdf_bytes, profile, allow)]
    with pikepdf.open(io.BytesIO(pdf_bytes)) as pdf:
        found += catalog_faults(pdf) + metadata_faults(pdf) + profile_faults(pdf)
        contents = [read_content(page) for page in pdf.pages]
        found += [f"page {n}: {fault}" for n, c in enumerate(contents, 1) for fault in c.faults]
        found += structure_faults(pdf, contents)
        found += font_faults(pdf, contents)
    return found


def validator_faults(pdf_bytes: bytes, profile: str, allow: frozenset[str]) -> list[str]:
    report = page_validation.validate_pdf_bytes(pdf_bytes, profile=profile)
    return [f"{profile} {f.rule_id}: {f.message}" for f in report.failures if f.rule_id not in allow]


# The catalog, metadata and profile


def catalog_faults(pdf: pikepdf.Pdf) -> list[str]:
    root, found = pdf.Root, []
    if not str(root.get("/Lang", "")):
        found.append("no /Lang")
    if not root.get("/MarkInfo", {}).get("/Marked", False):
        found.append("not marked as tagged")
    if not root.get("/ViewerPreferences", {}).get("/DisplayDocTitle", False):
        found.append("title is not displayed")
    found += [
        f"page {n} has no tab order S" for n, p in enumerate(pdf.pages, 1) if p.obj.get("/Tabs") != "/S"
    ]
    return found


def metadata_faults(pdf: pikepdf.Pdf) -> list[str]:
    stream, found = pdf.Root.Metadata, []
    if "/Filter" in stream:
        found.append("the XMP is compressed")
    titles = ElementTree.fromstring(stream.read_bytes()).findall(f".//{_DC}title//{_RDF}li")
    if not any((title.text or "").strip() for title in titles):
        found.append("dc:title is empty")
    info = pdf.trailer.get("/Info", {})
    with pdf.open_metadata() as meta:
        for key, member in (
            ("/Title", "dc:title"),
            ("/Producer", "pdf:Producer"),
            ("/Keywords", "pdf:Keywords"),
        ):
            if key in info and str(info[key]) != str(meta.get(member, "")):
                found.append(f"{key} differs from {member}")
        if "/Author" in info and [str(info["/Author"])] != list(meta.get("dc:creator", [])):
            found.append("/Author differs from dc:creator")
        for key, member in (("/CreationDate", "xmp:CreateDate"), ("/ModDate", "xmp:ModifyDate")):
            if key in info and _digits(str(info[key])) != _digits(str(meta.get(member, ""))):
                found.append(f"{key} differs from {member}")
    return found


_DC, _RDF = "{http://purl.org/dc/elements/1.1/}", "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"


def _digits(date: str) -> str:
    return re.sub(r"\D", "", date.replace("Z", "+00:00"))[:18]


def profile_faults(pdf: pikepdf.Pdf) -> list[str]:
    intents = list(pdf.Root.get("/OutputIntents", []))
    if len(intents) != 1:
        return [f"{len(intents)} output intents"]
    stream = intents[0].DestOutputProfile
    profile = ImageCms.ImageCmsProfile(io.BytesIO(stream.read_bytes())).profile
    components = {"RGB ": 3, "GRAY": 1, "CMYK": 4, "RGB": 3}[profile.xcolor_space]
    found = (
        [] if int(stream.N) == components else [f"profile has {components} components, /N says {stream.N}"]
    )
    if profile.version > 4.2 + 1e-6:
        found.append(f"profile of version {profile.version}, later than PDF 1.7 knows")
    return found


# Content streams


def read_content(page: pikepdf.Page) -> PageContent:
    """Marked content of a page with its text, as its fonts' ToUnicode gives it."""
    return _Reader(page).read()


_SAID = -1  # an open sequence whose text has been said by its ActualText (14.9.4)


class _Reader:
    def __init__(self, page: pikepdf.Page) -> None:
        self.page, self.out = page, PageContent()
        self.fonts = page.obj.get("/Resources", {}).get("/Font", {})
        self.maps = {name: to_unicode(font) for name, font in self.fonts.items()}
        self.font, self.saved = "", []
        self.open: list[int | None] = []  # MCIDs of open sequences, None for an artifact

    def read(self) -> PageContent:
        for operands, operator in pikepdf.parse_content_stream(self.page):
            self.step(operands, str(operator))
        if self.open:
            self.out.faults.append("marked content is not closed")
        return self.out

    def step(self, operands: Any, operator: str) -> None:
        if operator in ("BDC", "BMC"):
            self.begin(operands)
        elif operator == "EMC":
            if not self.open:
                self.out.faults.append("EMC without a beginning")
            else:
                self.open.pop()
        elif operator == "q":
            self.saved.append(self.font)
        elif operator == "Q":
            self.font = self.saved.pop()
        elif operator == "Tf":
            self.font = str(operands[0])
        if operator in PAINTING:
            self.paint(operands, operator)

    def begin(self, operands: Any) -> None:
        tag = str(operands[0])[1:]
        mcid = operands[1].get("/MCID") if len(operands) > 1 and hasattr(operands[1], "get") else None
        if tag == "Span" and mcid is None and self.open and "/ActualText" in operands[1]:
            self.say(str(operands[1].ActualText))
            self.open.append(_SAID)
            return
        if mcid is None and tag != "Artifact":
            self.out.faults.append(f"{tag} without MCID")
        if self.open:
            self.out.faults.append(f"{tag} inside other marked content")
        if mcid is not None:
            if int(mcid) in self.out.marked:
                self.out.faults.append(f"MCID {mcid} twice")
            self.out.marked[int(mcid)] = Marked(tag)
        self.open.append(None if mcid is None else int(mcid))

    def say(self, text: str) -> None:
        """Adds text to the sequence that is open, or to those of artifacts."""
        mcid = next((m for m in reversed(self.open) if m is not _SAID), None)
        if mcid is None:
            self.out.artifacts += f"{text} " if text else ""
        else:
            self.out.marked[mcid].painted = True
            self.out.marked[mcid].text += text

    def paint(self, operands: Any, operator: str) -> None:
        if not self.open:
            self.out.faults.append(f"{operator} outside marked content")
            return
        text = self.show(operands, operator) if operator in ("Tj", "TJ", "'", '"') else ""
        self.say("" if self.open[-1] is _SAID else text)

    def show(self, operands: Any, operator: str) -> str:
        parts = list(operands[-1]) if operator == "TJ" else [operands[-1]]
        shown = b"".join(bytes(part) for part in parts if isinstance(part, pikepdf.String))
        if self.font not in self.maps:
            self.out.faults.append(f"text in an unknown font {self.font!r}")
            return ""
        codes = list(shown)
        if self.fonts[self.font].Subtype == "/Type0":  # Identity-H: two bytes a code (9.7.5.2)
            codes = [int.from_bytes(shown[n : n + 2], "big") for n in range(0, len(shown), 2)]
        self.out.used_codes.setdefault(self.font, set()).update(codes)
        return "".join(self.maps[self.font].get(code, "\0") for code in codes)


# The structure tree


def structure_faults(pdf: pikepdf.Pdf, contents: list[PageContent]) -> list[str]:
    if "/StructTreeRoot" not in pdf.Root:
        return ["no structure tree"]
    return _Structure(pdf, contents).check()


class _Structure:
    def __init__(self, pdf: pikepdf.Pdf, contents: list[PageContent]) -> None:
        self.pdf, self.contents = pdf, contents
        self.root = pdf.Root.StructTreeRoot
        self.parents = dict(number_tree(self.root.ParentTree))
        self.pages = {page.obj.objgen: n for n, page in enumerate(pdf.pages)}
        self.found: list[str] = []
        self.content_of: dict[tuple[int, int], Any] = {}
        self.object_of: dict[Any, Any] = {}
        self.levels: list[int] = []

    def check(self) -> list[str]:
        for kid in kids(self.root):
            self.element(kid, self.root)
        self.roles()
        self.headings()
        for n, (page, content) in enumerate(zip(self.pdf.pages, self.contents, strict=True)):
            self.page(n, page.obj, content)
        for n, mcid in self.content_of:
            if mcid not in self.contents[n].marked:
                self.found.append(f"MCID {mcid} of page {n + 1} is in the structure, but not on the page")
        return self.found

    def element(self, element: Any, parent: Any) -> None:
        if "/S" not in element:
            self.found.append("structure element without /S")
            return
        if element.P.objgen != parent.objgen:
            self.found.append(f"{element.S} names another parent than the one that lists it")
        self.rules(element, str(element.S)[1:])
        for kid in kids(element):
            self.kid(kid, element)

    def kid(self, kid: Any, element: Any) -> None:
        if isinstance(kid, int):
            self.content(element.Pg, kid, element)
        elif kid.get("/Type") == "/MCR":
            self.content(kid.get("/Pg", element.get("/Pg")), int(kid.MCID), element)
        elif kid.get("/Type") == "/OBJR":
            self.object_of[kid.Obj.objgen] = element
        else:
            self.element(kid, element)

    def content(self, page: Any, mcid: int, element: Any) -> None:
        key = (self.pages[page.objgen], mcid)
        if key in self.content_of:
            self.found.append(f"MCID {mcid} of page {key[0] + 1} belongs to two elements")
        self.content_of[key] = element

    def rules(self, element: Any, kind: str) -> None:
        """ISO 14289-1: 7.3 figures, 7.4 headings, 7.5 tables, 7.9 notes."""
        if kind == "Figure" and not str(element.get("/Alt", "")).strip():
            self.found.append("Figure without alternate text")
        if kind == "Figure" and "/BBox" not in attributes(element):
            self.found.append("Figure without a bounding box")
        if kind == "TH" and "/Scope" not in attributes(element):
            self.found.append("TH without Scope")
        if kind == "Note" and "/ID" not in element:
            self.found.append("Note without an ID")
        if re.fullmatch(r"H[1-6]", kind):
            self.levels.append(int(kind[1]))
        if kind == "Table" and len({len(kids(row)) for row in rows(element)}) > 1:
            self.found.append("a table whose rows differ in length")

    def roles(self) -> None:
        roles = {str(k)[1:]: str(v)[1:] for k, v in self.root.get("/RoleMap", {}).items()}
        self.found += [f"role map sends {k} to itself" for k, v in roles.items() if k == v]
        used = {str(e.S)[1:] for e in every_element(self.root) if "/S" in e}
        self.found += [
            f"structure type {kind} is not a standard one" for kind in used - STANDARD_TYPES - set(roles)
        ]

    def headings(self) -> None:
        for before, level in zip([0, *self.levels], self.levels, strict=False):
            if level > before + 1:
                self.found.append(f"H{level} follows H{before}")

    def page(self, n: int, page: Any, content: PageContent) -> None:
        self.marked(n, page, content)
        for annotation in page.get("/Annots", []):
            self.annotation(n, annotation)
        for form in page.get("/Resources", {}).get("/XObject", {}).values():
            self.form(n, form)

    def marked(self, n: int, page: Any, content: PageContent) -> None:
        if not content.marked:
            return
        if "/StructParents" not in page:
            self.found.append(f"page {n + 1} has marked content but no StructParents")
            return
        listed = list(self.parents.get(int(page.StructParents), []))
        for mcid, marked in content.marked.items():
            element = self.content_of.get((n, mcid))
            if mcid >= len(listed) or element is None or listed[mcid].objgen != element.objgen:
                self.found.append(f"MCID {mcid} of page {n + 1} is not reached through the parent tree")
            elif str(element.S)[1:] != marked.tag:
                self.found.append(
                    f"MCID {mcid} of page {n + 1} is tagged {marked.tag}, its element is {element.S}"
                )

    def annotation(self, n: int, annotation: Any) -> None:
        what = f"annotation {annotation.get('/Subtype')} of page {n + 1}"
        element = self.object_of.get(annotation.objgen)
        listed = self.parents.get(int(annotation.get("/StructParent", -1)))
        if element is None or listed is None or listed.objgen != element.objgen:
            self.found.append(f"{what} is not tied to an element both ways")
            return
        wanted = {"/Link": "/Link", "/Widget": "/Form"}.get(str(annotation.Subtype), "/Annot")
        if str(element.S) != wanted:
            self.found.append(f"{what} stands in {element.S}")
        if not str(annotation.get("/Contents", annotation.get("/TU", ""))).strip():
            self.found.append(f"{what} has no description")
        if int(annotation.get("/F", 0)) & 4 == 0:
            self.found.append(f"{what} is not printed")

    def form(self, n: int, form: Any) -> None:
        if form.get("/Subtype") != "/Form" or b"/MCID" not in form.read_bytes():
            return
        if int(form.get("/StructParents", -1)) not in self.parents:
            self.found.append(f"a form XObject of page {n + 1} holds marked content that cannot be reached")


def kids(element: Any) -> list[Any]:
    found = element.get("/K")
    if found is None:
        return []
    return list(found) if isinstance(found, pikepdf.Array) else [found]


def every_element(root: Any) -> Iterator[Any]:
    for kid in kids(root):
        if isinstance(kid, pikepdf.Dictionary) and kid.get("/Type") not in ("/MCR", "/OBJR"):
            yield kid
            yield from every_element(kid)


def rows(table: Any) -> list[Any]:
    return [element for element in every_element(table) if element.get("/S") == "/TR"]


def attributes(element: Any) -> dict[str, Any]:
    found = element.get("/A", [])
    return {k: v for a in (found if isinstance(found, pikepdf.Array) else [found]) for k, v in a.items()}


def number_tree(node: Any) -> Iterator[tuple[int, Any]]:
    nums = list(node.get("/Nums", []))
    yield from zip((int(n) for n in nums[::2]), nums[1::2], strict=True)
    for kid in node.get("/Kids", []):
        yield from number_tree(kid)


# Fonts


def font_faults(pdf: pikepdf.Pdf, contents: list[PageContent]) -> list[str]:
    used: dict[Any, tuple[Any, set[int]]] = {}
    for page, content in zip(pdf.pages, contents, strict=True):
        fonts = page.obj.get("/Resources", {}).get("/Font", {})
        for name, codes in content.used_codes.items():
            used.setdefault(fonts[name].objgen, (fonts[name], set()))[1].update(codes)
    return [fault for font, codes in used.values() for fault in one_font_faults(font, codes)]
