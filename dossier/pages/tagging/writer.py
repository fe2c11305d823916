"""Writes drawn pages as a PDF 1.7 file: streams, fonts, structure tree, parent tree, metadata.

One pass, in one fixed order, so the same document gives the same bytes. Streams are compressed except the
XMP and the JPEGs, which stay as they are. No /Info member says anything the XMP does not.
"""

from __future__ import annotations

import io
import zlib
from dataclasses import dataclass
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, String

from dossier.pages.tagging.canvas import Page, TaggedCanvas
from dossier.pages.tagging.fontfile import FontObjects, embedded, to_unicode
from dossier.pages.tagging.glyphs import CompositeObjects
from dossier.pages.tagging.meta import PRODUCER, Meta, pdf_date, xmp
from dossier.pages.tagging.outline import add_outline
from dossier.pages.tagging.profile import srgb
from dossier.pages.tagging.structure import Element
from dossier.pages.tagging.tree import add_structure


@dataclass(frozen=True)
class Drawn:
    """Everything that was drawn, its structure, and the names of the fonts it may have used."""

    canvas: TaggedCanvas
    root: Element
    fonts: list[str]


def write(drawn: Drawn, meta: Meta) -> bytes:
    """The bytes of the file."""
    pdf = pikepdf.new()
    pages = drawn.canvas.pages[:-1]
    resources = _resources(pdf, drawn)
    fonts = {name: made for name, made in resources.items() if name not in drawn.canvas.pictures}
    for page in pages:
        _add_page(pdf, page, resources, fonts)
    _catalog(pdf, meta)
    add_structure(pdf, drawn.root, pages, drawn.canvas.targets)
    add_outline(pdf, drawn.canvas.bookmarks)
    return _saved(pdf)


def _resources(pdf: pikepdf.Pdf, drawn: Drawn) -> dict[str, Any]:
    """Indirect objects by resource name; each font and picture stands once."""
    found: dict[str, Any] = {}
    for name in drawn.fonts:
        for font in embedded(name).objects(drawn.canvas._doc):
            found[font.resource] = _font(pdf, font)
    for use in drawn.canvas.glyph_uses.values():
        found[use.resource] = _composite(pdf, use.objects())
    for digest, jpeg in drawn.canvas.pictures.items():
        found[digest] = pdf.make_stream(
            jpeg.data,
            Type=Name.XObject,
            Subtype=Name.Image,
            Width=jpeg.width,
            Height=jpeg.height,
            ColorSpace=Name.DeviceGray if jpeg.components == 1 else Name.DeviceRGB,
            BitsPerComponent=8,
            Filter=Name.DCTDecode,
        )
    return found


def _font(pdf: pikepdf.Pdf, font: FontObjects) -> Any:
    descriptor = _descriptor(font, FontFile2=_true_type(pdf, font.program))
    return pdf.make_indirect(
        Dictionary(
            Type=Name.Font,
            Subtype=Name.TrueType,
            BaseFont=Name("/" + font.base_name),
            FirstChar=font.first,
            LastChar=font.first + len(font.widths) - 1,
            Widths=Array([_number(width) for width in font.widths]),
            FontDescriptor=pdf.make_indirect(descriptor),
            ToUnicode=_compressed(pdf, font.to_unicode, b"\n"),
        )
    )


def _descriptor(font: FontObjects | CompositeObjects, **program: Any) -> Dictionary:
    return Dictionary(
        Type=Name.FontDescriptor,
        FontName=Name("/" + font.base_name),
        **program,
        **{key: _number(value) for key, value in font.descriptor.items()},
    )


def _true_type(pdf: pikepdf.Pdf, program: bytes) -> Any:
    data, compressed = _sound(program, b"\0\0\0\1")
    return _stream(pdf, compressed, Length1=len(data))


def _composite(pdf: pikepdf.Pdf, font: CompositeObjects) -> Any:
    """A Type 0 font with one descendant (9.7.6): CFF glyphs are named by CID, TrueType glyphs by a map."""
    if font.is_cff:
        program = _compressed(pdf, font.program, b"\0\0\0\1", Subtype=Name.OpenType)
        descriptor, more = _descriptor(font, FontFile3=program), {}
    else:
        descriptor = _descriptor(font, FontFile2=_true_type(pdf, font.program))
        more = {"/CIDToGIDMap": _compressed(pdf, font.places, b"\0\1")}  # of a code that nothing draws
    descendant = Dictionary(
        {
            "/Type": Name.Font,
            "/Subtype": Name.CIDFontType0 if font.is_cff else Name.CIDFontType2,
            "/BaseFont": Name("/" + font.base_name),
            "/CIDSystemInfo": Dictionary(Registry=String("Adobe"), Ordering=String("Identity"), Supplement=0),
            "/W": Array([part for code, width in font.widths for part in (code, Array([_number(width)]))]),
            "/FontDescriptor": pdf.make_indirect(descriptor),
            **more,
        }
    )
    return pdf.make_indirect(
        Dictionary(
            Type=Name.Font,
            Subtype=Name.Type0,
            BaseFont=Name("/" + font.base_name),
            Encoding=Name("/Identity-H"),
            DescendantFonts=Array([pdf.make_indirect(descendant)]),
            ToUnicode=_compressed(pdf, to_unicode(font.meanings, 2), b"\n"),
        )
    )


