# ruff: noqa: E501 - rows of invented data are long
"""The dossier's pages: order, words, copies, conformance, and the same bytes twice."""

from __future__ import annotations

import hashlib
import io
import re
from collections.abc import Callable
from typing import Any

import msgspec
import pikepdf
import pypdfium2
import pytest

from dossier.account.lines import account_of
from dossier.account.parts import parts_now
from dossier.flows.verifying.drawable import MOST_EFFORT
from dossier.model.record import OpenRecord, Payload, PhotoDetails, Photograph, Sentence, WorkshopId
from dossier.model.rows import Note, Object, Part, Work
from dossier.model.words import SEEN
from dossier.pages import document
from dossier.pages.document import PageOptions
from dossier.pages.tagging import effort
from dossier.words import Catalogue

Make = Callable[..., PageOptions]
WORDS = Catalogue("en")

# DESIGN, "The dossier, page by page", by the heading of each, but for two that fill pages otherwise left half
# empty: condition, which is text, stands before the pictures; the manifest before the page on how to check.
ORDER = (
    "disclosure", "know_it", "condition", "map", "before_after", "covered", "register", "new_removed", "work_log",
    "materials", "care", "history", "agreements", "notes", "checking",
    "manifest", "receipt",  # in this order where the receipt has no room on the page before it
)  # fmt: skip


def text_of(pdf: bytes) -> list[str]:
    """The text of each page, by a reader of others (pdfium), with single spaces."""
    found = []
    with pypdfium2.PdfDocument(pdf) as opened:
        for page in opened:
            found.append(" ".join(page.get_textpage().get_text_bounded().split()))
    return found


def title(key: str) -> str:
    return WORDS.say(f"pages.{key}.title", date="5 March 2026")


@pytest.fixture(scope="module")
def workshop_pdf(rich_record: OpenRecord, rich_pictures: dict[str, bytes], page_options: Make) -> bytes:
    return document.draw(rich_record, rich_pictures, page_options())


@pytest.fixture(scope="module")
def resale_pdf(resale_record: OpenRecord, rich_pictures: dict[str, bytes], page_options: Make) -> bytes:
    return document.draw(resale_record, rich_pictures, page_options(paper="Letter"))


def test_sections_stand_in_the_order_of_the_design(workshop_pdf: bytes) -> None:
    text = " ".join(text_of(workshop_pdf)[1:])  # the cover names a section too
    places = [text.find(title(key)) for key in ORDER]
    assert -1 not in places
    assert places == sorted(places)


def test_bookmarks_name_every_section(workshop_pdf: bytes) -> None:
    with pypdfium2.PdfDocument(workshop_pdf) as opened:
        names = [mark.get_title() for mark in opened.get_toc()]
    assert names[1:] == [title(key) for key in ORDER]


def test_no_heading_stands_alone_at_the_foot_of_a_page(
    workshop_pdf: bytes, resale_pdf: bytes, rich_pictures: dict[str, bytes], page_options: Make
) -> None:
    """Each section has at least 40 points of itself under the top of its heading's line, above the margin."""
    record, pictures = large(rich_pictures)
    for pdf in (workshop_pdf, resale_pdf, document.draw(record, pictures, page_options(code_text=""))):
        with pypdfium2.PdfDocument(pdf) as opened:
            for mark in list(opened.get_toc())[1:]:
                _, (_, top, _) = mark.get_dest().get_view()
                page = opened[mark.get_dest().get_index()]
                text = page.get_textpage().get_text_bounded(top=top - 20, bottom=65)
                assert len(text.split()) > 4, mark.get_title()


def test_the_two_pages_that_matter_most_are_pages_two_and_three(
    workshop_pdf: bytes, resale_pdf: bytes
) -> None:
    for pdf in (workshop_pdf, resale_pdf):
        pages = text_of(pdf)
        assert title("disclosure") in pages[1]
        assert title("know_it") in pages[2]
        assert title("condition") in pages[3]


