"""What an original carries: real cameras' files as exifread and Pillow see them, and each kind by itself."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from pathlib import Path

import exifread
import pillow_heif
import pytest
from hypothesis import given
from hypothesis import strategies as st
from photo_files import exif_of, saved
from PIL import Image, ImageCms

from dossier.intake import photo_profile
from dossier.intake.photo_clear import ALL, carried
from dossier.intake.photographs import read_facts

DATA = Path(__file__).resolve().parents[2] / "data" / "photographs"
MODEL = {0x0110: "L 5"}  # Pillow writes no block into a PNG whose first directory is empty
REAL = sorted(path.name for path in DATA.iterdir() if path.suffix in {".jpg", ".mpo", ".tif", ".tiff"})


def of(folder: Path, content: bytes) -> tuple[str, ...]:
    (folder / "a").write_bytes(content)
    return carried(folder / "a")


@pytest.mark.parametrize("name", REAL)
def test_real_files_against_exifread_and_pillow(name: str) -> None:
    """What exifread finds of a place, a maker's notes or a small picture is never called cleared."""
    with (DATA / name).open("rb") as file:
        told = exifread.process_file(file)
    with Image.open(DATA / name) as image:
        several = getattr(image, "n_frames", 1) > 1
    found = carried(DATA / name)
    assert ("GPS GPSLatitude" in told) <= ("position" in found)
    assert any(tag.startswith("MakerNote") or "MakerNote" in tag for tag in told) <= ("notes" in found)
    assert ("JPEGThumbnail" in told or several) <= ("pictures" in found)
    assert ("EXIF BodySerialNumber" in told) <= ("number" in found)


def test_some_real_files_are_cleared() -> None:
    """A telephone's with its camera, time and a directory for a place that holds none."""
    assert carried(DATA / "phone-turned.jpg") == ()
    assert carried(DATA / "deep.tiff") == ()


def behind_the_start(segment: bytes) -> bytes:
    plain = saved()
    return plain[:2] + segment + plain[2:]


def app(number: int, body: bytes) -> bytes:
    return behind_the_start(bytes([0xFF, 0xE0 + number]) + struct.pack(">H", len(body) + 2) + body)


def chunk(kind: bytes, body: bytes) -> bytes:
    plain = saved("PNG")
    check = struct.pack(">I", zlib.crc32(kind + body))
    return plain[:33] + struct.pack(">I", len(body)) + kind + body + check + plain[33:]


def with_small_picture() -> bytes:
    """A second directory in the block, of TIFF 6.0's form, with the small picture's two tags."""
    second = struct.pack(">HHHIIHHIII", 2, 513, 4, 1, 8, 514, 4, 1, 2, 0)
    first = struct.pack(">HHHIHHI", 1, 274, 3, 1, 1, 0, 8 + 18)
    return app(1, b"Exif\0\0MM\0*\0\0\0\x08" + first + second)


def directory(*entries: tuple[int, int, int, int]) -> bytes:
    body = b"".join(struct.pack(">HHII", *entry) for entry in entries)
    return struct.pack(">H", len(entries)) + body + bytes(4)


def pointing(*tags: int) -> bytes:
    """The first directory of a block, each of its entries to the place behind it."""
    behind = 8 + 2 + 12 * len(tags) + 4
    return directory(*((tag, 4, 1, behind) for tag in tags))


DIRECTORY = directory((274, 3, 1, 1 << 16))


