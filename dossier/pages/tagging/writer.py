"""Writes drawn pages as a PDF 1.7 file: streams, fonts, structure tree, parent tree, metadata.

One pass, in one fixed order, so the same document gives the same bytes. Streams are compressed except the
XMP and the JPEGs, which stay as they are. No /Info member says anything the XMP does not.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from typing import Any

import msgspec

from dossier.pages.tagging.canvas import Page, TaggedCanvas
from dossier.pages.tagging.fontfile import FontObjects, embedded, to_unicode
from dossier.pages.tagging.glyphs import CompositeObjects
from dossier.pages.tagging.meta import PRODUCER, Meta, pdf_date, xmp
from dossier.pages.tagging.objects import File, Name, Ref
from dossier.pages.tagging.outline import add_outline
from dossier.pages.tagging.profile import srgb
from dossier.pages.tagging.structure import Element
from dossier.pages.tagging.tree import Tied, add_structure

Resources = Mapping[str, Ref]


class Drawn(msgspec.Struct, frozen=True):
    """Everything that was drawn, its structure, and the names of the fonts it may have used."""

    canvas: TaggedCanvas
    root: Element
    fonts: list[str]


def write(drawn: Drawn, meta: Meta) -> bytes:
    """The bytes of the file."""
    file, canvas = File(), drawn.canvas
    root, node = file.reserve(), file.reserve()
    pages = canvas.pages[:-1]
    places = [file.reserve() for _ in pages]
    tied = add_structure(file, drawn.root, pages, places, canvas.targets)
    _add_pages(file, drawn, node, places, tied)
    outline = add_outline(file, canvas.bookmarks, places)
    file.put(
        root, {**_catalog(file, meta, node), **_ties(tied), **({"/Outlines": outline} if outline else {})}
    )
    return file.whole(file.add(_info(meta)), meta.document_id)


def _ties(tied: Tied) -> dict[str, Any]:
    form = {"/AcroForm": {"/Fields": tied.fields, "/SigFlags": 3}} if tied.fields else {}
    return {"/StructTreeRoot": tied.tree, **form}


def _add_pages(file: File, drawn: Drawn, node: Ref, places: list[Ref], tied: Tied) -> None:
    fonts, pictures = _fonts(file, drawn), _pictures(file, drawn)
    for page, place, entries in zip(drawn.canvas.pages, places, tied.on_pages, strict=False):
        made = _page(file, page, fonts, pictures)
        file.put(place, {**made, **entries, "/Parent": node})
    file.put(node, {"/Type": Name("Pages"), "/Count": len(places), "/Kids": places})


def _fonts(file: File, drawn: Drawn) -> dict[str, Ref]:
    """Objects by resource name; each font stands once."""
    simple = {
        font.resource: _font(file, font)
        for name in drawn.fonts
        for font in embedded(name).objects(drawn.canvas._doc)
    }
    composite = {use.resource: _composite(file, use.objects()) for use in drawn.canvas.glyph_uses.values()}
    return {**simple, **composite}


def _pictures(file: File, drawn: Drawn) -> dict[str, Ref]:
    """Objects by digest; each picture stands once."""
    return {
        digest: file.stream(
            jpeg.data,
            {
                "/Type": Name("XObject"),
                "/Subtype": Name("Image"),
                "/Width": jpeg.width,
                "/Height": jpeg.height,
                "/ColorSpace": Name("DeviceGray" if jpeg.components == 1 else "DeviceRGB"),
                "/BitsPerComponent": 8,
                "/Filter": Name("DCTDecode"),
            },
        )
        for digest, jpeg in drawn.canvas.pictures.items()
    }


def _font(file: File, font: FontObjects) -> Ref:
    descriptor = _descriptor(font, "/FontFile2", _true_type(file, font.program))
    return file.add(
        {
            "/Type": Name("Font"),
            "/Subtype": Name("TrueType"),
            "/BaseFont": Name(font.base_name),
            "/FirstChar": font.first,
            "/LastChar": font.first + len(font.widths) - 1,
            "/Widths": [_number(width) for width in font.widths],
            "/FontDescriptor": file.add(descriptor),
            "/ToUnicode": _compressed(file, font.to_unicode, b"\n"),
        }
    )


def _descriptor(font: FontObjects | CompositeObjects, key: str, program: Ref) -> dict[str, Any]:
    return {
        "/Type": Name("FontDescriptor"),
        "/FontName": Name(font.base_name),
        key: program,
        **{f"/{key}": _number(value) for key, value in font.descriptor.items()},
    }


def _true_type(file: File, program: bytes) -> Ref:
    data, compressed = _sound(program, b"\0\0\0\1")
    return _stream(file, compressed, {"/Length1": len(data)})


def _composite(file: File, font: CompositeObjects) -> Ref:
    """A Type 0 font with one descendant (9.7.6): CFF glyphs are named by CID, TrueType glyphs by a map."""
    more: dict[str, Any] = {}
    if font.is_cff:
        program = _compressed(file, font.program, b"\0\0\0\1", {"/Subtype": Name("OpenType")})
        descriptor = _descriptor(font, "/FontFile3", program)
    else:
        descriptor = _descriptor(font, "/FontFile2", _true_type(file, font.program))
        more = {"/CIDToGIDMap": _compressed(file, font.places, b"\0\1")}  # of a code that nothing draws
    descendant = {
        "/Type": Name("Font"),
        "/Subtype": Name("CIDFontType0" if font.is_cff else "CIDFontType2"),
        "/BaseFont": Name(font.base_name),
        "/CIDSystemInfo": {"/Registry": "Adobe", "/Ordering": "Identity", "/Supplement": 0},
        "/W": [part for code, width in font.widths for part in (code, [_number(width)])],
        "/FontDescriptor": file.add(descriptor),
        **more,
    }
    return file.add(
        {
            "/Type": Name("Font"),
            "/Subtype": Name("Type0"),
            "/BaseFont": Name(font.base_name),
            "/Encoding": Name("Identity-H"),
            "/DescendantFonts": [file.add(descendant)],
            "/ToUnicode": _compressed(file, to_unicode(font.meanings, 2), b"\n"),
        }
    )


def _compressed(file: File, data: bytes, padding: bytes, entries: Mapping[str, Any] | None = None) -> Ref:
    return _stream(file, _sound(data, padding)[1], entries or {})


def _stream(file: File, compressed: bytes, entries: Mapping[str, Any]) -> Ref:
    return file.stream(compressed, {**entries, "/Filter": Name("FlateDecode")})


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
        return [_number(v) for v in value]
    return int(value) if float(value).is_integer() else round(float(value), 4)


def _page(file: File, page: Page, fonts: Resources, pictures: Resources) -> dict[str, Any]:
    """One page with the fonts and pictures that it uses."""
    used = {f"/{name}": font for name, font in fonts.items() if f"/{name} ".encode("latin-1") in page.content}
    shown = {f"/{name}": pictures[digest] for name, digest in page.pictures.items()}
    return {
        "/Type": Name("Page"),
        "/MediaBox": [0, 0, *map(float, page.size)],
        "/Contents": _compressed(file, page.content, b"\n"),
        "/Resources": {**({"/Font": used} if used else {}), **({"/XObject": shown} if shown else {})},
        "/Tabs": Name("S"),
    }


def _catalog(file: File, meta: Meta, pages: Ref) -> dict[str, Any]:
    profile = _stream(file, zlib.compress(srgb()), {"/N": 3, "/Alternate": Name("DeviceRGB")})
    intent = {
        "/Type": Name("OutputIntent"),
        "/S": Name("GTS_PDFA1"),
        "/OutputConditionIdentifier": "sRGB IEC61966-2.1",
        "/Info": "sRGB IEC61966-2.1",
        "/DestOutputProfile": profile,
    }
    return {
        "/Type": Name("Catalog"),
        "/Pages": pages,
        "/Lang": meta.language,
        "/MarkInfo": {"/Marked": True},
        "/ViewerPreferences": {"/DisplayDocTitle": True},
        "/PageLabels": {"/Nums": [0, {"/S": Name("D")}]},
        "/Metadata": file.stream(xmp(meta), {"/Type": Name("Metadata"), "/Subtype": Name("XML")}),
        "/OutputIntents": [file.add(intent)],
    }


def _info(meta: Meta) -> dict[str, str]:
    entries = {
        "/Title": meta.title,
        "/Author": meta.author,
        "/Subject": meta.subject,
        "/Keywords": meta.keywords,
        "/Producer": PRODUCER,
        "/CreationDate": pdf_date(meta.created),
        "/ModDate": pdf_date(meta.created),
    }
    return {key: value for key, value in entries.items() if value}
