"""`intake.photographs.read_facts` against exifread and Pillow, on real cameras' files; the folder."""

from __future__ import annotations

import hashlib
import os
import struct
from datetime import UTC, datetime, timedelta, timezone
from fractions import Fraction
from io import BytesIO
from pathlib import Path
from zoneinfo import ZoneInfo

import exifread
import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from photo_files import exif_of, saved
from PIL import Image, ImageOps, PngImagePlugin

from dossier.intake import photo_exif
from dossier.intake.photographs import read_facts

DATA = Path(__file__).resolve().parents[2] / "data" / "photographs"
CAMERAS = ("phone-p3.mpo", "phone-turned.jpg", "old-phone.jpg", "mirrorless.mpo")


@pytest.mark.parametrize("name", CAMERAS)
def test_real_cameras_against_exifread(name):
    (found,) = [f for f in read_facts(DATA, "Europe/Berlin") if f.file == name]
    with (DATA / name).open("rb") as stream:
        tags = {
            key: str(value).strip() for key, value in exifread.process_file(stream, details=False).items()
        }
    local = datetime.strptime(tags["EXIF DateTimeOriginal"], "%Y:%m:%d %H:%M:%S")
    sub_seconds = tags.get("EXIF SubSecTimeOriginal", "")
    offset = tags.get("EXIF OffsetTimeOriginal", "")
    taken = datetime.fromisoformat(found.taken)
    assert taken.replace(tzinfo=None, microsecond=0) == local
    assert taken.microsecond == int((sub_seconds or "0").ljust(6, "0"))
    if offset:
        assert found.taken.endswith(offset)
        assert found.taken_zone == "file"
    else:
        assert taken.utcoffset() == local.replace(tzinfo=ZoneInfo("Europe/Berlin")).utcoffset()
        assert found.taken_zone == "job"
    assert tags["Image Model"] in found.camera
    assert found.problem == ""


@pytest.mark.parametrize("name", CAMERAS)
def test_real_cameras_against_pillow(name):
    (found,) = [f for f in read_facts(DATA, "UTC") if f.file == name]
    with Image.open(DATA / name) as image:
        exif = image.getexif()
        assert found.orientation == exif.get(0x0112, 1)
        assert (found.width, found.height) == ImageOps.exif_transpose(image).size
    assert found.bytes == (DATA / name).stat().st_size


def test_a_phone_in_full():
    (found,) = [f for f in read_facts(DATA, "UTC") if f.file == "phone-p3.mpo"]
    assert found.taken == "2025-09-07T14:16:43.472-04:00"
    assert (found.media_type, found.profile, found.has_position) == ("image/jpeg", "Display P3", False)


def test_a_heic_from_a_camera():
    """exifread 3.5 cannot read this file, Pillow's reader can; its serial appears as a digest only."""
    (found,) = [f for f in read_facts(DATA, "UTC") if f.file == "mirrorless-grey.heic"]
    assert found.taken == "2020-09-14T11:09:34.641-05:00"
    assert found.taken_zone == "file"
    assert found.media_type == "image/heic"
    assert (found.width, found.height) == (64, 64)


def test_every_sample_is_read_and_none_has_a_problem():
    found = {f.file: f for f in read_facts(DATA, "UTC")}
    words = {"README.md", "LICENCES.txt"}
    assert {name for name, f in found.items() if f.problem} == words
    assert [f.file for f in read_facts(DATA, "UTC")] == sorted(found)


@given(
    # Exif has no word for the second of two hours that are said alike (PEP 495: fold).
    local=st.datetimes(datetime(1900, 1, 1), datetime(2200, 1, 1)).map(
        lambda d: d.replace(microsecond=0, fold=0)
    ),
    minutes=st.none() | st.integers(-14 * 60, 14 * 60),
    digits=st.none() | st.from_regex(r"[0-9]{1,6}", fullmatch=True),
)
@settings(deadline=None, max_examples=60)
def test_time_zone_and_fraction(tmp_path_factory, local, minutes, digits):
    details = {0x9003: local.strftime("%Y:%m:%d %H:%M:%S").rjust(19, "0")}
    if minutes is not None:
        sign = "-" if minutes < 0 else "+"
        details[0x9011] = f"{sign}{abs(minutes) // 60:02}:{abs(minutes) % 60:02}"
    if digits:
        details[0x9291] = digits
    folder = tmp_path_factory.mktemp("t")
    (folder / "a.jpg").write_bytes(saved(exif=exif_of(details=details)))
    (found,) = read_facts(folder, "America/New_York")
    zone = ZoneInfo("America/New_York") if minutes is None else timezone(timedelta(minutes=minutes))
    head, tail = found.taken[:19], found.taken[19:]
    assert head == local.isoformat()
    assert tail == ("." + digits if digits else "") + local.replace(tzinfo=zone).isoformat()[19:]
    assert found.taken_zone == ("job" if minutes is None else "file")
    if digits and Fraction(int(digits), 10 ** len(digits)):
        assert datetime.fromisoformat(found.taken).microsecond == int(digits.ljust(6, "0"))


