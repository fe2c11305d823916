"""A photograph with very many places: each number is held against its neighbours alone."""

from __future__ import annotations

from typing import Any

import pytest
from counting import calls_again

from dossier.model.rows import PhotoPlace
from dossier.pages.map_figure import Badge, Crowd, places

SIZE = (470.0, 334.0)  # points: a map over the width of a page


class Blank:
    """Takes whatever is drawn; a letter is as wide as a figure of the face."""

    def stringWidth(self, text: str, *_: Any) -> float:  # noqa: N802 - reportlab's name
        return 4.9 * len(text)

    def __getattr__(self, name: str) -> Any:
        return lambda *_, **__: self


def _rows(count: int) -> list[PhotoPlace]:
    """Spread evenly: 7 and 13 have no divisor with 1,000 in common."""
    return [
        PhotoPlace(number=str(n), kind="point", at=(n * 7 % 1000, n * 13 % 1000), part="", note="")
        for n in range(count)
    ]


def _work(count: int) -> int:
    rows = _rows(count)
    blank: Any = Blank()
    return calls_again(lambda: places(blank, rows, 240, 170))


def test_work_grows_with_the_places_and_not_with_their_square() -> None:
    """Four times as many, while the picture fills up: at most six times the calls, not nine."""
    assert _work(160) < 6 * _work(40)


@pytest.mark.parametrize("half", [8.2, 14.0, 60.0])
def test_neighbours_are_all_that_a_number_can_meet_or_cover(half: float) -> None:
    """Held against every other number and point, one by one."""
    others = [Badge(n * 37 % 470, n * 53 % 334, (8.2, 30.0)[n % 2], (0, 0)) for n in range(12)]
    points = [(n * 71 % 470, n * 29 % 334) for n in range(12)]
    crowd = Crowd(SIZE)
    for other in others:
        crowd.add(other)
    for point in points:
        crowd.mark(point)
    found = set()
    for x in range(0, 470, 5):
        for y in range(0, 334, 5):
            spot = Badge(x, y, half, (0, 0))
            assert crowd.meets(spot) == any(spot.meets(other) for other in others)
            assert crowd.covers(spot) == any(spot.covers(point) for point in points)
            found.add((crowd.meets(spot), crowd.covers(spot)))
    assert len(found) == 4