CASES = {
    "plain": (saved, ()),
    "camera and time": (
        lambda: saved(exif=exif_of(root={0x0110: "L 5"}, details={0x9003: "2026:03:01 09:00:00"})),
        (),
    ),
    "a version of places alone": (lambda: saved(exif=exif_of(gps={0: b"\2\3\0\0"})), ()),
    "colours": (lambda: app(2, b"ICC_PROFILE\0\1\1" + profile("sRGB built-in")), ()),
    "place": (lambda: saved(exif=exif_of(gps={2: (47.0, 30.0, 0.0)})), ("position",)),
    "place in a PNG": (
        lambda: saved("PNG", exif=exif_of(root=MODEL, gps={2: (47.0, 30.0, 0.0)})),
        ("position",),
    ),
    "serial number": (lambda: saved(exif=exif_of(details={0xA431: "77001"})), ("number",)),
    "lens's number": (lambda: saved(exif=exif_of(details={0xA435: "77001"})), ("number",)),
    "owner's name": (lambda: saved(exif=exif_of(details={0xA430: "A Name"})), ("number",)),
    "maker's notes": (lambda: saved(exif=exif_of(details={0x927C: b"notes"})), ("notes",)),
    "small picture": (with_small_picture, ("pictures",)),
    "small picture of JFXX": (lambda: app(0, b"JFXX\0\x10" + bytes(20)), ("pictures",)),
    "an editor's block": (lambda: app(13, b"Photoshop 3.0\0" + bytes(20)), ("pictures", "words")),
    "small picture that no directory names any more": (
        lambda: app(1, b"Exif\0\0MM\0*\0\0\0\x08" + DIRECTORY + saved(size=(9, 9))),
        ("pictures",),
    ),
    "notes that no directory names any more": (
        lambda: app(1, b"Exif\0\0MM\0*\0\0\0\x08" + DIRECTORY + b"77001"),
        ("notes",),
    ),
    "words behind the rules of exchange": (
        lambda: app(1, b"Exif\0\0MM\0*\0\0\0\x08" + pointing(0xA005) + directory((0xC999, 2, 1, 0))),
        ("words",),
    ),
    "two directories for places": (
        lambda: app(1, b"Exif\0\0MM\0*\0\0\0\x08" + pointing(0x8825, 0x8825) + directory((0, 1, 1, 0))),
        ALL,
    ),
    "behind the density": (lambda: app(0, b"JFIF\0\1\1\0\0\1\0\1\0\0here"), ("pictures",)),
    "behind the colours' coding": (lambda: app(14, b"Adobe\0d\0\0\0\0\0here"), ("notes",)),
    "a marker of no picture": (lambda: behind_the_start(b"\xff\xf0\0\x06here"), ("notes",)),
    "a marker without a length hides a segment": (
        lambda: behind_the_start(b"\xff\x01\xff\xfe\0\x06here"),
        ("words",),
    ),
    "between two segments": (lambda: saved()[:20] + b"here" + saved()[20:], ("words",)),  # behind JFIF's
    "more pictures": (lambda: app(2, b"MPF\0" + bytes(20)), ("pictures",)),
    "picture behind": (lambda: saved() + saved(size=(9, 9)), ("pictures",)),
    "film behind": (lambda: saved() + b"\0\0\0\x14ftypmp42" + bytes(99), ("pictures",)),
    "a gain map's segment": (lambda: app(2, b"urn:iso:std:iso:ts:21496:-1\0" + bytes(9)), ("notes",)),
    "XMP": (lambda: app(1, b"http://ns.adobe.com/xap/1.0/\0<x/>"), ("words",)),
    "remark": (lambda: behind_the_start(b"\xff\xfe\0\x09remark!"), ("words",)),
    "user's remark": (lambda: saved(exif=exif_of(details={0x9286: b"ASCII\0\0\0here"})), ("words",)),
    "words in a PNG": (lambda: chunk(b"tEXt", b"Comment\0here"), ("words",)),
    "a tag nobody knows": (lambda: saved(exif=exif_of(root={0xC999: "x"})), ("words",)),
    "no picture": (lambda: b"words", ALL),
    "an Exif block that cannot be read": (lambda: app(1, b"Exif\0\0MM\0*\0\0\xff\0" + bytes(9)), ALL),
}


@pytest.mark.parametrize("case", CASES)
def test_each_kind(tmp_path: Path, case: str) -> None:
    content, kinds = CASES[case]
    assert of(tmp_path, content()) == kinds


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF"])
@pytest.mark.parametrize("big", [False, True])
def test_by_form(tmp_path: Path, kind: str, big: bool) -> None:
    options = {"big_tiff": big} if kind == "TIFF" else {}
    telling = saved(kind, exif=exif_of(root=MODEL | {0x013B: "A Name"}), **options)
    assert of(tmp_path, saved(kind, **options)) == ()
    assert of(tmp_path, telling) == ("number",)