def test_every_sentence_of_the_disclosure_is_on_page_two(
    workshop_pdf: bytes, rich_record: OpenRecord
) -> None:
    page = text_of(workshop_pdf)[1]
    for sentence in rich_record.payload.disclosure:
        assert sentence.text in page


@pytest.mark.parametrize(
    ("fixture", "size"), [("workshop_pdf", (595.28, 841.89)), ("resale_pdf", (612, 792))]
)
def test_paper_sizes(fixture: str, size: tuple[float, float], request: pytest.FixtureRequest) -> None:
    """ISO 216 A4 and ANSI Letter, in points."""
    with pikepdf.open(io.BytesIO(request.getfixturevalue(fixture))) as pdf:
        for page in pdf.pages:
            assert [float(v) for v in page.mediabox] == pytest.approx([0, 0, *size], abs=0.01)


def test_conforms(workshop_pdf: bytes, resale_pdf: bytes, assert_conforming: Callable[[bytes], None]) -> None:
    assert_conforming(workshop_pdf)
    assert_conforming(resale_pdf)


def test_same_record_same_bytes(
    workshop_pdf: bytes, rich_record: OpenRecord, rich_pictures: dict[str, bytes], page_options: Make
) -> None:
    shuffled = dict(reversed(rich_pictures.items()))
    assert document.draw(rich_record, shuffled, page_options()) == workshop_pdf


def test_every_photograph_is_shown_and_numbered(workshop_pdf: bytes, rich_pictures: dict[str, bytes]) -> None:
    text = " ".join(text_of(workshop_pdf))
    with pikepdf.open(io.BytesIO(workshop_pdf)) as pdf:
        placed = {hashlib.sha256(image.read_raw_bytes()).hexdigest() for image in _images(pdf)}
    for number, jpeg in enumerate(rich_pictures.values(), 1):
        assert hashlib.sha256(jpeg).hexdigest() in placed
        assert f"Photograph {number} " in text


def _images(pdf: pikepdf.Pdf) -> list[Any]:
    return [
        item
        for item in pdf.objects
        if isinstance(item, pikepdf.Stream) and item.get("/Subtype") == pikepdf.Name.Image
    ]


def everything_in(pdf: bytes) -> bytes:
    """Every byte of the file and of every decoded stream, and every string decoded from UTF-16."""
    parts = [pdf]
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        for item in opened.objects:
            if isinstance(item, pikepdf.Stream) and item.get("/Subtype") != pikepdf.Name.Image:
                parts.append(item.read_bytes())
            parts += _strings(item)
    return b"\n".join([*parts, " ".join(text_of(pdf)).encode()])


def _strings(item: Any, depth: int = 0) -> list[bytes]:
    if isinstance(item, pikepdf.String):
        return [str(item).encode("utf-8", "replace")]
    if depth > 9 or not isinstance(item, pikepdf.Dictionary | pikepdf.Array | pikepdf.Stream):
        return []
    values = item.values() if not isinstance(item, pikepdf.Array) else item
    inner = [
        value for value in values if not getattr(value, "is_indirect", False)
    ]  # those come by themselves
    return [found for value in inner for found in _strings(value, depth + 1)]


SECRETS = (
    "Farrow", "Quist", "Tobias", "Quay Street", "960771", "GBP 1", "GBP 9", "GBP 2", "recent sales", "LFQ 77",
    "two halves", "on the telephone", "by e-mail", "IMG_", "Example Phone",
)  # fmt: skip


def test_nothing_that_is_left_out_is_anywhere_in_a_copy(resale_pdf: bytes, workshop_pdf: bytes) -> None:
    resale, workshop = everything_in(resale_pdf), everything_in(workshop_pdf)
    for secret in SECRETS:
        assert secret.encode() not in resale
    # The search itself works: what the workshop's copy has is found by it.
    for secret in ("Farrow", "GBP 1", "LFQ 77", "two halves"):
        assert secret.encode() in workshop


