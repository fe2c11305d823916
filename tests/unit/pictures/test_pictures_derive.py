"""`pictures.derive` against Pillow, hashlib and the JPEG's own segments."""

from __future__ import annotations

import hashlib
import os
import struct
import threading
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from dossier.errors import PictureError
from dossier.model.job import PhotoFacts
from dossier.pictures import derive as module
from dossier.pictures.derive import derive, derive_all
from dossier.pictures.plan import Size

ORIENTATION = 0x0112


def saved(image, kind, **options):
    out = BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def exif_of(orientation):
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    return exif


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_upright_as_pillow_turns_it(scene, shown, pixels, decibels, kind, orientation):
    content = saved(scene, kind, exif=exif_of(orientation), **({"quality": 97} if kind == "JPEG" else {}))
    with Image.open(BytesIO(content)) as image:
        expected = np.asarray(ImageOps.exif_transpose(image))
    made = shown(content, name=f"a.{kind.lower()}", orientation=orientation)
    assert (made.height, made.width) == expected.shape[:2]
    assert (
        decibels(pixels(made.jpeg), expected) > 38
    )  # what one more JPEG encoding costs; a wrong turn is < 20


@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_heic_turns_itself_once(scene, shown, pixels, decibels, orientation):
    """Against pillow-heif's own Pillow plug-in, which applies the file's turn and resets EXIF's."""
    import pillow_heif  # noqa: PLC0415 - native library, only here

    pillow_heif.register_heif_opener()
    content = saved(scene, "HEIF", quality=95, exif=exif_of(orientation))
    with Image.open(BytesIO(content)) as image:
        expected = np.asarray(image.convert("RGB"))
    made = shown(content, name="a.heic", orientation=1)
    assert (made.height, made.width) == expected.shape[:2]
    assert decibels(pixels(made.jpeg), expected) > 38


def test_digests_are_of_the_file_and_of_the_picture(data):
    path = data / "phone-turned.jpg"
    content = path.read_bytes()
    made = derive(path, PhotoFacts(file="p.jpg", bytes=len(content), orientation=6), Size(100, 80))
    assert made.file == "p.jpg"
    assert made.original_sha256 == hashlib.sha256(content).hexdigest()
    assert made.original_bytes == len(content)
    assert made.sha256 == hashlib.sha256(made.jpeg).hexdigest()
    with Image.open(BytesIO(made.jpeg)) as image:
        assert image.size == (made.width, made.height)
        assert image.mode == "RGB"
    assert path.read_bytes() == content


@pytest.mark.parametrize(
    ("long_side", "expected"), [(160, (160, 100)), (320, (320, 200)), (5000, (320, 200))]
)
def test_long_side_is_met_and_never_enlarged(scene, shown, long_side, expected):
    made = shown(saved(scene, "PNG"), name="a.png", long_side=long_side)
    assert (made.width, made.height) == expected


def test_a_sliver_keeps_a_pixel(shown):
    made = shown(saved(Image.new("RGB", (3000, 2)), "PNG"), name="a.png", long_side=200)
    assert (made.width, made.height) == (200, 1)


def segments(jpeg):
    """The markers before the scan (ITU-T T.81 B.1.1.3-4), and what follows the scan's end mark."""
    assert jpeg[:2] == b"\xff\xd8"
    at, kinds = 2, []
    while True:
        mark, kind, length = struct.unpack(">BBH", jpeg[at : at + 4])
        assert mark == 0xFF
        kinds.append(kind)
        if kind == 0xDA:
            return kinds, jpeg[jpeg.rindex(b"\xff\xd9") + 2 :]
        at += 2 + length


SECRETS = (
    b"SERIAL-7731",
    b"Lensmaker",
    b"48.8583",
    b"Exif",
    b"ICC_PROFILE",
    b"ns.adobe.com",
    b"Photoshop",
    b"OLD-THUMB",
)


