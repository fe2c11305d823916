"""`pictures.plan`: rich for a usual job, stepped down openly for a large one, small enough to e-mail."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.model.job import Job, PhotoFacts, Workshop
from dossier.model.rows import Feature, Object, PhotoPlace, PhotoRow
from dossier.pictures import plan as module
from dossier.pictures.derive import derive_all
from dossier.pictures.plan import BUDGET, OPENLY_SMALLER, STEPS, plan, said, step
from dossier.words import Catalogue

PLACE = (PhotoPlace(number="1", kind="point", at=(500, 500)),)


def job_of(rows, *, size=(4000, 3000), places=(), know=()):
    return Job(
        number="1",
        workshop=Workshop(name="W"),
        object=Object(type="chair"),
        know_it_by=tuple(Feature(what="x", photograph=name) for name in know),
        photo_rows=tuple(rows),
        photo_facts=tuple(PhotoFacts(file=r.file, bytes=1, width=size[0], height=size[1]) for r in rows),
        photo_places=dict.fromkeys(places, PLACE),
    )


def usual(count, pairs=0):
    rows = [PhotoRow(file=f"{n:03}.jpg", pair=f"p{n // 2}" if n < 2 * pairs else "") for n in range(count)]
    return [PhotoRow(file="cover.jpg", cover=True), *rows]


def test_what_has_most_to_show_is_largest():
    rows = [PhotoRow(file="c", cover=True), PhotoRow(file="p", pair="1"), *(PhotoRow(file=f) for f in "kmo")]
    sizes = plan(job_of(rows, places=["m"], know=["k"]))
    assert sizes["c"] == sizes["m"] == STEPS[0].page
    assert sizes["p"] == sizes["k"] == STEPS[0].half
    assert sizes["o"] == STEPS[0].other


def test_without_a_cover_the_first_may_have_to_serve():
    sizes = plan(job_of([PhotoRow(file="a"), PhotoRow(file="b")]))
    assert sizes["a"] == STEPS[0].page
    assert sizes["b"] == STEPS[0].other


def test_the_one_that_pages_take_for_a_cover_is_large():
    """`pages.photographs.Shots.cover`: the first after the work that has no places, private ones behind."""
    rows = [
        PhotoRow(file="a", stage="received"),
        PhotoRow(file="b", stage="done", private=True),
        PhotoRow(file="c", stage="done"),
        PhotoRow(file="d", stage="done"),
    ]
    for places, large in ([], "c"), (["c"], "cd"), (["a", "c", "d"], "abcd"):
        sizes = plan(job_of(rows, places=places))
        assert "".join(file for file, size in sizes.items() if size == STEPS[0].page) == large


def test_no_photographs_no_plan():
    assert plan(job_of([])) == {}
    assert step(job_of([])) == 0


def test_fourteen_are_shown_richly():
    job = job_of(usual(13, pairs=4), places=["012.jpg"], know=["011.jpg"])
    assert step(job) == 0
    assert said(step(job), 14, Catalogue("en")) == ""
    assert plan(job)["cover.jpg"].long_side >= 1600


def test_four_hundred_step_down_openly():
    job = job_of(usual(399, pairs=40))
    assert step(job) >= OPENLY_SMALLER
    assert said(step(job), 400, Catalogue("en")).startswith("400 photographs: ")
    assert min(size.long_side for size in plan(job).values()) >= 160
    assert set(plan(job)) == {row.file for row in job.photo_rows}


def test_three_hundred_dots_an_inch_are_the_ceiling():
    """170 mm, 100 mm and 60 mm at 300 dpi."""
    for rung in STEPS:
        assert rung.page.long_side <= 170 / 25.4 * 300
        assert rung.half.long_side <= 100 / 25.4 * 300
        assert rung.other.long_side <= 60 / 25.4 * 300


@given(
    count=st.integers(0, 500),
    pairs=st.integers(0, 250),
    size=st.sampled_from([(4000, 3000), (3000, 4000), (640, 480), (9000, 900), (0, 0)]),
)
@settings(deadline=None, max_examples=25)
def test_the_estimate_keeps_to_the_budget_and_more_is_never_larger(count, pairs, size):
    rows = usual(count, pairs=pairs)
    job = job_of(rows, size=size)
    sizes = plan(job)
    facts = module._facts(job)
    total = sum(module._estimate(facts[file], wanted) for file, wanted in sizes.items())
    assert total <= module.estimated(job, step(job), {})
    smallest = len(rows) * module._estimate(None, module.Size(module.SMALLEST, 70))
    assert total <= max(BUDGET, smallest)
    more = plan(job_of([*rows, PhotoRow(file="one more")], size=size))
    assert all(more[file].long_side <= wanted.long_side for file, wanted in sizes.items())
    assert plan(job) == sizes


def test_what_the_pictures_took_says_which_rung_fits():
    job = job_of(usual(399, pairs=40))
    at = step(job)
    facts = module._facts(job)
    sizes = plan(job, at)
    tried = module.samples(job)
    assert 3 <= len(tried) <= 3 * module.SAMPLES
    assert len({sizes[file] for file in tried}) == 3
    for factor in (0.3, 1.0, 2.9):
        made = [(file, round(factor * module._estimate(facts[file], sizes[file]))) for file in tried]
        found = module.fitting(job, module.shares(job, at, made))
        assert factor * module.estimated(job, found, {}) <= BUDGET * 1.001
        assert factor * module.estimated(job, found - 1, {}) > BUDGET * 0.999
    assert module.fitting(job, {}, above=at) == at + 1
    last = len(module._ladder()) - 1
    assert module.is_last(module.fitting(job, {}, above=last))


@pytest.mark.parametrize("rung", range(len(STEPS)))
def test_the_estimate_is_near_real_bytes(data, rung):
    """A textured photograph of a compact camera takes 0.5 to 1.5 times its estimate."""
    path = data / "rockery.jpg"
    facts = PhotoFacts(file="r", bytes=path.stat().st_size, width=2560, height=1920)
    sizes = [STEPS[rung].page, STEPS[rung].half, STEPS[rung].other]
    for size, made in zip(sizes, derive_all([(path, facts, size) for size in sizes]), strict=True):
        assert 0.5 < len(made.jpeg) / module._estimate(facts, size) < 1.5