def test_a_photograph_that_is_left_out_is_not_placed(
    resale_pdf: bytes, rich_pictures: dict[str, bytes]
) -> None:
    """Even when its bytes are handed in."""
    gone = hashlib.sha256(rich_pictures["photo-013.jpg"]).hexdigest()
    with pikepdf.open(io.BytesIO(resale_pdf)) as pdf:
        assert gone not in {hashlib.sha256(image.read_raw_bytes()).hexdigest() for image in _images(pdf)}


def test_what_is_not_in_a_copy_is_said_where_it_would_stand(resale_pdf: bytes) -> None:
    pages = text_of(resale_pdf)
    text = " ".join(pages)
    for page in (pages[0], pages[1]):
        assert "the price, 1 opinion of worth, 1 private mark, 1 private note and 1 photograph" in page
    assert "1 private mark is not in this copy" in pages[2]
    assert "Photograph 13 is not in this copy" in text
    assert "9 · Pen tray: 1 of 1 photographs not in this copy" in text
    assert "1 private note is not in this copy" in text
    agreed = next(page for page in pages if title("agreements") in page)
    assert agreed.count("not in this copy") >= 6


def test_manifest_lists_the_photographs_of_this_copy_alone(
    resale_pdf: bytes, resale_record: OpenRecord
) -> None:
    text = " ".join(text_of(resale_pdf))
    for photograph in resale_record.payload.photographs:
        assert (photograph.sha256 in text) == (photograph.name in resale_record.photo_details)
    first = resale_record.payload.photographs[0]
    assert f"{first.name} returned 20 Apr 2026 {first.bytes} {first.sha256}" in text


def test_a_draft_is_marked_on_every_page(
    rich_record: OpenRecord, rich_pictures: dict[str, bytes], page_options: Make, assert_conforming: Any
) -> None:
    pdf = document.draw(
        rich_record, rich_pictures, page_options(draft=True, trial_key=True, code_text="", fingerprint="")
    )
    assert_conforming(pdf)
    pages = text_of(pdf)
    for page in pages:
        assert WORDS.say("pages.running.draft") in page
        assert WORDS.say("pages.running.draft_mark") in page
        assert WORDS.say("pages.running.trial") in page
    assert WORDS.say("pages.cover.draft") in pages[0]
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        assert "/AcroForm" not in opened.Root


def test_a_signed_dossier_has_one_invisible_field(workshop_pdf: bytes) -> None:
    with pikepdf.open(io.BytesIO(workshop_pdf)) as pdf:
        (field,) = pdf.Root.AcroForm.Fields
        assert str(field.T) == "Signature1"
        assert [float(v) for v in field.Rect] == [0, 0, 0, 0]
        assert "/V" not in field


def bare(**more: Any) -> OpenRecord:
    """A record in which next to nothing is said."""
    payload: dict[str, Any] = {
        "format": "1.0", "sd_alg": "sha-256", "iat": 0, "record": "urn:uuid:0", "job": "1", "language": "en",
        "workshop": WorkshopId(name="W"), "object": Object(type="chair"), "for_whom": "other",
    }  # fmt: skip
    return OpenRecord(payload=Payload(**(payload | more)), digest="0" * 64)


def test_an_empty_record_says_so_section_by_section(page_options: Make, assert_conforming: Any) -> None:
    pdf = document.draw(bare(), {}, page_options(code_text="", fingerprint=""))
    assert_conforming(pdf)
    text = " ".join(text_of(pdf))
    for key in (
        "cover.no_photograph", "none.kept", "none.new", "none.changed", "know_it.none", "know_it.no_marks", "map.none",
        "condition.none", "condition.no_could_not_see", "before_after.none", "covered.none", "register.none",
        "new_removed.none", "work_log.none", "work_log.no_firms", "materials.none", "care.none", "history.none",
        "agreements.none", "checking.no_fingerprint", "receipt.nothing", "manifest.none",
    ):  # fmt: skip
        assert WORDS.say(f"pages.{key}") in text, key