def _compressed(pdf: pikepdf.Pdf, data: bytes, padding: bytes, **entries: Any) -> Any:
    return _stream(pdf, _sound(data, padding)[1], **entries)


def _stream(pdf: pikepdf.Pdf, compressed: bytes, **entries: Any) -> Any:
    return pdf.make_stream(compressed, Filter=Name.FlateDecode, **entries)


def _sound(data: bytes, padding: bytes) -> tuple[bytes, bytes]:
    """`data`, padded so that its compressed form does not end in a carriage return, and that form.

    Before `endstream` that byte would look like part of the end of line (ISO 32000-1, 7.3.8.1), and a reader
    that checks /Length (ISO 19005-3, 6.1.7.1) could count one byte too few. The last byte is that of Adler-32
    (RFC 1950), which changes with any padding that is not zero; with zeros alone this would never end.
    """
    while (compressed := zlib.compress(data)).endswith(b"\r"):
        data += padding
    return data, compressed


def _number(value: Any) -> Any:
    """A float without a fraction as an integer, so that files stay small and readable."""
    if isinstance(value, list):
        return Array([_number(v) for v in value])
    return int(value) if float(value).is_integer() else round(float(value), 4)


def _add_page(pdf: pikepdf.Pdf, page: Page, resources: dict[str, Any], every: dict[str, Any]) -> None:
    """One page with the fonts (of `every`) and pictures that it uses."""
    width, height = page.size
    fonts = {
        f"/{name}": font for name, font in every.items() if f"/{name} ".encode("latin-1") in page.content
    }
    pictures = {f"/{name}": resources[digest] for name, digest in page.pictures.items()}
    pdf.add_blank_page(page_size=(width, height))
    made = pdf.pages[-1].obj
    made.Contents = _compressed(pdf, page.content, b"\n")
    made.Resources = Dictionary()
    for key, entries in (("/Font", fonts), ("/XObject", pictures)):
        if entries:
            made.Resources[key] = Dictionary(entries)
    made.Tabs = Name.S


def _catalog(pdf: pikepdf.Pdf, meta: Meta) -> None:
    root = pdf.Root
    root.Lang = String(meta.language)
    root.MarkInfo = Dictionary(Marked=True)
    root.ViewerPreferences = Dictionary(DisplayDocTitle=True)
    root.PageLabels = Dictionary(Nums=Array([0, Dictionary(S=Name.D)]))
    root.Metadata = pdf.make_stream(xmp(meta), Type=Name.Metadata, Subtype=Name.XML)
    profile = pdf.make_stream(srgb(), N=3, Alternate=Name.DeviceRGB)
    intent = Dictionary(
        Type=Name.OutputIntent,
        S=Name.GTS_PDFA1,
        OutputConditionIdentifier=String("sRGB IEC61966-2.1"),
        Info=String("sRGB IEC61966-2.1"),
        DestOutputProfile=profile,
    )
    root.OutputIntents = Array([pdf.make_indirect(intent)])
    pdf.trailer.Info = pdf.make_indirect(_info(meta))
    pdf.trailer.ID = Array([String(meta.document_id), String(meta.document_id)])


def _info(meta: Meta) -> Dictionary:
    entries = {
        "/Title": meta.title,
        "/Author": meta.author,
        "/Subject": meta.subject,
        "/Keywords": meta.keywords,
        "/Producer": PRODUCER,
        "/CreationDate": pdf_date(meta.created),
        "/ModDate": pdf_date(meta.created),
    }
    return Dictionary({key: String(value) for key, value in entries.items() if value})


def _saved(pdf: pikepdf.Pdf) -> bytes:
    """Classic cross-reference table and no object streams: the plainest file for readers to come."""
    out = io.BytesIO()
    pdf.save(
        out,
        min_version="1.7",
        deterministic_id=True,
        object_stream_mode=pikepdf.ObjectStreamMode.disable,
        compress_streams=True,
        fix_metadata_version=False,
    )
    return out.getvalue()
