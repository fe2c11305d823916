"""Pictures that are worked on while a job is judged: what comes of them, what is shown, how they stop."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from threading import Event
from typing import Any

import msgspec
import pytest

from dossier.errors import JobError
from dossier.flows.compiling import meanwhile
from dossier.flows.compiling.pictures import Pictures
from dossier.model.job import Job, PhotoFacts, Workshop
from dossier.model.rows import Object, PhotoRow

JOB = Job(
    number="1",
    workshop=Workshop(name="W"),
    object=Object(type="chair"),
    photo_facts=(PhotoFacts(file="a.jpg", bytes=1, width=1, height=1, orientation=1),),
)
NONE = Pictures(shown=(), jpegs={}, laid={})
SECONDS = 60  # before a wait that nobody ends is given up


def test_what_was_seen_is_added_to_the_job_as_it_is_by_then(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen = msgspec.structs.replace(JOB.photo_facts[0], problem="cannot be read")

    def work(_folder: Path, job: Job, *_: Any) -> Any:
        return msgspec.structs.replace(job, photo_facts=(seen,)), NONE

    monkeypatch.setattr(meanwhile, "derive_pictures", work)
    with meanwhile.begun(tmp_path, JOB, lambda _done, _total: None) as photographs:
        job, pictures = photographs.added_to(msgspec.structs.replace(JOB, number="2"))
    assert (job.number, job.photo_facts, pictures) == ("2", (seen,), NONE)


def test_nothing_is_shown_while_a_passphrase_may_be_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told, may_be_seen, shown = Event(), Event(), []

    def work(_folder: Path, job: Job, progress: meanwhile.Progress, _: Any) -> Any:
        progress(1, 2)
        told.set()
        assert may_be_seen.wait(SECONDS)
        progress(2, 2)
        return job, NONE

    monkeypatch.setattr(meanwhile, "derive_pictures", work)
    with meanwhile.begun(tmp_path, JOB, lambda done, total: shown.append((done, total))) as photographs:
        assert told.wait(SECONDS)
        photographs.show()
        may_be_seen.set()
        photographs.added_to(JOB)
    assert shown == [(2, 2)]


def test_whoever_leaves_early_ends_the_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    begun, ended = Event(), []

    def work(_folder: Path, _job: Job, _progress: Any, go_on: Callable[[], None]) -> Any:
        begun.set()
        left = Event()
        for _ in range(SECONDS * 100):
            try:
                go_on()
            except meanwhile.StoppedError:
                ended.append(True)
                raise
            left.wait(0.01)
        return JOB, NONE

    monkeypatch.setattr(meanwhile, "derive_pictures", work)
    with (
        pytest.raises(JobError, match="a work log of another job"),
        meanwhile.begun(tmp_path, JOB, lambda _done, _total: None),
    ):
        assert begun.wait(SECONDS)
        raise JobError("a work log of another job")
    assert ended == [True]


def test_a_photograph_is_worked_on_only_while_it_is_wanted(tmp_path: Path) -> None:
    """The real work asks before each picture that it takes."""
    asked = []

    def go_on() -> None:
        asked.append(True)
        raise meanwhile.StoppedError

    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "a.jpg").write_bytes(b"x")
    with pytest.raises(meanwhile.StoppedError):
        meanwhile.derive_pictures(tmp_path, _with_a_row(), lambda _done, _total: None, go_on)
    assert len(asked) == 1


def test_a_job_that_was_not_read_has_no_pictures(tmp_path: Path) -> None:
    with meanwhile.begun(tmp_path, None, lambda _done, _total: None):
        pass


def _with_a_row() -> Job:
    return msgspec.structs.replace(JOB, photo_rows=(PhotoRow(file="a.jpg"),))
