"""Two made-up jobs of public photographs (`picture_scenes`), the one mixed into the other.

Every photograph is another view, in other light, of what its job shows. Of 20 jobs of scenes held out (see
`test_pictures_pairing`) with three strangers each all 20 had the hint, and of 20 without strangers none.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import cv2
import numpy as np
import picture_scenes as scenes
import pytest

from dossier.pictures import pairing, strangers
from dossier.pictures.align import working
from dossier.pictures.strangers import Shot

START = datetime(2026, 3, 2, 9, tzinfo=UTC)
SIZE = (1000, 750)
CANVAS = (1300, 975)
OWN, OTHER = ("coffee", "chelsea"), "coins"
Album = list[tuple[Shot, pairing.View]]


def views(
    pixels: np.ndarray, count: int, seed: int, change: scenes.Change = scenes.USUAL
) -> list[pairing.View]:
    rng = np.random.default_rng(seed)
    source = scenes.covering(pixels, CANVAS)
    drawn = [scenes.drawn(source, scenes.view(SIZE, CANVAS, change, rng), SIZE) for _ in range(count)]
    return [pairing.view(working(scenes.developed(one, change, rng))) for one in drawn]


def sitting(day: float, side: str | None, seen: list[pairing.View]) -> Album:
    times = (START + timedelta(days=day, minutes=3 * n) for n in range(len(seen)))
    return [(Shot(taken=when, side=side), one) for when, one in zip(times, seen, strict=True)]  # type: ignore[arg-type]


def found(album: Album) -> list[list[int]]:
    near = pairing.neighbours([view for _, view in album])
    return strangers.find([shot for shot, _ in album], near)


@pytest.fixture(scope="module")
def own() -> dict[str, list[pairing.View]]:
    pictures = [scenes.photograph(name) for name in OWN]
    return {
        side: [view for n, p in enumerate(pictures) for view in views(p, 2, 10 * n + seed)]
        for seed, side in enumerate(("before", "after"))
    }


@pytest.fixture(scope="module")
def other() -> list[pairing.View]:
    return views(scenes.photograph(OTHER), 3, 77)


def job(own: dict[str, list[pairing.View]]) -> Album:
    return sitting(0, "before", own["before"]) + sitting(30, "after", own["after"])


def test_a_sitting_of_another_job_is_a_hint(own: dict, other: list) -> None:
    mixed = job(own) + sitting(5, "before", other)
    assert found(mixed) == [[8, 9, 10]]
    turned_round = mixed[::-1]
    assert found(turned_round) == [[2, 1, 0]]


def test_a_job_by_itself_has_no_hint(own: dict) -> None:
    assert found(job(own)) == []
    assert found([]) == []


def test_no_hint_where_it_would_be_a_guess(own: dict, other: list) -> None:
    usual = job(own)
    assert found(usual + sitting(5, None, other)) == []  # a thing that was opened looks like nothing before
    assert found(usual + sitting(5, "before", other[:2])) == []  # two are too few
    assert found(usual + sitting(0.05, "before", other)) == []  # an hour later: the same sitting
    within = [(strangers.Shot(taken=None, side="before"), view) for view in other]
    assert found(usual + within) == []  # nothing says when


def test_no_hint_where_the_job_does_not_hang_together(own: dict, other: list) -> None:
    """All of the surface is new: what came before and after have nothing in common."""
    changed = sitting(0, "before", own["before"]) + sitting(30, "after", other)
    assert found(changed) == []
    assert found(changed + sitting(5, "before", views(scenes.photograph("rocket"), 3, 5))) == []


def test_half_of_the_photographs_are_no_exception(own: dict, other: list) -> None:
    many = sitting(5, "before", other) + sitting(
        6, "before", views(cv2.rotate(scenes.photograph("rocket"), 0), 3, 6)
    )
    assert found(job(own) + many) == []
