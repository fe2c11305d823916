"""The sheet and the cards: one page each, the same truth, and no more than a copy has."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import msgspec
import pikepdf
import pypdfium2
import pytest

from dossier.model.record import OpenRecord, Sentence
from dossier.model.rows import Advice
from dossier.pages import card, sheet
from dossier.pages.document import PageOptions
from dossier.words import LANGUAGES, Catalogue

Make = Callable[..., PageOptions]
WORDS = Catalogue("en")
PAPERS = ("A4", "Letter")


def text_of(pdf: bytes) -> str:
    with pypdfium2.PdfDocument(pdf) as opened:
        assert len(opened) == 1
        return " ".join(opened[0].get_textpage().get_text_bounded().split())


def with_sentences(record: OpenRecord, count: int) -> OpenRecord:
    groups = ("kept", "worked_on", "new", "changed")
    more = tuple(
        Sentence(group=groups[n % 4], text=f"Sentence {n} of many says a thing about part {n} of it.")
        for n in range(count)
    )
    payload = msgspec.structs.replace(record.payload, disclosure=more)
    return msgspec.structs.replace(record, payload=payload)


@pytest.mark.parametrize("paper", PAPERS)
def test_the_sheet_says_what_the_record_says(
    paper: str,
    resale_record: OpenRecord,
    rich_pictures: dict[str, bytes],
    page_options: Make,
    assert_conforming: Any,
) -> None:
    pdf = sheet.draw_sheet(resale_record, rich_pictures, page_options(paper=paper))
    assert_conforming(pdf)
    text = text_of(pdf)
    for sentence in resale_record.payload.disclosure:
        assert sentence.text in text
    for said in (
        "Know it by", "A knot in the shape of a comma", WORDS.say("pages.sheet.cannot"), "+44 1632 960014",
        resale_record.payload.record, "1 opinion of worth", "maker: J. Pell, cabinet maker (from a paper)",
    ):  # fmt: skip
        assert said in text
    for secret in ("Farrow", "GBP", "LFQ"):
        assert secret not in text
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        leads_to = [str(one.A.URI) for one in opened.pages[0].Annots]
    assert leads_to == [resale_record.payload.workshop.verification_page]


def test_a_sheet_is_one_page_also_with_names_of_four_lines(
    resale_record: OpenRecord, rich_pictures: dict[str, bytes], page_options: Make
) -> None:
    """The code and how to check had gone to a second."""
    payload = resale_record.payload
    long = " with the bracket that nobody has a name for" * 3
    parts = tuple(msgspec.structs.replace(part, part=f"{part.part}{long}") for part in payload.parts)
    known = tuple(msgspec.structs.replace(row, what=row.what + long) for row in payload.know_it_by) * 3
    record = msgspec.structs.replace(
        with_sentences(resale_record, 60),
        payload=msgspec.structs.replace(payload, parts=parts, know_it_by=known),
    )
    assert "How to check" in text_of(sheet.draw_sheet(record, rich_pictures, page_options()))


@pytest.mark.parametrize("paper", PAPERS)
def test_a_sheet_is_one_page_also_with_much_advice_and_a_long_name(
    paper: str, resale_record: OpenRecord, rich_pictures: dict[str, bytes], page_options: Make
) -> None:
    """Nothing had shortened the advice: some pieces of it put the code on a second page."""
    payload = resale_record.payload
    advised = tuple(Advice(what=f"Piece {n}, which takes three lines " * 9) for n in range(12))
    maker = msgspec.structs.replace(payload.object.maker, what="A maker with many names " * 20)
    thing = msgspec.structs.replace(payload.object, title="A long name of a thing " * 6, maker=maker)
    payload = msgspec.structs.replace(payload, advised=advised, object=thing)
    record = msgspec.structs.replace(resale_record, payload=payload)
    said = text_of(sheet.draw_sheet(with_sentences(record, 60), rich_pictures, page_options(paper=paper)))
    assert "How to check" in said
    assert "and 10 more" in said
    assert "A long name of a thing A long name of a thing A long name of a thing\u2026" in said


def test_a_sheet_of_an_object_without_a_name_has_a_first_heading(
    resale_record: OpenRecord, rich_pictures: dict[str, bytes], page_options: Make, assert_conforming: Any
) -> None:
    """ISO 14289-1, 7.4.2: headings begin at the first level. An empty one had gone."""
    thing = msgspec.structs.replace(resale_record.payload.object, title=" ", type="")
    payload = msgspec.structs.replace(resale_record.payload, object=thing)
    record = msgspec.structs.replace(resale_record, payload=payload)
    assert_conforming(sheet.draw_sheet(record, rich_pictures, page_options()))


@pytest.mark.parametrize("count", [0, 20, 60, 400])
def test_a_sheet_is_one_page_with_all_sentences_or_the_parts_by_name(
    count: int, resale_record: OpenRecord, rich_pictures: dict[str, bytes], page_options: Make
) -> None:
    record = with_sentences(resale_record, count)
    text = text_of(sheet.draw_sheet(record, rich_pictures, page_options()))
    shown = sum(sentence.text in text for sentence in record.payload.disclosure)
    assert shown in (0, count)
    if shown < count:
        assert WORDS.say("pages.sheet.in_full") in text
        for named in (
            "writing surface and key",
            "Brass pins of the corners (9 of 64)",
            "Spring of the secret drawer",
            "Lock",
        ):
            assert named.lower() in text.lower()


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("code_text", ["", None])
def test_cards(
    paper: str, code_text: str | None, resale_record: OpenRecord, page_options: Make, assert_conforming: Any
) -> None:
    more = {} if code_text is None else {"code_text": code_text}
    pdf = card.draw_card(resale_record, {}, page_options(paper=paper, **more))
    assert_conforming(pdf)
    text = text_of(pdf)
    assert text.count(WORDS.say("pages.card.not_ownership")) == card.ACROSS * card.DOWN
    assert "5f0c9a52-0d5e-4c3a" in text
    assert "Travelling writing slope" in text


def test_a_reader_by_ear_hears_the_card_once(resale_record: OpenRecord, page_options: Make) -> None:
    """Only the first card is in the structure tree (ISO 32000-1, 14.8.2.2: the rest are artifacts)."""
    pdf = card.draw_card(resale_record, {}, page_options(code_text=""))
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        tags = _tags(opened.Root.StructTreeRoot)
    assert tags.count("P") == 7  # with how to print it, which stands below the cards


def _tags(element: Any) -> list[str]:
    kids = element.get("/K", [])
    kids = list(kids) if isinstance(kids, pikepdf.Array) else [kids]
    inner = [tag for kid in kids if isinstance(kid, pikepdf.Dictionary) for tag in _tags(kid)]
    return ([str(element.S)[1:]] if "/S" in element else []) + inner


BARE_CODE = "#" + "0123456789abcdefghijklmnopqrstuvwxyz" * 9


@pytest.mark.parametrize("code_text", ["https://check.example/r#x", BARE_CODE])
@pytest.mark.parametrize("language", LANGUAGES)
def test_the_small_print_of_a_card_is_not_below_6_points(
    language: str, code_text: str, resale_record: OpenRecord, page_options: Make
) -> None:
    """With an object and a workshop of fifty letters and more; a longer name gives way first."""
    shop = msgspec.structs.replace(
        resale_record.payload.workshop, name="Sallmann & Oake, restorers of cases, clocks and instruments"
    )
    named = msgspec.structs.replace(
        resale_record.payload.object, title="Doctor's bag on a brass-plated frame, lock no. 3127"
    )
    payload = msgspec.structs.replace(resale_record.payload, workshop=shop, object=named)
    record = msgspec.structs.replace(resale_record, payload=payload)
    s = card._fitting(record, {}, page_options(language=language, code_text=code_text))
    assert s.styles.tiny.fontSize >= 6
    assert s.styles.card_name.fontSize > s.styles.tiny.fontSize


def test_a_card_is_85_by_55_mm() -> None:
    """In points, 72 to the inch of 25.4 mm."""
    assert pytest.approx((85 * 72 / 25.4, 55 * 72 / 25.4)) == (card.WIDTH, card.HEIGHT)
    for paper in PAPERS:
        on = card.sheet_grid(paper)  # type: ignore[arg-type]
        assert on.text == pytest.approx(card.WIDTH * card.ACROSS)
        assert on.depth == pytest.approx(card.HEIGHT * card.DOWN)
        assert min(on.left, on.top) > 14  # the marks are on the paper


@pytest.mark.parametrize("name", ["x" * 400, "A very long name of a thing " * 20, "\u4e2d\u6587 box"])
def test_any_name_fits_a_card_and_a_sheet(name: str, resale_record: OpenRecord, page_options: Make) -> None:
    thing = msgspec.structs.replace(resale_record.payload.object, title=name)
    shop = msgspec.structs.replace(resale_record.payload.workshop, name=name[:120])
    payload = msgspec.structs.replace(resale_record.payload, object=thing, workshop=shop)
    record = msgspec.structs.replace(resale_record, payload=payload)
    text_of(card.draw_card(record, {}, page_options()))
    full = with_sentences(record, 400)
    assert ("\u2026" in text_of(sheet.draw_sheet(full, {}, page_options()))) == (len(name) > 160)


def test_a_draft_is_marked(resale_record: OpenRecord, page_options: Make) -> None:
    """And what marks it is read: it stands nowhere else (ISO 14289-1, 7.1: real content is tagged)."""
    options = page_options(draft=True, trial_key=True)
    for pdf in (card.draw_card(resale_record, {}, options), sheet.draw_sheet(resale_record, {}, options)):
        text = text_of(pdf)
        assert WORDS.say("pages.running.draft_mark") in text
        assert WORDS.say("pages.running.draft") in text
        assert WORDS.say("pages.running.trial") in text