@given(st.binary(max_size=300), st.integers(2, 400))
def test_any_bytes_within_end(tmp_path_factory: pytest.TempPathFactory, noise: bytes, at: int) -> None:
    plain = saved(exif=exif_of(details={0xA431: "77001"}))
    found = of(tmp_path_factory.mktemp("any"), plain[:at] + noise + plain[at:])
    assert set(found) <= set(ALL)


def test_a_progressive_picture_has_one_end(tmp_path: Path) -> None:
    """Its scans have tables between them; only what stands behind the end is another picture."""
    out = BytesIO()
    Image.effect_noise((200, 150), 60).convert("RGB").save(out, "JPEG", progressive=True)
    assert of(tmp_path, out.getvalue()) == ()


def heic(**options: object) -> bytes:
    out = BytesIO()
    picture = Image.effect_noise((200, 150), 60).convert("RGB")
    pillow_heif.from_pillow(picture).save(out, quality=60, **options)
    return out.getvalue()


def box(kind: bytes, content: bytes) -> bytes:
    return struct.pack(">I", 8 + len(content)) + kind + content


HEIC = {
    "plain": (heic, ()),
    "room kept free": (lambda: heic() + box(b"free", bytes(9)), ()),
    "camera": (lambda: heic(exif=exif_of(root=MODEL)), ()),
    "place": (lambda: heic(exif=exif_of(gps={2: (47.0, 30.0, 0.0)})), ("position",)),
    "XMP": (lambda: heic(xmp=b"<x/>"), ("words",)),
    "small picture": (lambda: heic(thumbnails=[64]), ("pictures",)),
    "film behind": (lambda: heic() + box(b"mpvd", b"\0\0\0\x14ftypmp42"), ("pictures",)),
    "behind its boxes": (lambda: heic() + b"here", ("pictures",)),
    "a box of its own": (lambda: heic() + box(b"uuid", bytes(16) + b"here"), ("words",)),
    "words where nothing is": (lambda: heic() + box(b"free", b"here"), ("words",)),
    "bytes of no item": (lambda: heic() + box(b"mdat", b"here"), ("notes",)),
}


@pytest.mark.parametrize("case", HEIC)
def test_each_kind_in_a_heic(tmp_path: Path, case: str) -> None:
    """As libheif writes them (pillow-heif); the boxes behind are those of telephones (common practice)."""
    content, kinds = HEIC[case]
    assert of(tmp_path, content()) == kinds


def profile(name: str, extra: bytes = b"", second: bytes = b"none") -> bytes:
    """Pillow's sRGB (lcms) under another name (ICC.1:2022, 10.15), `extra` instead of its note of rights."""
    made = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    rights = made.index(b"cprt", 128)
    described = named(en=name)
    renamed = made[: made.index(b"desc", 128) + 4] + struct.pack(">II", len(made), len(described))
    renamed += made[len(renamed) :] + described
    if extra:
        renamed = (
            renamed[:rights] + extra + struct.pack(">II", len(renamed), len(second)) + renamed[rights + 12 :]
        )
        renamed += second
    return struct.pack(">I", len(renamed)) + renamed[4:]


def named(**texts: str) -> bytes:
    words = {language: text.encode("utf-16-be") for language, text in texts.items()}
    start, rows = 16 + 12 * len(words), b""
    for language, text in words.items():
        rows += struct.pack(">2s2sII", language.encode(), b"US", len(text), start)
        start += len(text)
    return struct.pack(">4s4xII", b"mluc", len(words), 12) + rows + b"".join(words.values())


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "HEIF"])
def test_a_screens_own_profile_is_told(tmp_path: Path, kind: str) -> None:
    """Its name may be its owner's. sRGB as Pillow makes it may go."""

    def under(icc: bytes) -> tuple[str, ...]:
        return of(tmp_path, heic(icc_profile=icc) if kind == "HEIF" else saved(kind, icc_profile=icc))

    assert "words" not in under(profile("sRGB built-in"))
    assert "words" in under(profile("Nell's screen"))
    assert "words" in under(b"no profile at all")


