"""The stage that dates alone give: worked out by hand, and never a side of the work that is in doubt."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.intake.stages import side_without_stage, stage_by_date, stage_in_a_pair
from dossier.model.rows import Dates
from dossier.model.words import SIDE_OF_STAGE

FULL = Dates(
    received="2026-03-02",
    looked_at="2026-03-03",
    agreed="2026-03-06",
    opened="2026-03-09",
    begun="2026-03-10",
    done="2026-03-20",
    returned="2026-03-25",
)


@pytest.mark.parametrize(
    ("day", "stage"),
    [
        ("2026-03-01", None),  # before it came
        ("2026-03-02", "received"),
        ("2026-03-04", "looked at"),
        ("2026-03-09", "opened"),
        ("2026-03-10", None),  # before or after the first stroke?
        ("2026-03-11", "working"),
        ("2026-03-20", None),  # before or after the last stroke?
        ("2026-03-21", "done"),
        ("2026-03-25", "returned"),
        ("2026-03-26", None),  # no longer in the workshop
    ],
)
def test_stage_of_a_day(day: str, stage: str | None) -> None:
    assert stage_by_date(f"{day}T10:00:00+01:00", FULL) == stage


@pytest.mark.parametrize(
    ("day", "stage"),
    [
        ("2026-03-01", None),
        ("2026-03-04", "looked at"),
        ("2026-03-10", "opened"),  # or from the first strokes, and then in no pair
        ("2026-03-11", None),
        ("2026-03-20", "done"),
        ("2026-03-26", "returned"),
    ],
)
def test_stage_of_a_day_in_a_pair(day: str, stage: str | None) -> None:
    assert stage_in_a_pair(day, FULL) == stage


def test_what_may_be_of_both_sides_has_no_stage_in_a_pair() -> None:
    assert stage_in_a_pair("2026-03-20", Dates(received="2026-03-02", done="2026-03-20")) is None
    assert stage_in_a_pair("2026-03-10", Dates(received="2026-03-10", done="2026-03-10")) is None
    assert stage_in_a_pair("2026-03-21", Dates(received="2026-03-02", begun="2026-03-10")) is None
    assert stage_in_a_pair("2026-03-21", Dates(begun="2026-03-02", done="2026-03-20")) == "done"


def test_a_day_on_which_the_work_may_have_gone_on_for_weeks_has_no_stage_in_a_pair() -> None:
    """It is not known when the work began, or ended; of the days that are known it is."""
    not_begun = Dates(received="2026-03-02", done="2026-03-20")
    assert stage_in_a_pair("2026-03-12", not_begun) is None
    assert stage_in_a_pair("2026-03-02", not_begun) == "received"
    not_done = Dates(begun="2026-03-10", returned="2026-03-25")
    assert stage_in_a_pair("2026-03-15", not_done) is None
    assert stage_in_a_pair("2026-03-25", not_done) == "done"


def test_a_stage_without_a_date_between_leaves_the_side_in_doubt() -> None:
    assert stage_by_date("2026-03-10", Dates(received="2026-03-02", done="2026-03-20")) is None
    assert stage_by_date("2026-03-10", Dates(received="2026-03-02", begun="2026-03-20")) == "received"
    assert stage_by_date("2026-03-10", Dates(begun="2026-03-02", returned="2026-03-20")) is None


@pytest.mark.parametrize("taken", ["", "yesterday", "2026-03"])
def test_no_day_no_stage(taken: str) -> None:
    assert stage_by_date(taken, FULL) is None


def test_dates_out_of_order_give_nothing() -> None:
    dates = Dates(received="2026-03-20", begun="2026-03-10", done="2026-03-22")
    assert stage_by_date("2026-03-21", dates) is None


@settings(deadline=None, max_examples=200)
@given(
    taken=st.integers(1, 28),
    days=st.lists(st.integers(1, 28) | st.none(), min_size=7, max_size=7),
    hidden=st.sets(st.integers(0, 6)),
)
def test_fewer_dates_never_move_a_photograph_to_another_side(
    taken: int, days: list[int | None], hidden: set[int]
) -> None:
    ordered = iter(sorted(day for day in days if day))
    texts = ["" if day is None else f"2026-03-{next(ordered):02d}" for day in days]
    names = Dates.__struct_fields__[1:]
    all_known = dict(zip(names, texts, strict=True))
    fewer = {name: "" if number in hidden else text for number, (name, text) in enumerate(all_known.items())}
    one = stage_by_date(f"2026-03-{taken:02d}", Dates(**all_known))
    other = stage_by_date(f"2026-03-{taken:02d}", Dates(**fewer))
    if one and other:
        assert SIDE_OF_STAGE[one] == SIDE_OF_STAGE[other]


@pytest.mark.parametrize(
    ("day", "dates", "side"),
    [
        ("2026-03-01", FULL, "before"),
        ("2026-03-04", FULL, None),  # it has a stage
        ("2026-03-26", FULL, "after"),
        ("2026-03-26", Dates(received="2026-03-02"), None),  # from before the work, during it or after
        ("2026-03-01", Dates(begun="2026-03-10"), "before"),
        ("2026-03-01", Dates(done="2026-03-20"), None),
        ("2026-03-01", Dates(received="2026-03-02", done="2026-02-20"), None),
        ("2026", FULL, None),
        ("2026-03-01", Dates(), None),
    ],
)
def test_side_of_a_day_without_a_stage(day: str, dates: Dates, side: str | None) -> None:
    assert side_without_stage(day, dates) == side
