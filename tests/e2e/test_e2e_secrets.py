"""A secret in every field that a copy may leave out, looked for in every byte of every copy.

Which copy carries what is read from the table of FORMAT.md section 5. What is looked for: the words as UTF-8,
UTF-16, hexadecimal and base64, their SHA-256 (a short text could be guessed from it), the pictures. Where:
all files, their names, every stream as pikepdf decodes it, the text that PDFium reads from pages, every
disclosure and the payload of the record. That the search finds them is shown where they may stand.
"""

from __future__ import annotations

import base64
import hashlib
import io
import json
import re
import shutil
import struct
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

import msgspec
import pikepdf
import pypdfium2
import pytest
from PIL import Image, ImageDraw

from dossier.model.record import OpenApart, PhotoDetails
from dossier.seal import record as seal

Run = Callable[..., Any]
ROOT = Path(__file__).parents[2]
COPIES = ("workshop", "owner", "resale", "insurer")
# Kind (FORMAT.md section 5) -> what only it holds.
SECRETS: dict[str, tuple[str, ...]] = {
    "owner": ("Zqownername", "Zqowneraddress", "Zqownerphone", "zqowner@mail.example"),
    "brought_by": ("Zqbroughtname", "Zqbroughtaddress", "Zqbroughtphone", "zqbrought@mail.example"),
    "payer": ("Zqpayername", "Zqpayeraddress", "Zqpayerphone", "zqpayer@mail.example"),
    "received_by": ("Zqreceivername", "Zqreceiveraddress", "Zqreceiverphone", "zqreceiver@mail.example"),
    "agreement_details": ("Zqagreedwhat", "Zqagreedhow", "Zqagreedby", "59281437"),
    "prices": ("48179302",),
    "values": (
        *("98761203", "98761304", "51020317", "51020405", "Zqvaluedby", "Zqbasisofvalue", "2026-06-17"),
        *("47740798", "47740987"),  # what it gained, reckoned from these
    ),
    "private_marks": ("Zqmarktext", "Zqmarkwhere", "Zqmarkkind"),
    "private_notes": ("Zqnotetitle", "Zqnotetext"),
    "inputs": ("zqnotefile",),
    "photograph": (
        "zqphotofile",
        "Zqcaptionwords",
        "Zqcameramaker",
        "Zqsoftware",
        "2026-03-02T12:41:04",  # the camera's 11:47:53, put right
        "53 min 11 s slow",
        "Zqplacenote",
        "Zqexifcomment",
        "Zqgpsdatum",
        "Zqthumbnail",
    ),
}
# Stands in the original and in no copy's record or pages: the file goes as it came, or not at all.
ONLY_IN_ORIGINAL = ("Zqexifcomment", "Zqgpsdatum", "Zqthumbnail")
WITH_ORIGINALS = ("workshop-beside", "workshop-inside")
PUBLIC = ("sheet.pdf", "sheet.txt", "sheet.jsonld", "card.pdf", "how-to-check.txt", "pages.json")

PEOPLE = "".join(
    f"""
[{table}]
name = "Zq{word}name"
address = "Zq{word}address"
telephone = "Zq{word}phone"
email = "zq{word}@mail.example"
"""
    for table, word in (
        ("brought_by", "brought"),
        ("payer", "payer"),
        ("received_by", "receiver"),
    )
)
VALUES = """
[[values]]
when = "before"
low = "51020317"
high = "51020405"
currency = "EUR"
date = "2026-03-02"
by = "Zqvaluedby"
basis = "Zqbasisofvalue"
[[values]]
when = "after"
low = "98761203"
high = "98761304"
currency = "EUR"
date = "2026-06-17"
by = "Zqvaluedby"
basis = "Zqbasisofvalue"
"""
# The word in conftest's job -> a secret in its place.
INSTEAD = {
    "Quillon Varnhagen": "Zqownername",
    "77 Hidden Street": "Zqowneraddress",
    "+43 1 555 0199": "Zqownerphone",
    "quillon@owner.example": "zqowner@mail.example",
    'price = "480 EUR"\n[object]': 'price = "48179302 EUR"\n[object]',
    '"new lining, strap cleaned and fed"\nprice = "480 EUR"': (
        '"Zqagreedwhat"\nhow = "Zqagreedhow"\nby = "Zqagreedby"\nprice = "59281437 EUR"'
    ),
    'text = "monogram Zyxquorum"\nwhere = "under the lining"': (
        'text = "Zqmarktext"\nkind = "Zqmarkkind"\nwhere = "Zqmarkwhere"\nphotograph = "zqphotofile.jpg"'
    ),
}


