"""Which photographs show work that was covered afterwards."""

from __future__ import annotations

import pytest

from dossier.model.covering import shows_work
from dossier.model.rows import Work
from dossier.model.words import Done, Stage


@pytest.mark.parametrize(
    ("done", "date", "stage", "taken", "shows"),
    [
        ("replaced", "2026-03-12", "working", "2026-03-12T16:00:00+01:00", True),
        ("replaced", "2026-03-12", "working", "2026-03-11T16:00:00+01:00", False),
        ("replaced", "2026-03-12", "working", "", True),
        ("replaced", "2026-03", "working", "2026-03-01", True),
        ("replaced", "2026", "working", "2025-12-31", False),
        ("replaced", "", "working", "2026-03-11", True),
        ("replaced", "2026-03-12", "opened", "2026-03-11", False),
        ("replaced", "2026-03-12", "opened", "2026-03-13", True),  # nobody wrote a stage for each day
        ("replaced", "2026-03-12", "opened", "", False),
        ("replaced", "", "opened", "2026-03-11", False),
        ("left as found", "2026-03-12", "opened", "2026-03-11", True),
        ("not examined", "", "opened", "", True),
        ("replaced", "2026-03-12", "received", "2026-03-12", False),
        ("replaced", "2026-03-12", "done", "2026-03-12", False),
        ("replaced", "2026-03-12", None, "2026-03-12", False),
    ],
)
def test_a_photograph_shows_work_that_was_covered(
    done: Done, date: str, stage: Stage | None, taken: str, shows: bool
) -> None:
    work = Work(number=1, date=date, parts=("1",), done=done, covered="yes")
    assert shows_work(work, stage, taken) == shows