def planted(scene, phone_profile):
    """A JPEG with all that must not travel on: serial, place, maker note, thumbnail, XMP, words."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Lensmaker", "Lensmaker One"
    details = exif.get_ifd(0x8769)
    details[0xA431], details[0x927C] = "SERIAL-7731", b"OLD-THUMB" * 20
    exif.get_ifd(0x8825)[2] = (48.0, 51.0, 29.9)
    thumb = saved(scene.resize((16, 10)), "JPEG", comment=b"OLD-THUMB")
    xmp = b'<x xmlns:exif="http://ns.adobe.com/exif/1.0/" exif:GPSLatitude="48.8583"/>'
    content = saved(scene, "JPEG", exif=exif, icc_profile=phone_profile, xmp=xmp, comment=b"SERIAL-7731")
    photoshop = b"Photoshop 3.0\0" + thumb
    planted = content[:2] + b"\xff\xed" + struct.pack(">H", len(photoshop) + 2) + photoshop + content[2:]
    return planted + thumb + b"48.8583"  # and after the end mark, as phones append films


def test_nothing_of_the_original_but_pixels(scene, shown, phone_profile):
    content = planted(scene, phone_profile)
    for secret in SECRETS:
        assert secret in content
    jpeg = shown(content).jpeg
    for secret in SECRETS:
        assert secret not in jpeg
    kinds, after = segments(jpeg)
    assert set(kinds) == {0xE0, 0xDB, 0xC0, 0xC4, 0xDA}  # JFIF head, tables, baseline frame, scan
    assert kinds.count(0xE0) == 1
    assert after == b""
    assert (
        jpeg[2:20] == b"\xff\xe0\x00\x10JFIF\0\x01\x01\x00\x00\x01\x00\x01\x00\x00"
    )  # no density, no thumbnail


@pytest.mark.parametrize(
    "name", ["phone-p3.mpo", "phone-turned.jpg", "mirrorless-grey.heic", "deep.tiff", "ink.jpg"]
)
def test_no_metadata_from_real_cameras(data, shown, name):
    jpeg = shown((data / name).read_bytes(), name=name).jpeg
    kinds, after = segments(jpeg)
    assert set(kinds) == {0xE0, 0xDB, 0xC0, 0xC4, 0xDA}
    assert after == b""


def tasks(data, tmp_path):
    names = [
        "phone-p3.mpo",
        "old-phone.jpg",
        "deep.tiff",
        "ink.jpg",
        "mirrorless.mpo",
        "mirrorless-grey.heic",
    ]
    jobs = [(data / n, PhotoFacts(file=n, bytes=(data / n).stat().st_size), Size(300, 80)) for n in names * 2]
    broken = tmp_path / "broken.jpg"
    broken.write_bytes(b"\xff\xd8\xff\xe0 no")
    jobs.insert(3, (broken, PhotoFacts(file="broken.jpg", bytes=9), Size(300, 80)))
    jobs.insert(7, (tmp_path / "gone.jpg", PhotoFacts(file="gone.jpg", bytes=9), Size(300, 80)))
    return jobs


@pytest.mark.parametrize("workers", [1, 2, 5])
def test_all_in_order_with_errors_in_place(data, tmp_path, workers):
    jobs, calls = tasks(data, tmp_path), []
    results = list(derive_all(jobs, workers, lambda done, total: calls.append((done, total))))
    assert len(results) == len(jobs)
    for (_, facts, _), result in zip(jobs, results, strict=True):
        if facts.file in ("broken.jpg", "gone.jpg"):
            assert isinstance(result, PictureError)
            assert result.message.startswith(facts.file + ": ")
        else:
            assert result.file == facts.file
    assert calls == [(n, len(jobs)) for n in range(1, len(jobs) + 1)]


def test_the_same_bytes_whatever_the_workers(data, tmp_path):
    jobs = tasks(data, tmp_path)
    runs = [[getattr(r, "sha256", str(r)) for r in derive_all(jobs, workers)] for workers in (1, 4)]
    assert runs[0] == runs[1]


def test_looks_only_a_little_ahead(monkeypatch):
    """With 2 workers and nobody taking pictures, no more than 3 are started."""
    started, lock = [], threading.Lock()

    def count(path, facts, size, *, finer):
        with lock:
            started.append(facts.file)
        raise PictureError(facts.file)

    monkeypatch.setattr(module, "derive", count)
    jobs = [(Path("x"), PhotoFacts(file=str(n), bytes=1), Size(1, 1)) for n in range(50)]
    coming = derive_all(jobs, 2)
    next(coming)
    assert len(started) <= 3
    assert [r.message for r in coming] == [str(n) for n in range(1, 50)]
    assert len(started) == 50


def test_stopping_early_stops_the_work(data, tmp_path):
    coming = derive_all(tasks(data, tmp_path), 2)
    next(coming)
    coming.close()
    assert not [t for t in threading.enumerate() if t.name.startswith("ThreadPoolExecutor") and t.is_alive()]


def refused(shown, content, words, **options):
    with pytest.raises(PictureError) as caught:
        shown(content, **options)
    assert words in caught.value.message
    assert caught.value.message.startswith("a.")


def png_claiming(width, height):
    head = struct.pack(">II5B", width, height, 8, 2, 0, 0, 0)
    import zlib  # noqa: PLC0415 - only here

    chunk = b"IHDR" + head
    return (
        b"\x89PNG\r\n\x1a\n"
        + struct.pack(">I", 13)
        + chunk
        + struct.pack(">I", zlib.crc32(chunk))
        + b"\0\0\0\0IDAT\0\0\0\0IEND"
    )


def test_pixel_bombs_are_refused_by_their_header(shown):
    refused(shown, png_claiming(60_000, 60_000), "too many pixels", name="a.png")
    refused(shown, png_claiming(1, 65_536), "too many pixels", name="a.png")  # places for each row besides


def test_jpeg_bomb_is_refused_by_its_header(scene, shown):
    content = bytearray(saved(scene, "JPEG"))
    frame = content.index(b"\xff\xc0")
    content[frame + 5 : frame + 9] = struct.pack(">HH", 65_000, 65_000)
    refused(shown, bytes(content), "too many pixels")


@pytest.mark.parametrize("keep", [0.3, 0.6, 0.99])
def test_cut_short_is_refused_in_every_kind(scene, shown, keep):
    import pillow_heif  # noqa: PLC0415 - native library, only here

    pillow_heif.register_heif_opener()
    for kind in ("JPEG", "PNG", "TIFF", "HEIF"):
        content = saved(scene, kind)
        refused(shown, content[: int(len(content) * keep)], "", name="a." + kind.lower())


@pytest.mark.parametrize("way", ["tiff_lzw", "tiff_adobe_deflate"])
def test_a_broken_tiff_is_told_once(data, shown, capfd, way):
    """The library below Pillow had printed a line besides, with no file in it."""
    with Image.open(data / "rockery.jpg") as image:
        content = saved(image.crop((0, 0, 600, 400)), "TIFF", compression=way)
    half = len(content) // 2
    refused(
        shown, content[:half] + bytes(range(200)) + content[half + 200 :], "cannot be decoded", name="a.tif"
    )
    assert capfd.readouterr() == ("", "")


def test_full_length_with_zeros_for_a_rest_is_cut_short(scene, shown):
    content = saved(scene, "JPEG")
    refused(shown, content[: len(content) // 2] + bytes(len(content) // 2), "cut short")


@pytest.mark.parametrize("lost", [bytes(4096), bytes(range(256)) * 16, b""])
def test_a_png_damaged_in_the_middle_is_told(data, shown, lost):
    """By the sums of its chunks (PNG 3, 5.3; by zlib as Pillow wrote them); Pillow itself says nothing."""
    with Image.open(data / "rockery.jpg") as image:
        content = saved(image.crop((0, 0, 600, 400)), "PNG")
    half = len(content) // 2
    assert shown(content, name="a.png").width == 600
    with pytest.raises(PictureError, match="damaged"):
        shown(content[:half] + lost + content[half + 4096 :], name="a.png")


def test_a_file_that_changed_since_is_refused(scene, tmp_path):
    path = tmp_path / "a.jpg"
    path.write_bytes(saved(scene, "JPEG"))
    with pytest.raises(PictureError, match="has changed"):
        derive(path, PhotoFacts(file="a.jpg", bytes=5), Size(100, 80))


def test_a_pipe_is_not_waited_for(tmp_path, pipe):
    pipe(tmp_path / "a.jpg")
    with pytest.raises(PictureError, match="not an ordinary file"):
        derive(tmp_path / "a.jpg", PhotoFacts(file="a.jpg", bytes=0), Size(100, 80))


def test_other_kinds_are_refused(scene, shown):
    refused(shown, saved(scene, "GIF"), "not a picture this program reads", name="a.gif")
    refused(shown, b"hello", "not a picture this program reads")
    refused(shown, saved(Image.new("F", (9, 9)), "TIFF"), "tones", name="a.tif")


def test_a_file_that_is_written_over_while_it_is_read_is_refused(scene, tmp_path, monkeypatch):
    """After the size was looked at, and as long as before: only its time tells."""
    path = tmp_path / "a.jpg"
    path.write_bytes(saved(scene, "JPEG"))
    status = path.stat()
    facts = PhotoFacts(file="a.jpg", bytes=status.st_size, modified=status.st_mtime_ns)
    assert len(module.read_original(path, facts)) == status.st_size
    look = os.fstat

    def written_over(handle):
        found = look(handle)
        os.utime(path, ns=(0, status.st_mtime_ns + 1))
        return found

    monkeypatch.setattr(os, "fstat", written_over)
    with pytest.raises(PictureError, match="has changed"):
        module.read_original(path, facts)
