"""What a reader who sees nothing is told: figures by their words (ISO 14289-1, 7.3), read by pikepdf."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import msgspec
import pdf_aloud
import pdf_checks
import pikepdf
import pytest

from dossier.model.record import OpenRecord
from dossier.model.rows import PhotoPlace
from dossier.pages import blocks, document, labels, map_figure
from dossier.pages.account_figure import account_bars
from dossier.pages.card import draw_card
from dossier.pages.options import PageOptions
from dossier.pages.receipt import draw_handover
from dossier.pages.running import finished
from dossier.pages.sections import map as places_map
from dossier.pages.setting import Setting
from dossier.pages.sheet import draw_sheet
from dossier.words import Catalogue

Make = Callable[..., PageOptions]


def _elements(element: Any) -> Iterator[Any]:
    kids = element.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            yield kid
            yield from _elements(kid)


def _figures(pdf: bytes) -> list[str]:
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        return [str(e.Alt) for e in _elements(opened.Root.StructTreeRoot) if e.S == "/Figure"]


def _of_kind(kind: str, record: OpenRecord, options: PageOptions) -> bytes:
    if kind == "labels":
        return labels.draw_labels(record, [labels.OneLabel("1", 1)] * 19, options)
    return {"sheet": draw_sheet, "card": draw_card}[kind](record, {}, options)


@pytest.mark.parametrize("language", ["en", "ja"])
@pytest.mark.parametrize("kind", ["sheet", "card", "labels", "handover"])
def test_what_stands_on_the_edges_is_read(
    kind: str, language: str, rich_record: OpenRecord, page_options: Make, assert_conforming: Any
) -> None:
    """No word stands in an artifact alone: of a trial key, how to print, whose paper it is (14.8.2.2)."""
    options = page_options(language=language, trial_key=kind != "handover")
    pdf = draw_handover(rich_record, options) if kind == "handover" else _of_kind(kind, rich_record, options)
    said = "".join(text for _, text in pdf_aloud.structure_text(pdf)).casefold()
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        apart = " ".join(pdf_checks.read_content(page).artifacts for page in opened.pages).casefold().split()
    private = Catalogue(language).say("papers.private_foot")
    assert {word for word in apart if word.strip(":.") not in said} <= {"\u00b7", private, "1", "of", "/"}
    assert_conforming(pdf)


@pytest.fixture
def marked_record(rich_record: OpenRecord) -> OpenRecord:
    """The places of photograph 2 written in another order than that of their numbers."""
    details = rich_record.photo_details["photo-002.jpg"]
    more = [
        PhotoPlace(number=number, kind="point", at=(500, 500), note=f"place {number}")
        for number in ("10", "B", "10a")
    ]
    shuffled = msgspec.structs.replace(details, places=(*more, *reversed(details.places)))
    every = {**rich_record.photo_details, details.name: shuffled}
    return msgspec.structs.replace(rich_record, photo_details=every)


def test_places_are_read_by_number_with_what_they_are_tied_to(
    marked_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Make
) -> None:
    drawn = document.draw(marked_record, rich_pictures, page_options(code_text=""))
    [said] = [alt for alt in _figures(drawn) if "Marked on it: 1: Carcase" in alt]
    assert said.endswith(
        "Marked on it: 1: Carcase, in the middle; 2: Brass corners, lower right;"
        " 3: Brass pins of the corners, lower right; 5: Lock, in the middle; 10: place 10, in the middle;"
        " 10a: place 10a, in the middle; B: place B, in the middle"
    )


def test_the_table_beside_has_the_same_order(
    marked_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Make
) -> None:
    setting = Setting(marked_record, rich_pictures, page_options())
    shot = setting.shots.by_name["photo-002.jpg"]
    rows = [places_map._row(setting, place)[0] for place in shot.places]
    assert rows == ["1", "2", "3", "5", "10", "10a", "B"]


def test_a_part_and_what_it_is_now_are_two_paragraphs_of_a_cell(
    marked_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Make
) -> None:
    """In one they would be heard without a pause: "5 Lock original, treated"."""
    drawn = document.draw(marked_record, rich_pictures, page_options(code_text=""))
    with pikepdf.open(io.BytesIO(drawn)) as opened:
        cells = [e for e in _elements(opened.Root.StructTreeRoot) if e.S == "/TD"]
        several = [e for e in cells if isinstance(e.get("/K"), pikepdf.Array) and len(e.K) > 1]
        roles = {tuple(str(kid.S) for kid in cell.K) for cell in several}
    assert roles == {("/P", "/P")}


def test_a_pattern_beside_its_word_is_not_read_besides(
    rich_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Make
) -> None:
    """The bars say their counts; the patterns of the legend stand beside their words and say nothing more."""
    drawn = document.draw(rich_record, rich_pictures, page_options(code_text=""))
    starts = ("Photograph", "Bars of the parts counted", "Dates of the job")
    assert [alt for alt in _figures(drawn) if not alt.startswith(starts)] == []


def test_the_key_of_the_bars_is_of_their_figure_and_not_read_besides(
    rich_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Make
) -> None:
    """Heard by themselves they were "kept", "new"; the figure says them with counts."""
    setting = Setting(rich_record, rich_pictures, page_options(code_text=""))
    drawn = finished(setting, blocks.section(setting, "Parts", account_bars(setting)), "bars")
    with pikepdf.open(io.BytesIO(drawn)) as opened:
        (bars,) = [e for e in _elements(opened.Root.StructTreeRoot) if e.S == "/Figure"]
        assert len(bars["/K"]) > 3, "the bars and a word for each pattern (ISO 32000-1, 14.7.4.2)"
        assert float(bars.A.BBox[3] - bars.A.BBox[1]) > 60
        assert "Hidden, 3 parts: 2 treated and 1 not known." in str(bars.Alt)


def test_nobody_is_told_the_words_of_a_caption_twice(
    rich_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Make
) -> None:
    """Where a caption is read after its figure, the figure says what is on it and not the caption's words."""
    drawn = document.draw(rich_record, rich_pictures, page_options(code_text=""))
    captions = [one.caption for one in rich_record.photo_details.values() if one.caption]
    with pikepdf.open(io.BytesIO(drawn)) as opened:
        every = [e for e in _elements(opened.Root.StructTreeRoot) if e.S == "/Div"]
        captioned = [str(kid.Alt) for e in every for kid in e.K if kid.S == "/Figure"]
    large = [alt for alt in captioned if not any(words in alt for words in captions)]
    small = [alt for alt in captioned if alt not in large]
    assert "Photograph 4, showing 4\u00a0\u00b7 Writing surface" in large
    assert len(large) > 10
    assert small, "a small picture has a caption without words: its figure has them"


