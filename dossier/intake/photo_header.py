"""The header of one picture file: what it is, its size, its EXIF, colour profile and XMP; no pixels.

Not done here: deciding which files are looked at, what EXIF says. Invariants: `read` raises only
`HeaderError`; at most the header, the last bytes and (JPEG only, where the end mark is not found there) one
scan of the file are read; plug-ins of the picture library other than the one for the kind seen never run.
"""

from __future__ import annotations

import mmap
import re
import struct
from io import BytesIO
from typing import BinaryIO

import msgspec
from PIL import Image, JpegImagePlugin, TiffImagePlugin

from dossier.model import dng, picture_start, tiff

_TAIL = 65_536

JPEG, PNG, TIFF, HEIC, HEIF = "image/jpeg", "image/png", "image/tiff", "image/heic", "image/heif"
DNG = "image/x-adobe-dng"
NAMES = {DNG: "DNG", JPEG: "JPEG", PNG: "PNG", TIFF: "TIFF", HEIC: "HEIC", HEIF: "HEIF"}
EXTENSIONS = {
    JPEG: (".jpg", ".jpeg", ".jpe", ".jfif", ".mpo"),
    PNG: (".png",),
    TIFF: (".tif", ".tiff"),
    HEIC: (".heic", ".heif", ".hif"),
    HEIF: (".heif", ".heic", ".hif"),
    DNG: (".dng",),
}
_HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis"}
_HEIF_BRANDS = {b"mif1", b"mif2"}
_MOVING_BRANDS = {b"hevc", b"hevx", b"hevm", b"hevs", b"msf1"}
_FILM_BRANDS = (b"qt  ", b"iso", b"mp4", b"avc1", b"M4V ", b"3gp", b"3g2", b"MSNV", b"XAVC")
# A film without a brand starts with one of these boxes (QuickTime File Format); others: AVI, Matroska.
_FILM_BOXES = {b"moov", b"mdat", b"wide", b"free", b"skip", b"pnot"}
_OTHER_KINDS = {
    b"GIF8": "GIF",
    b"BM": "BMP",
    b"8BPS": "layered",
    b"\xff\x0a": "JPEG XL",
    b"\0\0\0\x0cJXL ": "JPEG XL",
    b"\0\0\0\x0cjP  ": "JPEG 2000",
}
_RAW_BRANDS = {b"crx "}
# By ExifTool's list of formats; those that are a TIFF otherwise are told by what they hold (`dng.is_raw`).
_RAW_STARTS = (b"IIRO", b"IIRS", b"MMOR", b"IIU\0", b"FUJIFILMCCD-RAW", b"FOVb", b"\0MRM")
_RAW_LATER = {8: b"CR", 6: b"HEAPCCDR"}
_SUBFILE = 0x00FE
_EXIF_IFD, _GPS_IFD, _BODY_SERIAL = 0x8769, 0x8825, 0xA431
_CREATOR = re.compile(rb"""CreatorTool(?:\s*=\s*["']([^"'<>]{1,200})["']|>([^<>]{1,200})<)""")
_HEAD = 1_000_000  # bytes in which the header of a DNG's preview ends
_PAGES_LOOKED_AT = 8


class HeaderError(Exception):
    """Why this file cannot serve: a key below `photographs.problem` and its fields."""

    def __init__(self, key: str, media_type: str = "", **fields: object) -> None:
        super().__init__(key)
        self.key = key
        self.media_type = media_type
        self.fields = fields


class Header(msgspec.Struct, kw_only=True):
    """What stands in the header. `width`, `height` as stored, before EXIF orientation, in pixels."""

    media_type: str
    width: int
    height: int
    exif: Image.Exif
    icc: bytes = b""
    xmp: bytes = b""
    software: str = ""  # as the file says elsewhere than in EXIF
    of_preview: bool = False  # DNG: size and profile are those of its largest JPEG preview
    turned_by_reader: bool = False  # HEIC: the decoder applies the file's own turn; EXIF's does not count


