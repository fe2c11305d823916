"""Small tagged pages, attachments and signed dossiers for the tests of the container."""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import itertools
import zlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from forging import Forgery
from pikepdf import Array, Dictionary, Name, String
from PIL import Image, ImageCms
from plain_pages import plain_pages

from dossier.container.attachment import Attachment
from dossier.container.write import write_dossier
from dossier.seal.keys import WorkshopKey, new_key
from dossier.seal.pdf import sign_pdf

WHEN = dt.datetime(2026, 1, 15, 12, 0, tzinfo=dt.UTC)
# ISO 19005-1 6.7.8: an extension schema says what pdfuaid is.
XMP = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/"
 xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"
 xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#" xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
<pdfaid:part>3</pdfaid:part><pdfaid:conformance>A</pdfaid:conformance><pdfuaid:part>1</pdfuaid:part>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">A small record</rdf:li></rdf:Alt></dc:title>
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>PDF/UA Universal Accessibility Schema</pdfaSchema:schema>
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
<pdfaProperty:name>part</pdfaProperty:name><pdfaProperty:valueType>Integer</pdfaProperty:valueType>
<pdfaProperty:category>internal</pdfaProperty:category>
<pdfaProperty:description>Indicates which part of ISO 14289 is followed</pdfaProperty:description>
</rdf:li></rdf:Seq></pdfaSchema:property></rdf:li></rdf:Bag></pdfaExtension:schemas>
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="r"?>"""


def _jpeg(shade: int) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (16, 12), (shade, 80, 40)).save(out, "JPEG", quality=80)
    return out.getvalue()


class PagesMaker:
    """Draws one picture a page, tagged as a figure; `marks` puts a further stroke on a page."""

    def __init__(
        self, count: int, marks: dict[int, str] | None = None, title: str = "A small record"
    ) -> None:
        self.pdf = pikepdf.new()
        self.marks = marks or {}
        self.title = title
        self.tree = self._tree()
        self.parents: list[Any] = []
        for number in range(1, count + 1):
            self._page(number)
        self._link()
        self._signature_field()
        self._finish()

    def indirect(self, value: Any) -> Any:
        return self.pdf.make_indirect(value)

    def stream(self, content: bytes, **entries: Any) -> Any:
        return self.pdf.make_stream(zlib.compress(content), Filter=Name.FlateDecode, **entries)

    def _tree(self) -> Any:
        tree = self.indirect(Dictionary(Type=Name.StructTreeRoot))
        tree.K = self.indirect(Dictionary(Type=Name.StructElem, S=Name.Document, P=tree, K=Array()))
        return tree

    def _element(self, kind: str, **entries: Any) -> Any:
        element = Dictionary(Type=Name.StructElem, S=Name("/" + kind), P=self.tree.K, **entries)
        made = self.indirect(element)
        self.tree.K.K.append(made)
        return made

    def _page(self, number: int) -> None:
        picture = self.pdf.make_stream(
            _jpeg(40 * number % 256),
            Type=Name.XObject,
            Subtype=Name.Image,
            Width=16,
            Height=12,
            ColorSpace=Name.DeviceRGB,
            BitsPerComponent=8,
            Filter=Name.DCTDecode,
        )
        drawn = (
            f"/Figure << /MCID 0 >> BDC q 200 0 0 150 100.5 400 cm /P0 Do Q {self.marks.get(number, '')} EMC"
        )
        page = self.indirect(
            Dictionary(
                Type=Name.Page,
                MediaBox=Array([0, 0, 595, 842]),
                Contents=self.stream(drawn.encode()),
                Resources=Dictionary(XObject=Dictionary(P0=picture)),
                StructParents=number - 1,
                Tabs=Name.S,
            )
        )
        self.pdf.pages.append(pikepdf.Page(page))
        page = self.pdf.pages[-1].obj
        box = Dictionary(O=Name.Layout, BBox=Array([100, 400, 301, 550]), Placement=Name.Block)
        figure = self._element("Figure", Alt=f"picture {number}", Pg=page, K=0, A=box)
        self.parents.append(self.indirect(Array([figure])))

    def _link(self) -> None:
        page = self.pdf.pages[0].obj
        action = Dictionary(S=Name.URI, URI=String("https://example.org/check#abc"))
        link = self.indirect(
            Dictionary(
                Type=Name.Annot,
                Subtype=Name.Link,
                Rect=Array([50, 50, 150, 70]),
                F=4,
                Contents=String("how to check"),
                A=action,
                Border=Array([0, 0, 0]),
                StructParent=len(self.parents),
            )
        )
        page.Annots = Array([link])
        reference = Dictionary(Type=Name.OBJR, Obj=link, Pg=page)
        self.parents.append(self._element("Link", K=reference, Pg=page, Alt="how to check"))

    def _signature_field(self) -> None:
        page = self.pdf.pages[0].obj
        look = self.stream(b"", Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 0, 0]))
        self.field = self.indirect(
            Dictionary(
                Type=Name.Annot,
                Subtype=Name.Widget,
                FT=Name.Sig,
                T=String("Signature1"),
                TU=String("Signature of the workshop"),
                Rect=Array([0, 0, 0, 0]),
                F=4,
                P=page,
                AP=Dictionary(N=look),
                StructParent=len(self.parents),
            )
        )
        page.Annots.append(self.field)
        reference = Dictionary(Type=Name.OBJR, Obj=self.field, Pg=page)
        self.parents.append(self._element("Form", K=reference, Pg=page, Alt="Signature of the workshop"))

    def _finish(self) -> None:
        root = self.pdf.Root
        numbered: list[Any] = []
        for number, parent in enumerate(self.parents):
            numbered += [number, parent]
        self.tree.ParentTree = self.indirect(Dictionary(Nums=Array(numbered)))
        self.tree.ParentTreeNextKey = len(self.parents)
        root.StructTreeRoot = self.tree
        root.MarkInfo = Dictionary(Marked=True)
        root.Lang = String("en")
        root.ViewerPreferences = Dictionary(DisplayDocTitle=True)
        root.AcroForm = Dictionary(Fields=Array([self.field]), SigFlags=3)
        root.Metadata = self.pdf.make_stream(
            XMP.replace("A small record", self.title).encode(), Type=Name.Metadata, Subtype=Name.XML
        )
        made = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
        profile = made[:24] + bytes(12) + made[36:]  # without the time it was made (ICC.1 7.2.8)
        condition = String("sRGB")
        root.OutputIntents = Array(
            [
                Dictionary(
                    Type=Name.OutputIntent,
                    S=Name.GTS_PDFA1,
                    OutputConditionIdentifier=condition,
                    Info=condition,
                    DestOutputProfile=self.stream(profile, N=3),
                )
            ]
        )
        self._outline()
        self.pdf.trailer.ID = Array([String(b"0123456789abcdef"), String(b"\x80123456789abcde")])

    def _outline(self) -> None:
        outline = self.indirect(Dictionary(Type=Name.Outlines, Count=len(self.pdf.pages)))
        items = [
            self.indirect(
                Dictionary(Title=String(f"Page {n}"), Parent=outline, Dest=Array([page.obj, Name.Fit]))
            )
            for n, page in enumerate(self.pdf.pages, 1)
        ]
        for before, after in itertools.pairwise(items):
            before.Next, after.Prev = after, before
        outline.First, outline.Last = items[0], items[-1]
        self.pdf.Root.Outlines = outline

    def bytes(self) -> bytes:
        out = io.BytesIO()
        self.pdf.save(out, compress_streams=False, object_stream_mode=pikepdf.ObjectStreamMode.disable)
        return plain_pages(out.getvalue())


def attachment(name: str, content: bytes, **changes: Any) -> Attachment:
    values: dict[str, Any] = {
        "name": name,
        "media_type": "text/plain",
        "relationship": "Supplement",
        "description": f"the file {name}",
        "source": content,
        "size": len(content),
        "sha256": hashlib.sha256(content).hexdigest(),
        "created": WHEN,
    }
    return Attachment(**{**values, **changes})


ATTACHMENTS = (
    attachment("record.json", b'{"a":1}' * 20, media_type="application/json", relationship="Source"),
    attachment(
        "photo-002.jpg", _jpeg(99), media_type="image/jpeg", description="foto (zw\u00f6lf) \\ \u2014"
    ),
    attachment("manifest.sha256", b"00  photo-002.jpg\n"),
    attachment("empty.txt", b""),
    attachment("return.txt", b"a line of an old machine\r"),
    attachment("returns.txt", b"\r\n\r\r"),
    attachment("trap.txt", b"endstream\nendobj\n9 0 obj\n<< >>\nendobj\nstartxref\n15\n%%EOF\n"),
)


@dataclass
class Maker:
    """Makes dossiers in one folder."""

    folder: Path
    key: WorkshopKey
    made: int = field(default=0)

    def pages(self, count: int = 3, **how: Any) -> bytes:
        return PagesMaker(count, **how).bytes()

    def sign(self, path: Path, before: Any = None) -> None:
        sign_pdf(
            path,
            self.key,
            when=WHEN,
            reason="Record of a restoration",
            name="B\u00e9n\u00e9t & Sons (trial)",
            before=before,
        )

    def dossier(
        self,
        pages: bytes | None = None,
        attachments: Sequence[Attachment] = ATTACHMENTS,
        sign: Callable[[Path, Any], None] | str | None = "own",
    ) -> Path:
        self.made += 1
        target = self.folder / f"dossier-{self.made}.pdf"
        how = self.sign if isinstance(sign, str) else sign
        write_dossier(target, pages if pages is not None else self.pages(), attachments, how)
        return target


@pytest.fixture(scope="session")
def workshop_key() -> WorkshopKey:
    return new_key("Trial Workshop", now=WHEN)


@pytest.fixture(scope="session")
def make_maker(workshop_key: WorkshopKey) -> Callable[[Path], Maker]:
    """Of dossiers in a folder of one's own."""
    return lambda folder: Maker(folder, workshop_key)


@pytest.fixture
def maker(tmp_path: Path, workshop_key: WorkshopKey) -> Maker:
    return Maker(tmp_path, workshop_key)


@pytest.fixture(scope="session")
def signed(tmp_path_factory: pytest.TempPathFactory, workshop_key: WorkshopKey) -> Path:
    """A signed dossier of three pages and five attachments; not to be changed."""
    return Maker(tmp_path_factory.mktemp("signed"), workshop_key).dossier()


@pytest.fixture(scope="session")
def make_attachment() -> Callable[..., Attachment]:
    return attachment


@pytest.fixture(scope="session")
def attachments() -> tuple[Attachment, ...]:
    return ATTACHMENTS


@pytest.fixture
def forgery(signed: Path) -> Forgery:
    return Forgery.of(signed)