def test_no_caption_is_spoken_of_where_there_is_none(
    rich_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Make
) -> None:
    """Of a photograph that nobody said anything of, its stage and day are all there is."""
    setting = Setting(rich_record, rich_pictures, page_options())
    shot = next(iter(setting.shots.by_name.values()))
    of_none = msgspec.structs.replace(shot, photograph=msgspec.structs.replace(shot.photograph, parts=()))
    assert setting.shot_shows(of_none).endswith("described in its caption")
    bare = msgspec.structs.replace(of_none, details=msgspec.structs.replace(shot.details, caption=""))
    assert "no caption" in setting.shot_shows(bare) and "described" not in setting.shot_shows(bare)


def test_labels_and_values_are_read_as_a_list(
    rich_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Make
) -> None:
    """ISO 32000-1, table 336: the label of an item is the term, its body what is said of it."""
    drawn = document.draw(rich_record, rich_pictures, page_options(code_text=""))
    with pikepdf.open(io.BytesIO(drawn)) as opened:
        first = next(e for e in _elements(opened.Root.StructTreeRoot) if e.S == "/L")
        assert str(first.A.ListNumbering) == "/None"
        assert [[str(part.S) for part in item.K] for item in first.K] == [["/Lbl", "/LBody"]] * len(first.K)
        assert len(first.K) > 4


@pytest.mark.parametrize(
    ("at", "where"),
    [
        ((0, 0), "upper left"),
        ((1000, 1000), "lower right"),
        ((400, 100, 600, 200), "upper middle"),
        ((90, 500), "left"),
    ],
)
def test_where_a_place_is_can_be_heard(
    at: tuple[int, ...], where: str, rich_record: OpenRecord, page_options: Make
) -> None:
    setting = Setting(rich_record, {}, page_options())
    place = PhotoPlace(number="1", kind="box" if len(at) > 2 else "point", at=at, note="chip")
    assert map_figure._tied_to(setting, place) == f"chip, {where}"
