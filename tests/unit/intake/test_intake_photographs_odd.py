"""Files that cannot serve, or only seem so: hostile, broken, raw, films. None stops the rest."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
import tifffile
from photo_files import saved
from PIL import Image, PngImagePlugin

from dossier.intake.photographs import read_facts

DATA = Path(__file__).resolve().parents[2] / "data" / "photographs"


def png_claiming(width, height):
    chunk = b"IHDR" + struct.pack(">II5B", width, height, 8, 2, 0, 0, 0)
    head = b"\x89PNG\r\n\x1a\n\0\0\0\x0d" + chunk + struct.pack(">I", zlib.crc32(chunk))
    return head + b"\0\0\0\0IDAT\x35\xaf\x06\x1e" + b"\0\0\0\0IEND\xaeB`\x82"


def moving(kind):
    frames = [Image.new("RGB", (20, 20), (n * 90, 0, 0)) for n in range(3)]
    out = BytesIO()
    frames[0].save(out, kind, save_all=True, append_images=frames[1:])
    return out.getvalue()


def raw_file():
    out = BytesIO()
    Image.new("RGB", (20, 20)).save(out, "TIFF", tiffinfo={0xC612: b"\1\4\0\0"})
    return out.getvalue()


def raw_tiff():
    """As most cameras' raw files: a small preview first, what the sensor saw below it (TIFF/EP)."""
    out = BytesIO()
    with tifffile.TiffWriter(out) as writer:
        small = np.zeros((12, 16, 3), np.uint8)
        writer.write(small, photometric="rgb", subfiletype=1, subifds=1)
        pattern = [(0x828D, 3, 2, (2, 2), True), (0x828E, 1, 4, bytes((0, 1, 1, 2)), True)]
        writer.write(np.zeros((48, 64), np.uint16), photometric="cfa", extratags=pattern)
    return out.getvalue()


def jpeg_of(width, height):
    content = bytearray(saved())
    frame = content.index(b"\xff\xc0")
    content[frame + 5 : frame + 9] = struct.pack(">HH", height, width)
    return bytes(content)


def among(segments):
    """A JPEG with `segments` before its own."""
    plain = saved()
    return plain[:2] + segments + plain[2:]


def many_chunks():
    plain, chunk = saved("PNG"), b"\0\0\0\0prVt"
    return plain[:33] + (chunk + struct.pack(">I", zlib.crc32(b"prVt"))) * 1100 + plain[33:]


def many_entries(count=30_000):
    """BigTIFF (its header: 43, 8 bytes wide), which has no limit of entries of its own."""
    entries = b"".join(struct.pack("<HHQQ", 300 + n, 3, 1, 1) for n in range(count))
    return b"II+\0" + struct.pack("<HHQQ", 8, 0, 16, count) + entries + bytes(8)


def one_value_for_many():
    """Each of 100 entries says that all the file is its value."""
    entries = b"".join(struct.pack("<HHII", 40_000 + n, 7, 9000, 500) for n in range(100))
    size = b"".join(struct.pack("<HHII", tag, 3, 1, 9) for tag in (256, 257))
    return (b"II*\0\x08\0\0\0" + struct.pack("<H", 102) + size + entries).ljust(10_000, b"\0")