@pytest.mark.parametrize(
    "written",
    [
        "0000:00:00 00:00:00",
        "    :  :     :  :  ",
        "2026:02:30 10:00:00",
        "2026:03:01 10:00:60",
        "2026:13:01 10:00:00",
        "yesterday",
        "",
        "2026:03:01",
        "2026:03:01 25:00:00",
    ],
)
def test_times_that_are_none(facts, written):
    found = facts(saved(exif=exif_of(details={0x9003: written})))
    assert (found.taken, found.taken_zone, found.problem) == ("", "", "")


@pytest.mark.parametrize("offset", ["   :  ", "+25:00", "+10:75", "later", "", "-15:00"])
def test_offsets_that_are_none(facts, offset):
    details = {0x9003: "2026:07:01 12:00:00", 0x9011: offset}
    found = facts(saved(exif=exif_of(details=details)), zone="Europe/Paris")
    assert (found.taken, found.taken_zone) == ("2026-07-01T12:00:00+02:00", "job")


@pytest.mark.parametrize(("hours", "expected"), [(-5, "-05:00"), (9, "+09:00"), (0, "+00:00")])
def test_whole_hour_zone_of_older_cameras(facts, hours, expected):
    """Tag 0x882A of TIFF/EP, a signed short; the file's own directory, written by hand."""
    content = with_exif(
        struct.pack(">HHI", 0x9003, 2, 20),
        b"2026:07:01 12:00:00\0",
        struct.pack(">HHIhH", 0x882A, 8, 1, hours, 0),
    )
    found = facts(content, zone="Europe/Paris")
    assert (found.taken, found.taken_zone) == (f"2026-07-01T12:00:00{expected}", "file")


def with_exif(date_entry, date, zone_entry):
    """A JPEG whose EXIF directory has a zone (inline) and a date (after the directory)."""
    root = struct.pack(">HHHIII", 1, 0x8769, 4, 1, 26, 0)
    details = struct.pack(">H", 2) + zone_entry + date_entry + struct.pack(">I", 26 + 30) + bytes(4) + date
    body = b"Exif\0\0MM\0*\0\0\0\x08" + root + details
    plain = saved()
    return plain[:2] + b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body + plain[2:]


def test_file_time_and_change_time_never_count(facts, tmp_path):
    found = facts(
        saved(exif=exif_of(root={0x0132: "2026:01:01 10:00:00"}, details={0x9004: "2026:01:01 10:00:00"}))
    )
    assert (found.taken, found.taken_zone) == ("", "")


def test_summer_and_winter_of_the_jobs_zone(facts):
    for month, offset in ((1, "+01:00"), (7, "+02:00")):
        found = facts(
            saved(exif=exif_of(details={0x9003: f"2026:0{month}:15 12:00:00"})), zone="Europe/Madrid"
        )
        assert found.taken.endswith(offset)


def test_unknown_zone_counts_as_utc(facts):
    found = facts(saved(exif=exif_of(details={0x9003: "2026:07:01 12:00:00"})), zone="../etc/passwd")
    assert (found.taken, found.taken_zone) == ("2026-07-01T12:00:00+00:00", "job")
    assert datetime.fromisoformat(found.taken).astimezone(UTC).hour == 12


def test_serial_number_only_as_its_digest(facts):
    found = facts(saved(exif=exif_of(details={0xA431: "00123456 "})))
    assert found.body_digest == hashlib.sha256(b"00123456").hexdigest()
    assert "123456" not in repr(msgspec.structs.replace(found, modified=None))
    assert facts(saved(exif=exif_of(details={0xA431: "000000"}))).body_digest == ""
    assert facts(saved()).body_digest == ""