def test_a_name_or_a_tag_beside_a_spaces_own_is_told() -> None:
    for theirs in ("Bildschirm von Nell", "sRGB\0Nell", ""):
        beside = named(en="sRGB built-in", de=theirs)
        assert not photo_profile.well_known(profile("sRGB built-in", b"dscm", beside))
    assert not photo_profile.well_known(profile("Nell's screen", b"dscm", named(en="sRGB", de="sRGB")))
    assert not photo_profile.well_known(profile("sRGB built-in", b"mmod"))


@pytest.mark.parametrize(
    ("tag", "said", "goes"),
    [
        # As in the profiles of real files (common practice, no source).
        (b"cprt", "Copyright (c) 1998 Hewlett-Packard Company", True),
        (b"cprt", "Nikon Inc. & Nikon Corporation 2002", True),
        (b"cprt", "Copyright International Color Consortium, 2009", True),
        (b"cprt", "Public Domain", True),
        (b"dmnd", "IEC http://www.iec.ch", True),
        (b"dmdd", "IEC 61966-2-1 Default RGB Colour Space - sRGB", True),
        (b"vued", "Reference Viewing Condition in IEC61966-2.1", True),
        (b"cprt", "Copyright 2024 Nell Amberley", False),
        (b"cprt", "made on Nell's computer", False),
        (b"dmdd", "sRGB, number 0612345678", False),
        (b"dmnd", "Copyright" * 5000, False),
    ],
)
@pytest.mark.parametrize("form", ["plain", "wide", "many"])
def test_what_a_plain_profile_says_besides_its_name(tag: bytes, said: str, goes: bool, form: str) -> None:
    """A note of rights had gone unread: it can name who made the profile (ICC.1:2001-04, 6.5.17)."""
    wide = said.encode("utf-16-be")
    held = {
        "plain": b"text" + bytes(4) + said.encode() + b"\0",
        "wide": b"desc" + bytes(4) + struct.pack(">I5s2I", 5, b"sRGB\0", 0, len(said)) + wide + bytes(70),
        "many": named(en=said),
    }
    assert photo_profile.well_known(profile("sRGB built-in", tag, held[form])) is goes


_LANGUAGES = ("da", "de", "es", "fi", "fr", "it", "nl", "pl", "pt", "sv")


@pytest.mark.parametrize("name", ["Generic RGB Profile", "Generic Gray Gamma 2.2 Profile"])
def test_a_name_in_many_languages_is_its_makers(name: str) -> None:
    """Only that of red, green and blue had gone, by a list of its translations."""
    languages = {code: f"{name} ({code})" for code in _LANGUAGES}
    assert photo_profile.well_known(profile(name, b"dscm", named(en=name, **languages)))
    screen = named(en="Nell's screen", **dict.fromkeys(languages, "Nell's screen"))
    assert not photo_profile.well_known(profile(name, b"dscm", screen))
    assert not photo_profile.well_known(profile(name, b"dscm", named(en=name, de="Nell")))


def test_a_screens_own_name_is_not_recorded(tmp_path: Path) -> None:
    """It had stood in the record, and so in copies for others."""
    (tmp_path / "a.jpg").write_bytes(saved(icc_profile=profile("Nell's screen")))
    (tmp_path / "b.jpg").write_bytes(saved(icc_profile=profile("sRGB built-in")))
    (tmp_path / "c.jpg").write_bytes(saved())
    assert [facts.profile for facts in read_facts(tmp_path, "UTC")] == ["other", "sRGB built-in", ""]


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        # As real files have them: common practice, no source.
        *((name, True) for name in ("sRGB IEC61966-2.1", "Display P3", "Adobe RGB (1998)", "Dot Gain 20%")),
        *((name, True) for name in ("Nikon sRGB 4.0.0.3001", "GIMP built-in sRGB", "Generic RGB Profile")),
        *((name, True) for name in ("sRGB2014", "eciRGB v2 ICCv4", "Rec2020 Gamut with HLG Transfer")),
        *(
            (name, False)
            for name in ("DELL U3415W", "Color LCD", "sRGB 0612345678", "sRGB of Nell", "sRGB 06 12 34")
        ),
    ],
)
def test_a_spaces_name_is_kept_and_no_number_with_it(said: str, kept: bool) -> None:
    assert photo_profile.name(profile(said)) == (said if kept else "other")