BAD = {
    "JPEG of comments": ("a.jpg", lambda: among(b"\xff\xfe\0\2" * 6000), "damaged"),
    "JPEG of fill bytes": ("a.jpg", lambda: among(b"\xff" * 2000), "damaged"),
    "JPEG of EXIF": ("a.jpg", lambda: among((b"\xff\xe1\xff\xffExif\0\0" + bytes(65_527)) * 20), "damaged"),
    "PNG of chunks": ("a.png", many_chunks, "damaged"),
    "TIFF of entries": ("a.tif", many_entries, "damaged"),
    "TIFF of one value": ("a.tif", one_value_for_many, "damaged"),
    "empty": ("a.jpg", lambda: b"", "empty"),
    "words": ("a.jpg", lambda: b"not a picture at all, only words", "not a picture this program reads"),
    "one byte": ("a.jpg", lambda: b"\xff", "not a picture this program reads"),
    "only a start": ("a.jpg", lambda: b"\xff\xd8\xff", "damaged"),
    "JPEG cut short": ("a.jpg", lambda: saved(size=(400, 400))[:2000], "cut short"),
    "JPEG zeros": ("a.jpg", lambda: saved(size=(400, 400))[:2000] + bytes(900), "cut short"),
    "PNG cut short": ("a.png", lambda: saved("PNG", size=(400, 400))[:400], "cut short"),
    "TIFF cut short": ("a.tif", lambda: saved("TIFF", size=(400, 400))[:90_000], "cut short"),
    "HEIC cut short": ("a.heic", lambda: (DATA / "mirrorless-grey.heic").read_bytes()[:50_000], "cut short"),
    "PNG bomb": ("a.png", lambda: png_claiming(50_000, 50_000), "50000 x 50000 pixels"),
    "PNG of one column": ("a.png", lambda: png_claiming(1, 70_000), "none of its sides above 65535"),
    "JPEG bomb": ("a.jpg", lambda: jpeg_of(65_000, 65_000), "65000 x 65000 pixels"),
    "JPEG without pixels": ("a.jpg", lambda: jpeg_of(0, 20), "damaged"),
    "PNG without pixels": ("a.png", lambda: png_claiming(0, 9), "damaged"),
    "wrong extension": ("a.jpg", lambda: saved("PNG"), "rename it to a.png"),
    "no extension": ("a", saved, "rename it to a.jpg"),
    "moving PNG": ("a.png", lambda: moving("PNG"), "moving picture"),
    "GIF": ("a.gif", lambda: moving("GIF"), "GIF picture"),
    "WebP": ("a.webp", lambda: saved("WEBP"), "WebP picture"),
    "several pages": ("a.tif", lambda: moving("TIFF"), "several pictures"),
    "raw": ("a.dng", raw_file, "raw file"),
    "raw that is a TIFF": ("a.nef", raw_tiff, "raw file"),
    "raw that is a TIFF, by its mark": ("a.cr2", lambda: b"II*\0\x10\0\0\0CR\2\0" + bytes(99), "raw file"),
    "raw of its own form": ("a.crw", lambda: b"II\x1a\0\0\0HEAPCCDR\2\0\1\0" + bytes(99), "raw file"),
    "raw, other way round": ("a.orf", lambda: b"MMOR\0\0\0\x08" + bytes(99), "raw file"),
    "film without a brand": ("a.mov", lambda: b"\0\0\0\x08wide\0\0\1\0mdat" + bytes(99), "film"),
    "film of a telephone": ("a.3gp", lambda: b"\0\0\0\x14ftyp3gp5\0\0\0\0" + bytes(99), "film"),
    "film in pieces": ("a.avi", lambda: b"RIFF\0\1\0\0AVI LIST" + bytes(99), "film"),
    "JPEG 2000": ("a.jp2", lambda: b"\0\0\0\x0cjP  \r\n\x87\n" + bytes(99), "JPEG 2000 picture"),
    "film": ("a.mp4", lambda: b"\0\0\0\x20ftypisom\0\0\2\0isomiso2avc1mp41" + bytes(99), "film"),
    "AVIF": ("a.avif", lambda: b"\0\0\0\x1cftypavif\0\0\0\0avifmif1miaf" + bytes(99), "AVIF picture"),
}


@pytest.mark.parametrize("case", BAD)
def test_what_cannot_serve_says_why(facts, case):
    name, content, words = BAD[case]
    found = facts(content(), name=name)
    assert words in found.problem
    assert found.file == name
    assert found.bytes == len(content())


def test_one_bad_file_never_stops_the_rest(tmp_path):
    for case, (name, content, _) in BAD.items():
        (tmp_path / f"{case} {name}").write_bytes(content())
    (tmp_path / "good.jpg").write_bytes(saved())
    found = {f.file: f.problem for f in read_facts(tmp_path, "UTC")}
    assert len(found) == len(BAD) + 1
    assert [name for name, problem in found.items() if not problem] == ["good.jpg"]


def test_of_a_png_no_pixel_is_decoded(facts, monkeypatch):
    """Pillow's own `getexif` of a PNG would, to look for a block behind them: a bomb must not be opened."""
    monkeypatch.setattr(PngImagePlugin.PngImageFile, "load", lambda _: pytest.fail("the pixels were decoded"))
    assert (facts(saved("PNG"), name="a.png").width, facts(saved("PNG"), name="b.png").problem) == (32, "")


def test_exif_behind_the_pixels_of_a_png(facts):
    """PNG 3, 11.3.4.4 allows it there; Pillow finds it too."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Maker", "Model 7"
    chunk = b"eXIf" + exif.tobytes().removeprefix(b"Exif\0\0")
    plain = saved("PNG")
    content = (
        plain[:-12]
        + struct.pack(">I", len(chunk) - 4)
        + chunk
        + struct.pack(">I", zlib.crc32(chunk))
        + plain[-12:]
    )
    with Image.open(BytesIO(content)) as image:
        assert image.getexif()[0x0110] == "Model 7"
    assert facts(content, name="a.png").camera == "Maker Model 7"


def test_a_second_picture_and_a_film_behind_the_first_are_no_problem(facts):
    assert facts(saved() + saved(size=(9, 9)) + b"ftypmp42" + bytes(200_000)).problem == ""


def test_pages_in_a_circle_end(facts):
    assert facts((DATA / "loop.tiff").read_bytes(), name="a.tiff").problem == ""


def test_directories_that_point_to_themselves_or_nowhere(facts):
    for pointer in (8, 26, 0xFFFFFFF0, 9999):
        root = struct.pack(">HHHIII", 1, 0x8769, 4, 1, pointer, 8)
        body = b"Exif\0\0MM\0*\0\0\0\x08" + root
        plain = saved()
        content = plain[:2] + b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body + plain[2:]
        found = facts(content)
        assert (found.width, found.height, found.problem, found.taken) == (32, 20, "", "")
