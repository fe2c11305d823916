"""The photographs of a job, worked on from the moment it is read, while the rest of the program comes in.

What judges, seals and draws takes most of a second to come in and be made ready; photographs need little of
Python, so that a thread is enough. Invariants: nothing is shown of it before `show`, since a passphrase may
still be asked for; whoever leaves early, since the job has errors or its key does not open, waits for no more
than the pictures under way.
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from threading import Event

import msgspec

from dossier.flows.compiling.pictures import Pictures, derive_pictures
from dossier.model.job import Job
from dossier.pictures.side_by_side import Progress


class StoppedError(Exception):
    """Nobody wants the pictures any more."""


class Meanwhile:
    """Pictures that are on their way."""

    def __init__(self, progress: Progress) -> None:
        self._progress = progress
        self._shown, self._stopped = Event(), Event()
        self._coming: Future[tuple[Job, Pictures]] | None = None

    def show(self) -> None:
        """From here on it is shown how far they are."""
        self._shown.set()

    def added_to(self, job: Job) -> tuple[Job, Pictures]:
        """The pictures, and the job with what was seen of its photographs. Raises JobError."""
        assert self._coming is not None, "a job that was not read has no pictures"
        seen, pictures = self._coming.result()
        return msgspec.structs.replace(job, photo_facts=seen.photo_facts), pictures

    def _begin(self, pool: ThreadPoolExecutor, folder: Path, job: Job) -> None:
        self._coming = pool.submit(derive_pictures, folder, job, self._step, self._go_on)

    def _step(self, done: int, total: int) -> None:
        if self._shown.is_set():
            self._progress(done, total)

    def _go_on(self) -> None:
        if self._stopped.is_set():
            raise StoppedError


@contextmanager
def begun(folder: Path, job: Job | None, progress: Progress) -> Iterator[Meanwhile]:
    """The pictures of `job`, on their way until it ends; none where there is no job."""
    photographs = Meanwhile(progress)
    with ThreadPoolExecutor(1) as pool:
        try:
            if job is not None:
                photographs._begin(pool, folder, job)
            yield photographs
        finally:
            photographs._stopped.set()