@pytest.mark.parametrize(
    ("make", "model", "camera"),
    [
        ("Acme", "Acme One", "Acme One"),
        ("ACME CORPORATION", "Acme D1", "Acme D1"),
        ("Acme", "One", "Acme One"),
        ("", "One", "One"),
        ("Acme", "", "Acme"),
        ("Ac\0me", "O\nne  2\0\0", "Ac O ne 2"),
        ("A" * 900, "", "A" * 200),
        ("", "相機 α7".encode(), "相機 α7"),
        ("", "Müller 2".encode("latin-1"), "Müller 2"),
    ],
)
def test_camera_name(facts, make, model, camera):
    """Letters in UTF-8 as EXIF 3.0 allows; ExifTool reads them so in a file of any version."""
    assert facts(saved(exif=exif_of(root={0x010F: make, 0x0110: model}))).camera == camera


@pytest.mark.parametrize(
    ("day", "clock", "said"),
    [
        ("2026:03:14", (8.0, 5.0, 7.9), "2026-03-14T08:05:07+00:00"),
        ("2026-03-14", (8, 5, 7), "2026-03-14T08:05:07+00:00"),
        ("2026:03:14", (24.0, 0.0, 0.0), ""),
        ("2026:03:14", (8.0, 5.0), ""),
        ("2026:03:14", (float("nan"), 5.0, 7.0), ""),
        ("", (8.0, 5.0, 7.0), ""),
        ("0000:00:00", (0.0, 0.0, 0.0), ""),
    ],
)
def test_the_time_from_satellites(day, clock, said):
    """EXIF 2.32, 4.6.6: GPSTimeStamp and GPSDateStamp are UTC, whatever the zone."""
    assert photo_exif.read({}, {}, {0x1D: day, 7: clock}, ZoneInfo("Asia/Tokyo")).satellite == said


def test_position_is_flagged_and_never_given(facts):
    position = {1: "N", 2: (48.0, 51.0, 29.9), 3: "E", 4: (2.0, 17.0, 40.2)}
    found = facts(saved(exif=exif_of(gps=position)))
    assert found.has_position
    # The disk's own time has any digits.
    assert "48" not in repr(msgspec.structs.replace(found, modified=None))
    assert not facts(saved(exif=exif_of(gps={0: b"\2\3\0\0"}))).has_position
    xmp = b'<x:xmpmeta xmlns:exif="http://ns.adobe.com/exif/1.0/" exif:GPSLatitude="48,51.5N"/>'
    assert facts(saved(xmp=xmp)).has_position


@pytest.mark.parametrize("big", [False, True])
def test_a_tiff_says_who_took_it_when_and_where_as_any_other(facts, big):
    """Against ExifRead, which reads no BigTIFF; Pillow writes both. It was read after the file was closed."""
    details = {0x9003: "2026:03:14 10:20:30", 0x9011: "+01:00", 0x9291: "25", 0xA431: "77001"}
    position = {1: "N", 2: (48.0, 51.0, 29.9), 7: (9.0, 20.0, 31.0), 0x1D: "2026:03:14"}
    exif = exif_of(root={0x010F: "A Maker", 0x0110: "Model 1"}, details=details, gps=position)
    content = saved("TIFF", exif=exif.tobytes(), big_tiff=big)
    found = facts(content, name="a.tif")
    assert (found.taken, found.taken_zone) == ("2026-03-14T10:20:30.25+01:00", "file")
    assert (found.camera, found.satellite) == ("A Maker Model 1", "2026-03-14T09:20:31+00:00")
    assert found.body_digest == hashlib.sha256(b"77001").hexdigest()
    assert found.has_position
    if not big:
        tags = exifread.process_file(BytesIO(content), details=False)
        assert str(tags["EXIF DateTimeOriginal"]) == details[0x9003]
        assert str(tags["GPS GPSTimeStamp"]) == "[9, 20, 31]"


def test_software(facts):
    assert facts(saved(exif=exif_of(root={0x0131: "Darkroom 9"}))).software == "Darkroom 9"


