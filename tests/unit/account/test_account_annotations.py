"""Marked places as W3C Web Annotations, held to the Recommendation of 2017 (from memory).

Required of an annotation: @context, id, type Annotation, a target (3.1); of a specific resource: source (4);
of a selector: type and value (4.2.1, 4.2.7). Media fragments: xywh=x,y,w,h in whole pixels
(REC-media-frags-20120925, 4.2.2). Shapes are read back with the standard XML parser.
"""

from __future__ import annotations

import re
from xml.etree import ElementTree

from hypothesis import example, given
from hypothesis import strategies as st

from dossier.account.annotations import FRAGMENTS, selector, web_annotations
from dossier.model.job import PhotoFacts
from dossier.model.plain import from_plain, to_plain
from dossier.model.record import PhotoDetails
from dossier.model.rows import Part, PhotoPlace

FACTS = PhotoFacts(file="a.jpg", bytes=1, media_type="image/jpeg", width=4000, height=3000, orientation=6)
PARTS = {"7": Part(number="7", part="lock")}


def made(*places: PhotoPlace) -> list[dict[str, object]]:
    found = web_annotations(places, FACTS, "photo-002.jpg", PARTS, "en")
    details = to_plain(PhotoDetails(name="photo-002.jpg", file="a.jpg", annotations=found))
    assert from_plain(PhotoDetails, details).annotations == found
    return details["annotations"]


def test_an_annotation_has_what_the_standard_asks_for() -> None:
    """By hand: upright (orientation 6) it is 3000 wide and 4000 high; a tenth is 300 and 400 pixels."""
    place = PhotoPlace(number="3", kind="box", at=(300, 400, 100, 100), part="7", note="struck twice")
    (one,) = made(place)
    assert one == {
        "@context": "http://www.w3.org/ns/anno.jsonld",
        "id": "photo-002.jpg#place-1",
        "type": "Annotation",
        "motivation": "identifying",
        "body": [
            {"type": "TextualBody", "value": "3: 7: lock", "format": "text/plain",
             "purpose": "identifying", "language": "en"},
            {"type": "TextualBody", "value": "struck twice", "format": "text/plain",
             "purpose": "describing", "language": "en"},
        ],
        "target": {
            "type": "SpecificResource",
            "source": "photo-002.jpg",
            "selector": {"type": "FragmentSelector", "value": "xywh=300,400,600,1200",
                         "conformsTo": FRAGMENTS},
        },
    }  # fmt: skip


def test_an_outline_is_a_drawing_in_the_photographs_pixels() -> None:
    one = selector(PhotoPlace(number="1", kind="outline", at=(0, 0, 1000, 0, 500, 1000)), 3000, 4000)
    drawing = ElementTree.fromstring(one.value)
    assert drawing.get("viewBox") == "0 0 3000 4000"
    (shape,) = drawing
    assert shape.tag == "{http://www.w3.org/2000/svg}polygon"
    assert shape.get("points") == "0,0 3000,0 1500,4000"


def test_nothing_is_said_where_the_size_is_not_known() -> None:
    facts = PhotoFacts(file="a.jpg", bytes=1, media_type="image/jpeg")
    place = PhotoPlace(number="1", kind="point", at=(500, 500))
    assert web_annotations([place], facts, "photo-001.jpg", PARTS, "en") == ()


corners = st.lists(st.integers(0, 1000), min_size=4, max_size=4).map(tuple)


@example(at=(999, 999, 1000, 1000), width=300, height=200)  # thinner than a pixel, at the edge
@given(corners, st.integers(1, 20_000), st.integers(1, 20_000))
def test_a_box_stays_on_the_photograph(at: tuple[int, ...], width: int, height: int) -> None:
    one = selector(PhotoPlace(number="1", kind="box", at=at), width, height)
    match = re.fullmatch(r"xywh=(\d+),(\d+),(\d+),(\d+)", one.value)
    assert match
    x, y, across, down = map(int, match.groups())
    assert across > 0
    assert down > 0
    assert x + across <= width
    assert y + down <= height


@given(st.text(max_size=40), st.text(max_size=40))
def test_words_never_reach_the_drawing(number: str, note: str) -> None:
    place = PhotoPlace(number=number, kind="point", at=(500, 500), note=note)
    ElementTree.fromstring(selector(place, 100, 100).value)
