"""What a document says of itself, and the XMP packet that says it (ISO 16684-1; ISO 19005-3, 6.6).

The packet declares both standards and, since PDF/A wants every schema it does not know described in the file
itself (6.6.2.3), the one member of the PDF/UA schema. Written as text so that it never varies.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import datetime
from html import escape

from dossier.pages.tagging.objects import shortened

PRODUCER = "dossier"


@dataclass(frozen=True)
class Meta:
    """`created` carries its zone; `document_id` is 16 bytes that stay the same for the same document."""

    title: str
    language: str
    created: datetime
    document_id: bytes
    author: str = ""
    subject: str = ""
    keywords: str = ""

    def __post_init__(self) -> None:
        for name in ("title", "author", "subject", "keywords", "language"):
            object.__setattr__(self, name, shortened(_one_line(getattr(self, name))))
        if not self.title:
            raise ValueError("a document needs a title")
        if self.created.tzinfo is None:
            raise ValueError("the time a document was made needs its zone")
        if len(self.document_id) != 16:
            raise ValueError("a document id is 16 bytes")


def _one_line(text: str) -> str:
    """`text` without what XML 1.0 (section 2.2) cannot carry: controls, lone surrogates, noncharacters."""
    return " ".join("".join(c if c.isprintable() or c == "\u00ad" else " " for c in text).split())


def pdf_date(moment: datetime) -> str:
    """A date as PDF writes it (ISO 32000-1, 7.9.4)."""
    offset = moment.strftime("%z")
    return moment.strftime("D:%Y%m%d%H%M%S") + f"{offset[:3]}'{offset[3:5]}'"


def xmp(meta: Meta) -> bytes:
    """The packet, UTF-8, always the same for the same `meta`."""
    date = meta.created.replace(microsecond=0).isoformat()
    document = uuid.UUID(bytes=meta.document_id)
    instance = uuid.uuid5(document, date)
    members = [
        f"<dc:title>{_alternatives(meta.title)}</dc:title>",
        f"<dc:language><rdf:Bag><rdf:li>{escape(meta.language, False)}</rdf:li></rdf:Bag></dc:language>",
        "<dc:format>application/pdf</dc:format>",
    ]
    if meta.author:
        members.append(
            f"<dc:creator><rdf:Seq><rdf:li>{escape(meta.author, False)}</rdf:li></rdf:Seq></dc:creator>"
        )
    if meta.subject:
        members.append(f"<dc:description>{_alternatives(meta.subject)}</dc:description>")
    if meta.keywords:
        members.append(f"<pdf:Keywords>{escape(meta.keywords, False)}</pdf:Keywords>")
    members += [
        f"<pdf:Producer>{PRODUCER}</pdf:Producer>",
        f"<xmp:CreateDate>{date}</xmp:CreateDate>",
        f"<xmp:ModifyDate>{date}</xmp:ModifyDate>",
        f"<xmp:MetadataDate>{date}</xmp:MetadataDate>",
        f"<xmpMM:DocumentID>uuid:{document}</xmpMM:DocumentID>",
        f"<xmpMM:InstanceID>uuid:{instance}</xmpMM:InstanceID>",
        "<pdfaid:part>3</pdfaid:part>",
        "<pdfaid:conformance>A</pdfaid:conformance>",
        "<pdfuaid:part>1</pdfuaid:part>",
    ]
    return _PACKET.replace("@MEMBERS@", "\n   ".join(members)).encode("utf-8")


def _alternatives(text: str) -> str:
    return f'<rdf:Alt><rdf:li xml:lang="x-default">{escape(text, False)}</rdf:li></rdf:Alt>'


_PACKET = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
 <rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
  <rdf:Description rdf:about=""
    xmlns:dc="http://purl.org/dc/elements/1.1/"
    xmlns:pdf="http://ns.adobe.com/pdf/1.3/"
    xmlns:xmp="http://ns.adobe.com/xap/1.0/"
    xmlns:xmpMM="http://ns.adobe.com/xap/1.0/mm/"
    xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/"
    xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/"
    xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"
    xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#"
    xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
   @MEMBERS@
   <pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
    <pdfaSchema:schema>PDF/UA identification schema</pdfaSchema:schema>
    <pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
    <pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
    <pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
     <pdfaProperty:name>part</pdfaProperty:name>
     <pdfaProperty:valueType>Integer</pdfaProperty:valueType>
     <pdfaProperty:category>internal</pdfaProperty:category>
     <pdfaProperty:description>Part of ISO 14289 that the file conforms to</pdfaProperty:description>
    </rdf:li></rdf:Seq></pdfaSchema:property>
   </rdf:li></rdf:Bag></pdfaExtension:schemas>
  </rdf:Description>
 </rdf:RDF>
</x:xmpmeta>
<?xpacket end="r"?>"""
