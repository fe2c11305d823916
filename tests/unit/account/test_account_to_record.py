"""The stage a job has come to, from its dates and from what is filled in."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from dossier.account.days import earlier, taken_earlier
from dossier.account.findings import assess
from dossier.account.stage import stage_of
from dossier.account.to_record import to_record_now
from dossier.model.job import Job

Change = Callable[[dict[str, Any]], Job]

# From the whole job back to the day it came in: what is taken out, and the stage that is left.
STEPS: list[tuple[dict[str, Any], str]] = [
    ({}, "returned"),
    ({"/dates/returned": "", "/handover/date": ""}, "done"),
    ({"/dates/done": ""}, "working"),
    ({"/dates/begun": "", "/work": []}, "opened"),
    ({"/dates/opened": "", "/looked_at/found_inside": []}, "agreed"),
    ({"/dates/agreed": "", "/agreements": []}, "looked at"),
    ({"/dates/looked_at": "", "/looked_at/by": "", "/condition": ""}, "received"),
]


@pytest.mark.parametrize("steps", range(len(STEPS)))
def test_stage_from_dates_and_entries(steps: int, job_with: Change) -> None:
    change: dict[str, Any] = {}
    for taken_out, _ in STEPS[: steps + 1]:
        change |= taken_out
    assert stage_of(job_with(change)) == STEPS[steps][1]


def test_a_typed_stage_stands(job_with: Change) -> None:
    assert stage_of(job_with({"/stage": "opened"})) == "opened"


def test_an_opened_object_is_photographed_before_it_is_closed(job_with: Change) -> None:
    """Part 8 is hidden; its pictures of stages opened and working are taken out."""
    change = {"/stage": "opened", "/photo_rows/3/stage": "received", "/photo_rows/4/stage": "done"}
    found = {f.code: f for f in to_record_now(job_with(change))}
    assert found["now-photograph-inside"].parts == ("8",)
    assert found["now-photograph-covered"].parts == ("8",)
    assert "inner frame" in found["now-photograph-inside"].message


@pytest.mark.parametrize(
    "change",
    [
        {"/photo_facts/4/taken": "2026-03-20T12:00:00+01:00"},
        {"/photo_rows/4/stage": "opened", "/photo_facts/4/taken": ""},
    ],
)
def test_what_is_asked_before_covering_is_a_gap_ever_after(change: dict[str, Any], job_with: Change) -> None:
    """Part 8 was photographed, but before the work on it was done: by the day, or by the stage."""
    asked = to_record_now(job_with({"/stage": "working", **change}))
    assert [f.parts for f in asked if f.code == "now-photograph-covered"] == [("8",)]
    for stage in ("working", "done", "returned"):
        found = assess(job_with({"/stage": stage, **change}))
        assert [f.parts for f in found if f.code == "covered-not-photographed"] == [("8",)]


def test_of_the_hand_over_only_what_is_missing_is_asked(job_with: Change) -> None:
    change = {"/stage": "done", "/handover/care": [], "/dates/returned": ""}
    (found,) = [one for one in to_record_now(job_with(change)) if one.code == "now-hand-over"]
    assert found.message.endswith(": care")


def test_each_finding_is_for_now_and_says_what_to_do(job_with: Change) -> None:
    for stage in ("received", "looked at", "agreed", "opened", "working", "done", "returned"):
        job = job_with(
            {"/stage": stage, "/photo_rows": [], "/photo_facts": [], "/know_it_by": [], "/handover": {}}
        )
        found = to_record_now(job)
        assert found, stage
        assert all(f.level == "now" and f.hint for f in found)


@pytest.mark.parametrize(
    ("one", "other", "before"),
    [
        ("2026-03-01", "2026-03-02", True),
        ("2026-03", "2026-03-02", False),
        ("2026-03-02", "2026-03", False),
        ("2026-02", "2026-03-02", True),
        ("2025", "2026-03-02", True),
        ("", "2026", False),
        ("2026", "", False),
    ],
)
def test_days(one: str, other: str, before: bool) -> None:
    assert earlier(one, other) is before


@pytest.mark.parametrize(
    ("one", "other", "before"),
    [
        ("2026-03-01T09:00:00+01:00", "2026-03-01T08:30:00+00:00", True),
        ("2026-03-01T09:00:00.120+01:00", "2026-03-01T09:00:00.130+01:00", True),
        ("2026-03-01T09:00:00", "2026-03-01T09:00:01+01:00", True),
        ("", "2026-03-01T09:00:01+01:00", False),
        ("not a time", "2026-03-01T09:00:01+01:00", False),
    ],
)
def test_capture_times(one: str, other: str, before: bool) -> None:
    assert taken_earlier(one, other) is before


def test_after_the_hand_over_no_photograph_is_asked_for(job_with: Change) -> None:
    """That a pair has one side is a gap then; nobody can take the other any more."""
    change = {"/photo_rows/5/pair": ""}
    for stage, asked in (("done", True), ("returned", False)):
        job = job_with({"/stage": stage, **change})
        assert ("now-photograph-after" in {f.code for f in to_record_now(job)}) is asked
        assert "pair-one-side" in {f.code for f in assess(job)}