def test_software_that_is_named_elsewhere(facts):
    """PNG 3, 11.3.3.1, keyword Software; ISO 16684-1, 8.4, xmp:CreatorTool. EXIF's own comes first."""
    text = PngImagePlugin.PngInfo()
    text.add_text("Software", "Screen Grabber")
    assert facts(saved("PNG", pnginfo=text), name="a.png").software == "Screen Grabber"
    assert facts(saved(xmp=b'<r:D xmp:CreatorTool="Darkroom 9"/>')).software == "Darkroom 9"
    written = b"<xmp:CreatorTool>Darkroom 9</xmp:CreatorTool>"
    assert facts(saved(xmp=written)).software == "Darkroom 9"
    assert facts(saved(xmp=written, exif=exif_of(root={0x0131: "Ver 1.0"}))).software == "Ver 1.0"


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF"])
@pytest.mark.parametrize("orientation", [1, 2, 3, 4, 5, 6, 7, 8])
def test_orientation_and_upright_size(facts, kind, orientation):
    found = facts(saved(kind, exif=exif_of(root={0x0112: orientation})), name="a." + kind.lower())
    assert found.orientation == orientation
    assert (found.width, found.height) == ((20, 32) if orientation >= 5 else (32, 20))


@pytest.mark.parametrize("value", [0, 9, 65535])
def test_orientation_out_of_range_is_upright(facts, value):
    assert facts(saved(exif=exif_of(root={0x0112: value}))).orientation == 1


def test_folders_sidecars_and_hidden_files(tmp_path):
    names = ["b/two.JPG", "a.jpg", "b/c/three.jpeg", "B.jpg"]
    skipped = [
        ".hidden.jpg",
        "Thumbs.db",
        "A.jpg:Zone.Identifier",
        "a.xmp",
        "IMG.AAE",
        "desktop.ini",
        ".trash/x.jpg",
        "@eaDir/x.jpg",
        "~$a.jpg",
        "b/._two.JPG",
    ]
    for name in names + skipped:
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(saved())
    found = read_facts(tmp_path, "UTC")
    assert [f.file for f in found] == sorted(names)
    assert not any(f.problem for f in found)


def test_a_file_where_the_folder_should_be_is_said(tmp_path):
    (tmp_path / "photos").write_bytes(b"")
    (found,) = read_facts(tmp_path / "photos", "UTC")
    assert (found.file, found.problem) == ("photos", "this folder could not be opened")


def test_no_folder_gives_nothing(tmp_path):
    assert read_facts(tmp_path / "none", "UTC") == []


def test_links(tmp_path):
    photos, outside = tmp_path / "photos", tmp_path / "outside"
    photos.mkdir()
    outside.mkdir()
    (outside / "secret.jpg").write_bytes(saved())
    (photos / "a.jpg").write_bytes(saved())
    (photos / "in.jpg").symlink_to("a.jpg")
    (photos / "out.jpg").symlink_to(outside / "secret.jpg")
    (photos / "round.jpg").symlink_to("round.jpg")
    (photos / "nowhere.jpg").symlink_to("gone.jpg")
    (photos / "folder").symlink_to(outside)
    found = {f.file: f.problem for f in read_facts(photos, "UTC")}
    assert found["a.jpg"] == found["in.jpg"] == ""
    assert "outside the photographs folder" in found["out.jpg"]
    assert "outside the photographs folder" in found["folder"]
    assert "leads nowhere" in found["round.jpg"]
    assert "leads nowhere" in found["nowhere.jpg"]
    assert len(found) == 6


def test_pipes_are_not_waited_for(tmp_path, pipe):
    pipe(tmp_path / "a.jpg")
    (found,) = read_facts(tmp_path, "UTC")
    assert "not an ordinary file" in found.problem


def test_names_that_cannot_be_written(tmp_path):
    Path(os.fsdecode(os.fsencode(tmp_path) + b"/a\xff.jpg")).write_bytes(saved())
    (tmp_path / "line\nbreak.jpg").write_bytes(saved())
    found = read_facts(tmp_path, "UTC")
    assert len(found) == 2
    for one in found:
        assert "rename it" in one.problem
        one.file.encode("utf-8")


def test_too_many_files_are_said(tmp_path, monkeypatch):
    monkeypatch.setattr("dossier.intake.photographs.MAX_FILES", 3)
    for n in range(6):
        (tmp_path / f"{n}.jpg").write_bytes(saved())
    found = read_facts(tmp_path, "UTC")
    assert len(found) == 4
    assert sum("more than 3 files" in f.problem for f in found) == 1


def test_four_hundred_photographs_are_read(tmp_path):
    """How long it takes is measured by tests/bench/facts.py."""
    content = (DATA / "phone-p3.mpo").read_bytes()
    for n in range(400):
        (tmp_path / f"{n:03}.jpg").write_bytes(content + bytes([n % 256]) * 2000)
    found = read_facts(tmp_path, "UTC")
    assert len(found) == 400
    assert not any(f.problem for f in found)