def read(stream: BinaryIO, size: int) -> Header:
    """The header of the picture in `stream` (`size` bytes long). Raises HeaderError, nothing else."""
    media_type = sniff(stream.read(32))
    stream.seek(0)
    try:
        if not picture_start.bounded(_reading(stream), size):
            raise HeaderError("damaged", kind=NAMES[media_type])
        stream.seek(0)
        header = _READERS[media_type](stream, size)
    except HeaderError as problem:
        problem.media_type = problem.media_type or media_type
        raise
    except Exception as error:  # a hostile header can raise anything inside the picture library
        raise HeaderError("damaged", media_type, kind=NAMES[media_type]) from error
    header.media_type = DNG if header.of_preview else media_type
    check_pixels(header)
    return header


def sniff(start: bytes) -> str:
    """The media type by the first bytes. Raises HeaderError for what is no picture read here."""
    if start.startswith(b"\xff\xd8\xff"):
        return JPEG
    if start.startswith(b"\x89PNG\r\n\x1a\n"):
        return PNG
    if start.startswith(_RAW_STARTS) or any(start[at:].startswith(m) for at, m in _RAW_LATER.items()):
        raise HeaderError("raw")
    if start[:4] in (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"):
        return TIFF
    if start[4:8] == b"ftyp":
        return _sniff_boxes(start)
    raise _other(start)


def _sniff_boxes(start: bytes) -> str:
    """ISO base media file: the major brand, else the first compatible ones (ISO/IEC 23008-12 clause 10)."""
    brand, compatible = start[8:12], {start[16:20], start[20:24], start[24:28], start[28:32]}
    if brand in _MOVING_BRANDS:
        raise HeaderError("moving")
    if brand in _HEIC_BRANDS or (brand in _HEIF_BRANDS and compatible & _HEIC_BRANDS):
        return HEIC
    if brand in _HEIF_BRANDS and b"avif" not in compatible:
        return HEIF
    if brand in _RAW_BRANDS:
        raise HeaderError("raw")
    if brand.startswith(_FILM_BRANDS):
        raise HeaderError("film")
    if b"avif" in compatible or brand in (b"avif", b"avis"):
        raise HeaderError("other_picture", kind="AVIF")
    raise HeaderError("not_a_picture")


def _other(start: bytes) -> HeaderError:
    if start[:4] == b"RIFF" and start[8:12] == b"WEBP":
        return HeaderError("other_picture", kind="WebP")
    avi = start[:4] == b"RIFF" and start[8:12] == b"AVI "
    if avi or start[4:8] in _FILM_BOXES or start.startswith(b"\x1a\x45\xdf\xa3"):
        return HeaderError("film")
    for mark, kind in _OTHER_KINDS.items():
        if start.startswith(mark):
            return HeaderError("other_picture", kind=kind)
    return HeaderError("not_a_picture")


def check_pixels(header: Header) -> None:
    if header.width < 1 or header.height < 1:
        raise HeaderError("no_pixels", header.media_type)
    small = header.media_type in {JPEG, DNG}
    limit = picture_start.MOST_PIXELS_JPEG if small else picture_start.MOST_PIXELS
    across = max(header.width, header.height)
    if header.width * header.height > limit or across > picture_start.MOST_ACROSS:
        raise HeaderError(
            "too_many_pixels",
            header.media_type,
            width=header.width,
            height=header.height,
            limit=limit // 1_000_000,
            across=picture_start.MOST_ACROSS,
        )


def _reading(stream: BinaryIO) -> tiff.Read:
    def read(offset: int, count: int) -> bytes:
        stream.seek(offset)
        return stream.read(count)

    return read


def _read_jpeg(stream: BinaryIO, size: int) -> Header:
    # The plug-in's class itself, not Image.open: the extra pictures a phone appends are left alone.
    with JpegImagePlugin.JpegImageFile(stream) as image:
        scan = stream.tell()  # the plug-in stops where the first scan starts
        header = _from_pillow(JPEG, image)
        if not _jpeg_ends(stream, scan, size):
            raise HeaderError("cut_short", JPEG)
    return header


def _jpeg_ends(stream: BinaryIO, scan: int, size: int) -> bool:
    """Whether an end mark follows the start of the first scan (ITU-T T.81 B.1.1.3).

    The mark is sought in the last bytes and, as phones append films and more pictures, then everywhere.
    """
    start = max(scan, size - _TAIL)
    stream.seek(start)
    if b"\xff\xd9" in stream.read(_TAIL):
        return True
    with mmap.mmap(stream.fileno(), size, access=mmap.ACCESS_READ) as whole:
        return whole.find(b"\xff\xd9", scan) >= 0


def _read_png(stream: BinaryIO, size: int) -> Header:
    from PIL import PngImagePlugin  # noqa: PLC0415 - start-up: few photographs are of its kind

    with PngImagePlugin.PngImageFile(stream) as image:
        if getattr(image, "is_animated", False):
            raise HeaderError("moving", PNG)
        header = _from_pillow(PNG, image)
        if "exif" not in image.info:
            header.exif = _late_exif(stream, size, header.exif)
    stream.seek(max(0, size - _TAIL))
    if b"IEND" not in stream.read(_TAIL):
        raise HeaderError("cut_short", PNG)
    return header


def _late_exif(stream: BinaryIO, size: int, early: Image.Exif) -> Image.Exif:
    """Of the eXIf chunk behind the pixels (PNG 3, 11.3.4.4), where there is one; else `early`."""
    read = _reading(stream)
    for kind, place, length in picture_start.png_chunks(read, size):
        if kind == b"eXIf" and length <= picture_start.MOST_EXIF:
            return _loaded(read(place, length))
    return early


def _loaded(block: bytes) -> Image.Exif:
    exif = Image.Exif()
    try:
        exif.load(block)
    except Exception:  # a broken block is as good as none
        return Image.Exif()
    return exif


def _read_tiff(stream: BinaryIO, size: int) -> Header:
    read = _reading(stream)
    if found := dng.find(read, size):
        return _of_preview(found, read)
    if dng.is_raw(read, size):
        raise HeaderError("raw")
    stream.seek(0)
    with TiffImagePlugin.TiffImageFile(stream) as image:
        header = _tiff_header(image, size)
        _refuse_pages(image)
    # Not as the library has them: it reads Exif and GPS only when asked, in a file that is closed by then.
    header.exif = _as_exif(tiff.said(read, size))
    return header


def _tiff_header(image: TiffImagePlugin.TiffImageFile, size: int) -> Header:
    tags = image.tag_v2
    # Pillow already gives the upright size of a TIFF; here the stored one is wanted.
    header = _from_pillow(TIFF, image)
    header.width, header.height = int(tags[256]), int(tags[257])
    for offsets, counts in ((273, 279), (324, 325)):
        ends = zip(_numbers(tags.get(offsets)), _numbers(tags.get(counts)), strict=False)
        if any(offset + count > size for offset, count in ends):
            raise HeaderError("cut_short", TIFF)
    return header


def _of_preview(found: dng.Dng, read: tiff.Read) -> Header:
    """Time and camera as the DNG's own directories say; size and profile of the JPEG that is shown."""
    preview = found.preview
    if preview is None:
        raise HeaderError("no_preview", DNG)
    with JpegImagePlugin.JpegImageFile(BytesIO(read(preview.offset, min(preview.length, _HEAD)))) as image:
        header = _from_pillow(DNG, image)
    last = min(preview.length, _TAIL)
    if b"\xff\xd9" not in read(preview.offset + preview.length - last, last):
        raise HeaderError("cut_short", DNG)
    xmp = found.root.get(tiff.XMP)
    header.exif, header.xmp, header.of_preview = _as_exif(found), _as_bytes(xmp), True
    return header


def _as_exif(found: tiff.Said) -> Image.Exif:
    """A camera's serial number in a DNG has a tag of its own in the first directory (DNG 1.7, chapter 4)."""
    exif = Image.Exif()
    # Without the pointers: there is no file behind this block.
    exif.update({tag: value for tag, value in found.root.items() if tag not in {_EXIF_IFD, _GPS_IFD}})
    if tiff.SERIAL in found.root:
        exif.get_ifd(_EXIF_IFD)[_BODY_SERIAL] = found.root[tiff.SERIAL]
    exif.get_ifd(_EXIF_IFD).update(found.exif)
    exif.get_ifd(_GPS_IFD).update(found.gps)
    return exif


def _numbers(value: object) -> tuple[int, ...]:
    if isinstance(value, tuple):
        return tuple(v for v in value if isinstance(v, int))
    return (value,) if isinstance(value, int) else ()


def _refuse_pages(image: TiffImagePlugin.TiffImageFile) -> None:
    """More full pictures after the first are refused; smaller copies of it (bit 0 of tag 254) are not."""
    for page in range(1, _PAGES_LOOKED_AT):
        try:
            image.seek(page)
        except EOFError:
            return
        if not int(image.tag_v2.get(_SUBFILE, 0)) & 1:
            raise HeaderError("several", TIFF)


def _read_heif(stream: BinaryIO, size: int) -> Header:
    import pillow_heif  # noqa: PLC0415 - start-up cost: a native library few jobs need

    _refuse_cut_boxes(stream, size)
    stream.seek(0)
    image = pillow_heif.open_heif(stream)
    exif = Image.Exif()
    exif.load(image.info.get("exif") or b"")
    return Header(
        media_type=HEIC,
        width=image.size[0],
        height=image.size[1],
        exif=exif,
        icc=_as_bytes(image.info.get("icc_profile")),
        xmp=_as_bytes(image.info.get("xmp")),
        turned_by_reader=True,
    )


def _refuse_cut_boxes(stream: BinaryIO, size: int) -> None:
    """The top boxes must end within the file (ISO/IEC 14496-12 clause 4.2)."""
    at = 0
    while at + 8 <= size:
        stream.seek(at)
        length, _ = struct.unpack(">I4s", stream.read(8))
        if length == 1:
            (length,) = struct.unpack(">Q", stream.read(8))
        if length == 0:
            return
        if length < 8 or at + length > size:
            raise HeaderError("cut_short")
        at += length


def _from_pillow(media_type: str, image: Image.Image) -> Header:
    xmp = _as_bytes(image.info.get("xmp") or image.info.get("XML:com.adobe.xmp"))
    text = image.info.get("Software")  # a keyword of PNG (PNG 3, 11.3.3.1)
    return Header(
        media_type=media_type,
        width=image.size[0],
        height=image.size[1],
        exif=_exif(image),
        icc=_as_bytes(image.info.get("icc_profile")),
        xmp=xmp,
        software=text if isinstance(text, str) else _creator(xmp),
    )


def _creator(xmp: bytes) -> str:
    """The program that XMP names (ISO 16684-1, 8.4: xmp:CreatorTool), written as attribute or element."""
    found = _CREATOR.search(xmp)
    return (found[1] or found[2]).decode("utf-8", "replace") if found else ""


def _exif(image: Image.Image) -> Image.Exif:
    try:
        # The base class's: that of PNG decodes every pixel where no block stands before them.
        return Image.Image.getexif(image)
    except Exception:  # a broken block is as good as none
        return Image.Exif()


def _as_bytes(value: object) -> bytes:
    if isinstance(value, str):
        return value.encode("utf-8", "replace")
    return value if isinstance(value, bytes) else b""


_READERS = {JPEG: _read_jpeg, PNG: _read_png, TIFF: _read_tiff, HEIC: _read_heif, HEIF: _read_heif}
