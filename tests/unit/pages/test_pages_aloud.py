"""What a reader who sees nothing is told: figures by their words (ISO 14289-1, 7.3), read by pikepdf."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import msgspec
import pikepdf
import pytest

from dossier.model.record import OpenRecord
from dossier.model.rows import PhotoPlace
from dossier.pages import document
from dossier.pages.options import PageOptions
from dossier.pages.sections import map as places_map
from dossier.pages.setting import Setting

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
        "Marked on it: 1: Carcase (whole of the carcase); 2: Brass corners (loose when it came);"
        " 3: Brass pins of the corners (four of the nine); 5: Lock; 10: place 10; 10a: place 10a; B: place B"
    )


def test_the_table_beside_has_the_same_order(
    marked_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Make
) -> None:
    setting = Setting(marked_record, rich_pictures, page_options())
    shot = setting.shots.by_name["photo-002.jpg"]
    rows = [places_map._row(setting, place)[0] for place in shot.places]
    assert rows == ["1", "2", "3", "5", "10", "10a", "B"]


def test_a_pattern_beside_its_word_is_not_read_besides(
    rich_record: OpenRecord, rich_pictures: Mapping[str, bytes], page_options: Make
) -> None:
    """The bars say their counts; the patterns of the legend stand beside their words and say nothing more."""
    drawn = document.draw(rich_record, rich_pictures, page_options(code_text=""))
    starts = ("Photograph", "Bars of the parts counted", "Dates of the job")
    assert [alt for alt in _figures(drawn) if not alt.startswith(starts)] == []
