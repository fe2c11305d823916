"""Which rows of a register are the same pieces over again as the rows under them."""

from __future__ import annotations

import pytest

from dossier.model.rows import Part
from dossier.words.headings import adds_up, besides, children, headed, headings


def bridle(pieces: int, material: str, *under: tuple[str, int, str]) -> list[Part]:
    parts = [Part(number="7", part="bridle", came_as="original", pieces=pieces, material=material)]
    return parts + [
        Part(number=number, part=number, came_as="original", part_of="7", pieces=n, material=of)
        for number, n, of in under
    ]


STRAPS, BAND, RINGS = ("7.1", 2, "cowhide"), ("7.2", 1, "Cowhide"), ("7.3", 2, "brass")


@pytest.mark.parametrize(
    ("pieces", "material", "is_one"),
    [
        (5, "", True),
        (5, "cowhide and brass", True),
        (5, "brass; cowhide", True),
        (5, "brass, cowhide; iron", False),  # there are pieces of iron besides
        (5, "cowhide, not brass", False),
        (5, "cowhide", False),  # the rings are of another
        (5, "leather", False),
        (4, "", False),
        (1, "", False),
    ],
)
def test_a_heading_is_of_no_other_pieces_and_material(pieces: int, material: str, is_one: bool) -> None:
    parts = bridle(pieces, material, STRAPS, BAND, RINGS)
    assert headings(parts) == (frozenset({"7"}) if is_one else frozenset())
    assert headed(parts) == ({"7": ("7.1", "7.2", "7.3")} if is_one else {})
    known = {part.number: part for part in parts}
    assert adds_up(parts[0], known, children(parts)) is (pieces == 5)


def test_handles_under_drawers_of_two_materials_are_not_the_drawers() -> None:
    """They had become new with the drawers, which were no longer there."""
    handles = ("7.1", 1, "brass"), ("7.2", 1, "brass")
    assert not headings(bridle(2, "oak and brass", *handles))
    assert headings(bridle(2, "brass", *handles)) and headings(bridle(2, "", *handles))
    assert headings(bridle(2, "brass", ("7.1", 1, ""), ("7.2", 1, ""))) == {"7"}


def test_a_word_that_joins_two_materials_is_a_material_where_it_joins_none() -> None:
    """French "or" is gold; and what is one material or another is not both."""
    assert not headings(bridle(2, "or", ("7.1", 1, "laiton"), ("7.2", 1, "acier")))
    assert not headings(bridle(2, "ch\u00eane", ("7.1", 1, "ch\u00eane"), ("7.2", 1, "or")))
    assert not headings(bridle(2, "ch\u00eane et or", ("7.1", 1, "ch\u00eane"), ("7.2", 1, "ch\u00eane")))
    assert headings(bridle(2, "ch\u00eane et or", ("7.1", 1, "ch\u00eane"), ("7.2", 1, "or"))) == {"7"}
    assert not headings(bridle(2, "oak or brass", ("7.1", 1, "oak"), ("7.2", 1, "brass")))
    assert not headings(bridle(2, "con", ("7.1", 1, "oak"), ("7.2", 1, "oak")))
    assert headings(
        bridle(2, "\u6728 \u3068 \u771f\u936e", ("7.1", 1, "\u6728"), ("7.2", 1, "\u771f\u936e"))
    ) == {"7"}


def test_one_part_under_another_makes_no_heading() -> None:
    assert not headings(bridle(2, "", STRAPS))


@pytest.mark.parametrize(
    ("pieces", "material", "left"),
    [
        (5, "", ["7.4"]),
        (5, "cowhide and brass", ["7.4"]),
        (3, "", ["7.1", "7.4"]),
        (5, "oak", []),
        (69, "", []),  # it is a heading
        (1, "", []),
        (66, "", ["7.1", "7.2"]),  # rings and pads
        (70, "", []),
    ],
)
def test_what_would_be_a_heading_without_one_or_two_parts(
    pieces: int, material: str, left: list[str]
) -> None:
    """64 pads under 55 + 9 buttons made the 64 buttons count twice, in silence."""
    parts = bridle(pieces, material, STRAPS, BAND, RINGS, ("7.4", 64, "felt"))
    found = besides(parts[0], {part.number: part for part in parts}, children(parts))
    assert [part.number for part in found] == left
    assert bool(headings(parts)) == (pieces == 69)
