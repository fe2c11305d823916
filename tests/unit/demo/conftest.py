"""The demo jobs as read once, and the studio that makes their photographs."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from dossier.intake.folder import read_job
from dossier.model.finding import Finding
from dossier.model.job import Job

DEMO = Path(__file__).resolve().parents[3] / "demo_jobs"
NAMES = ("doctors_bag", "mantel_clock")


@pytest.fixture(scope="session")
def demo_folder() -> Path:
    return DEMO


@pytest.fixture(scope="session")
def demo_jobs() -> dict[str, tuple[Job, list[Finding]]]:
    read = {name: read_job(DEMO / name) for name in NAMES}
    return {name: (job, findings) for name, (job, findings) in read.items() if job is not None}


@pytest.fixture
def studio() -> Iterator[None]:
    """Makes `studio` importable for one test."""
    sys.path.insert(0, str(DEMO))
    yield
    sys.path.remove(str(DEMO))