def exif() -> bytes:
    """EXIF (TIFF 6.0) with a camera, a comment, a GPS datum and a thumbnail that holds a word."""
    small = io.BytesIO()
    Image.new("RGB", (16, 12), (9, 9, 9)).save(small, "JPEG", comment=b"Zqthumbnail")
    thumbnail, out = small.getvalue(), bytearray(b"II*\0\x08\0\0\0")
    late: list[tuple[int, bytes]] = []

    def directory(entries: list[tuple[int, int, bytes | int]], following: bool) -> None:
        """Entries of tag, type (2 text, 4 number), and what it is; texts go behind the directories."""
        out.extend(struct.pack("<H", len(entries)))
        for tag, kind, content in entries:
            if isinstance(content, bytes):
                out.extend(struct.pack("<HHI", tag, kind, len(content)))
                late.append((len(out), content))
                out.extend(bytes(4))
            else:
                out.extend(struct.pack("<HHII", tag, kind, 1, content))
        out.extend(struct.pack("<I", len(out) + 4 if following else 0))

    size = {n: 2 + 12 * n + 4 for n in (1, 2, 5)}
    second = 8 + size[5]
    comment, place = second + size[2], second + 2 * size[2]
    end = place + size[1]
    directory(
        [
            (0x010F, 2, b"Zqcameramaker\0"),
            (0x0110, 2, b"Zqcameramaker 12\0"),
            (0x0131, 2, b"Zqsoftware\0"),
            (0x8769, 4, comment),
            (0x8825, 4, place),
        ],
        True,
    )
    directory([(0x0201, 4, end), (0x0202, 4, len(thumbnail))], False)
    directory([(0x9003, 2, b"2026:03:02 11:47:53\0"), (0x9286, 7, b"ASCII\0\0\0Zqexifcomment")], False)
    directory([(0x0012, 2, b"Zqgpsdatum\0")], False)
    assert len(out) == end
    out.extend(thumbnail)
    for at, content in late:
        out[at : at + 4] = struct.pack("<I", len(out))
        out.extend(content)
    return b"Exif\0\0" + bytes(out)