HOSTILE = (
    "<b>bold</b> & <a href='http://example.org'>x</a> <img src='/etc/passwd'/>",
    "unclosed <b",
    "\x00\x01\x07 control \u202e reversed \ufeff",
    "\u4e2d\u6587 \U0001f600 \u05d0",
    "a" * 1500,
    "word " * 700,
    "line\n" * 70,
    "{braces} {0} %s",
)


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_any_text_lays_out_as_text(text: str, page_options: Make, assert_conforming: Any) -> None:
    """Names, values and notes of any length and letters: laid out, never run as markup, never a traceback."""
    part = Part(
        number=text[:40] or "1", part=text, material=text, condition=text, new_material=text, why=text
    )
    record = bare(
        job=text[:300],
        workshop=WorkshopId(name=text, address=text, telephone=text[:200]),
        object=Object(type=text, title=text, description=text, materials=(text, text)),
        condition=text,
        parts=(part,),
        work=(
            Work(
                number=1, who=text, parts=(part.number,), done="replaced", how=text, product=text, batch=text
            ),
        ),
        disclosure=(Sentence(group="new", text=text),),
        notes=(Note(title=text, text=text),),
    )
    pdf = document.draw(record, {}, page_options(code_text=""))
    assert_conforming(pdf)


def test_letters_that_no_font_has_are_named(page_options: Make) -> None:
    pdf = document.draw(bare(condition="\ue000\u202e"), {}, page_options(code_text=""))
    assert "[U+E000][U+202E]" in " ".join(text_of(pdf))


def large(rich_pictures: dict[str, bytes]) -> tuple[OpenRecord, dict[str, bytes]]:
    """200 parts, 200 lines of work, 200 sentences, 400 photographs."""
    parts = tuple(
        Part(
            number=str(n),
            part=f"Part {n} of many",
            seen=SEEN[n % 3],
            came_as="original",
            material="oak",
            condition="worn",
        )
        for n in range(1, 201)
    )
    work = tuple(
        Work(
            number=n,
            date="2026-03-01",
            who="A",
            parts=(str(n),),
            done=("cleaned", "replaced")[n % 2],
            how="by hand",
        )
        for n in range(1, 201)
    )
    names = [f"photo-{n:03}.jpg" for n in range(1, 401)]
    photographs = tuple(
        Photograph(
            name=name,
            bytes=1,
            sha256="0" * 64,
            media_type="image/jpeg",
            stage="working",
            parts=(str(n % 200 + 1),),
        )
        for n, name in enumerate(names)
    )
    now = parts_now(parts, work)
    said = tuple(Sentence(group="worked_on", text=f"Part {n} was cleaned.") for n in range(200))
    record = bare(
        parts=parts,
        work=work,
        parts_now=now,
        account=account_of(parts, now),
        photographs=photographs,
        disclosure=said,
    )
    details = {name: PhotoDetails(name=name, file=name, caption=f"View {name}") for name in names}
    jpegs = list(rich_pictures.values())
    pictures = {name: jpegs[n % 13] for n, name in enumerate(names)}
    return msgspec.structs.replace(record, photo_details=details), pictures


def test_two_hundred_parts_and_four_hundred_photographs(
    rich_pictures: dict[str, bytes], page_options: Make
) -> None:
    record, pictures = large(rich_pictures)
    with effort.within(MOST_EFFORT // 2):  # such a one is drawn by a check too, with twice as much to say
        pdf = document.draw(record, pictures, page_options(code_text=""))
    text = " ".join(text_of(pdf))
    assert all(f"View {name}" in text for name in pictures)
    assert all(f"Part {n} of many" in text for n in range(1, 201))
    assert len(re.findall(r"photo-\d{3}\.jpg working not said 1 0{64}", text)) == 400  # no file says a time


@pytest.mark.campaign
def test_a_large_dossier_conforms(
    rich_pictures: dict[str, bytes], page_options: Make, assert_conforming: Any
) -> None:
    record, pictures = large(rich_pictures)
    assert_conforming(document.draw(record, pictures, page_options(code_text="")))