@pytest.fixture(scope="module")
def planted(job: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The job of the other tests with a secret in every field."""
    home = tmp_path_factory.mktemp("planted")
    shutil.copytree(job.parent, home / "shop")
    folder = home / "shop" / job.name
    text = (folder / "job.toml").read_text(encoding="utf-8")
    for word, secret in INSTEAD.items():
        assert word in text, word
        text = text.replace(word, secret)
    (folder / "job.toml").write_text(text + PEOPLE + VALUES, encoding="utf-8")
    (folder / "notes" / "private-note.md").unlink()
    (folder / "notes" / "private-zqnotefile.md").write_text(
        "# Zqnotetitle\n\nZqnotetext.\n", encoding="utf-8"
    )
    (folder / "photos" / "private.jpg").unlink()
    picture = Image.new("RGB", (1200, 900), (80, 80, 120))
    ImageDraw.Draw(picture).rectangle((300, 300, 700, 600), fill=(200, 30, 30))
    picture.save(folder / "photos" / "zqphotofile.jpg", exif=exif())
    rows = (folder / "photos.csv").read_text(encoding="utf-8")
    rows = rows.replace("cover,private\n", "cover,private,clock\n").replace(
        "private.jpg,looked at,1,,The monogram,,yes",
        "zqphotofile.jpg,received,4,P2,Zqcaptionwords,,yes,53 min 11 s slow",
    )
    rows = rows.replace("lining.png,opened,4,P2", "lining.png,opened,4,")
    (folder / "photos.csv").write_text(rows, encoding="utf-8")
    (folder / "marks.csv").write_text(
        "file,number,place,at,part,note\nzqphotofile.jpg,1,point,40;45,4,Zqplacenote\n", encoding="utf-8"
    )
    (folder / "measurements.csv").write_text(
        "what,value,unit,how\nwidth,312,mm,on zqphotofile.jpg by scale 1 (100 mm)\n", encoding="utf-8"
    )
    return folder


@pytest.fixture(scope="module")
def made(planted: Path, run: Run, tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[str, Path]]:
    """Every copy by a name of its own: which copy it is, and its folder."""
    home = tmp_path_factory.mktemp("copies")
    found: dict[str, tuple[str, Path]] = {}
    for copy, originals in [("workshop", "beside"), ("workshop", "inside"), *((c, "") for c in COPIES[1:])]:
        name = f"{copy}-{originals or 'alone'}"
        asked = ["--originals", originals] if originals else []
        ran = run("compile", planted, "--to", home / name, "--copy", copy, *asked)
        assert ran.code == 0, ran.err
        found[name] = copy, home / name
    for source in ("workshop-beside", "owner-alone"):
        for copy in COPIES[1:]:
            name = f"{copy}-held-of-{source}"
            ran = run("copy", home / source, "--for", copy, "--to", home / name)
            assert ran.code == 0, ran.err
            found[name] = copy, home / name
    return found


@pytest.fixture(scope="module")
def carried() -> dict[str, dict[str, bool]]:
    """The table of FORMAT.md: copy -> kind -> whether it has it; of photographs, the private ones."""
    text = (ROOT / "schemas" / "FORMAT.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| `(?:apart|photographs)[^`]*` \| (\w+) \| \w+ \|(.*)\|$", text, re.MULTILINE)
    assert {kind for kind, _ in rows} == set(SECRETS)
    table: dict[str, dict[str, bool]] = {copy: {} for copy in COPIES}
    for kind, cells in rows:
        for copy, cell in zip(COPIES, cells.split("|"), strict=True):
            table[copy][kind] = cell.strip() == "yes"
    return table


def forms(word: str) -> Iterator[bytes]:
    """How a word can stand in a file; in base64 three ways, by where it begins, without the ends."""
    for data in {word.encode(), word.encode("utf-16-be"), word.encode("utf-16-le"), word[::-1].encode()}:
        yield data
        yield data.hex().encode()
        yield data.hex().upper().encode()
        for before in range(3):
            for letters in (base64.b64encode, base64.urlsafe_b64encode):
                yield letters(bytes(before) + data).rstrip(b"=")[4 if before else 0 : -1]
    digest = hashlib.sha256(word.encode())
    yield digest.digest()
    yield digest.hexdigest().encode()
    yield base64.urlsafe_b64encode(digest.digest()).rstrip(b"=")


def of_pdf(path: Path) -> Iterator[bytes]:
    with pikepdf.open(path) as pdf:
        for one in pdf.objects:
            if isinstance(one, pikepdf.Stream):
                try:
                    yield one.read_bytes()
                except pikepdf.PdfError:
                    yield one.read_raw_bytes()
            else:
                yield bytes(one.unparse()) if not isinstance(one, (int, bool)) else b""
        yield b"\n".join(str(value).encode() for value in pdf.docinfo.values())
    with pypdfium2.PdfDocument(path) as document:
        for page in document:
            yield page.get_textpage().get_text_range().encode()


def of_record(path: Path) -> Iterator[bytes]:
    """Payload, headers and disclosures, base64url decoded (RFC 7515, RFC 9901)."""
    record = json.loads(path.read_bytes())
    texts = [record["payload"]]
    for signature in record["signatures"]:
        texts += [signature["protected"], *signature.get("header", {}).get("disclosures", [])]
    for text in texts:
        yield base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def everything(folder: Path, *, names: tuple[str, ...] = ()) -> bytes:
    """All that can be read in a folder, or of the files named."""
    pieces: list[bytes] = []
    for path in sorted(folder.rglob("*")):
        if path.is_file() and (not names or path.name in names):
            pieces += [path.name.encode(), path.read_bytes()]
            if path.suffix == ".pdf":
                pieces += of_pdf(path)
            if path.name == "record.json":
                pieces += of_record(path)
    return b"\n".join(pieces)


def found_in(whole: bytes, words: tuple[str, ...]) -> list[str]:
    low = whole.lower()
    return [
        word for word in words if word.lower().encode() in low or any(form in whole for form in forms(word))
    ]


def test_no_copy_holds_what_it_leaves_out(
    made: dict[str, tuple[str, Path]], carried: dict[str, dict[str, bool]]
) -> None:
    for name, (copy, folder) in made.items():
        whole = everything(folder)
        leaked = {kind: found_in(whole, words) for kind, words in SECRETS.items() if not carried[copy][kind]}
        assert not any(leaked.values()), (name, leaked)


def test_the_search_finds_them_where_they_may_stand(
    made: dict[str, tuple[str, Path]], carried: dict[str, dict[str, bool]]
) -> None:
    """Else the test above could not fail. What stands in originals only goes with these."""
    for name, (copy, folder) in made.items():
        whole = everything(folder)
        for kind, words in SECRETS.items():
            if carried[copy][kind]:
                wanted = [w for w in words if w not in ONLY_IN_ORIGINAL or name in WITH_ORIGINALS]
                assert found_in(whole, tuple(wanted)) == wanted, (name, kind)


def test_no_copy_for_others_holds_what_a_camera_wrote(made: dict[str, tuple[str, Path]]) -> None:
    """Not even the owner's, whose record names the camera: no comment, position, older small picture."""
    for name, (_, folder) in made.items():
        found = found_in(everything(folder), ONLY_IN_ORIGINAL)
        assert found == (list(ONLY_IN_ORIGINAL) if name in WITH_ORIGINALS else []), name


# Texts that hold no secret here: words of closed lists; numbers and neutral names that the payload has too;
# what is worked out from the pixels, looked for as pictures; digests and figures that a test cannot choose.
WITHOUT = frozenset(
    {
        *("Mark.known_from", "PhotoPlace.kind", "Value.when", "Value.currency"),
        *("Annotation.context", "Annotation.motivation", "Annotation.type", "Selector.type", "Target.type"),
        *("Selector.conforms_to", "TextualBody.type", "TextualBody.format", "TextualBody.purpose"),
        *("TextualBody.language", "PhotoDetails.taken_zone", "PhotoDetails.profile", "PhotoDetails.problem"),
        *("AgreementDetail.number", "Mark.photograph", "PhotoDetails.name", "PhotoPlace.number"),
        *("PhotoPlace.part", "Annotation.id", "Target.source", "Selector.value", "Laid.over"),
        *("Laid.refused", "Laid.figures", "Laid.homography", "Laid.residual", "Laid.shown_sha256"),
        *("PhotoDetails.shown_sha256", "PhotoDetails.body_digest", "Input.sha256"),
    }
)


def leaves(value: msgspec.Struct) -> Iterator[tuple[str, str]]:
    """Each text in an opened disclosure, with its place in the model."""
    for one in msgspec.structs.fields(value):
        inside = getattr(value, one.name)
        for item in inside if isinstance(inside, tuple) else [inside]:
            if isinstance(item, msgspec.Struct):
                yield from leaves(item)
            elif isinstance(item, str):
                yield f"{type(value).__name__}.{one.name}", item


def texts_of_model(kind: Any) -> Iterator[str]:
    """Each place of a text in what may be left out, by the types of the model."""
    for one in msgspec.structs.fields(kind):
        inside = [part for part in get_args(one.type) if part is not Ellipsis] or [one.type]
        for part in inside:
            if isinstance(part, type) and issubclass(part, msgspec.Struct):
                yield from texts_of_model(part)
            elif part is str or get_origin(part) is Literal or isinstance(part, str):
                yield f"{kind.__name__}.{one.name}"


def test_every_text_that_may_be_left_out_has_a_secret(made: dict[str, tuple[str, Path]]) -> None:
    """By the model, so that a new field cannot be forgotten here."""
    opened = seal.open_record(seal.from_json((made["workshop-beside"][1] / "record.json").read_bytes()))
    said = [*leaves(opened.apart)]
    for details in opened.photo_details.values():
        said += leaves(details)
    words = tuple(word for some in SECRETS.values() for word in some)
    secret = {place for place, text in said if any(word.lower() in text.lower() for word in words)}
    wanted = {*texts_of_model(OpenApart), *texts_of_model(PhotoDetails)}
    assert sorted(wanted - secret - WITHOUT) == []
    assert sorted(WITHOUT - wanted) == []


def test_what_is_for_anybody_holds_none_of_it_in_any_copy(made: dict[str, tuple[str, Path]]) -> None:
    """The sheet in its three forms, the card and its code, and how to check are shown to whoever asks."""
    words = tuple(word for some in SECRETS.values() for word in some)
    for name, (_, folder) in made.items():
        assert found_in(everything(folder, names=PUBLIC), words) == [], name


def test_the_payload_holds_none_of_it(made: dict[str, tuple[str, Path]]) -> None:
    """It is the same in every copy."""
    payloads = {
        next(of_record(folder / "record.json")) for name, (_, folder) in made.items() if "held" in name
    }
    words = tuple(word for some in SECRETS.values() for word in some)
    for payload in payloads:
        assert found_in(payload, words) == []


def test_digests_of_what_was_typed_stand_in_the_workshops_copy_alone(
    planted: Path, made: dict[str, tuple[str, Path]]
) -> None:
    """Whoever knows all of a short text but the price could try all prices."""
    inputs = [p for p in planted.rglob("*") if p.is_file() and "photos" not in p.parts]
    digests = [hashlib.sha256(path.read_bytes()).hexdigest().encode() for path in inputs]
    for name, (copy, folder) in made.items():
        whole = everything(folder)
        held = [digest for digest in digests if digest in whole or bytes.fromhex(digest.decode()) in whole]
        assert held == [] if copy != "workshop" else len(held) >= 5, name


def test_no_picture_of_a_private_photograph_is_left(made: dict[str, tuple[str, Path]]) -> None:
    """Neither the one that pages show, nor one laid over another: no red rectangle anywhere."""
    for name, (copy, folder) in made.items():
        reds = sum(is_red(image) for path in folder.rglob("*.pdf") for image in images_of(path))
        reds += sum(is_red(Image.open(path)) for path in folder.rglob("photo-*.jpg"))
        assert (reds > 0) is (copy in ("workshop", "owner")), name


def images_of(path: Path) -> Iterator[Image.Image]:
    with pikepdf.open(path) as pdf:
        for one in pdf.objects:
            if isinstance(one, pikepdf.Stream) and one.get("/Subtype") == "/Image":
                yield pikepdf.PdfImage(one).as_pil_image()
        for attached in pdf.attachments.values():
            content = attached.get_file().read_bytes()
            if content.startswith(b"\xff\xd8"):
                yield Image.open(io.BytesIO(content))


def is_red(image: Image.Image) -> bool:
    """Whether a hundredth of it is of the red that only the private photograph has."""
    small = image.convert("RGB").resize((60, 45))
    data = small.tobytes()
    pixels = list(zip(data[::3], data[1::3], data[2::3], strict=True))
    return sum(r > 150 and g < 90 and b < 90 for r, g, b in pixels) > len(pixels) / 100


def test_left_out_by_its_number_nothing_of_a_photograph_stays(
    made: dict[str, tuple[str, Path]], run: Run, tmp_path: Path
) -> None:
    """A photograph that is not private, left out by a holder: its name tells nothing, its digest stays."""
    owners = made["owner-alone"][1]
    words = ("before.jpg", "The satchel as it came")
    assert found_in(everything(owners), words) == list(words)
    (disclosure,) = (one for one in of_record(owners / "record.json") if words[1].encode() in one)
    target = json.loads(disclosure)[1]["name"]
    ran = run("copy", owners, "--without", target, "--for", "owner", "--to", tmp_path / "bare")
    assert ran.code == 0, ran.err
    whole = everything(tmp_path / "bare")
    assert found_in(whole, words) == []
    payload = json.loads(next(of_record(owners / "record.json")))
    (listed,) = (one for one in payload["photographs"] if one["name"] == target)
    assert listed["sha256"].encode() in whole
