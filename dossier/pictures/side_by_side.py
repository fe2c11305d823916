"""Work on many photographs on a few threads: results in order, memory flat.

The libraries of pictures let go of Python while they work, so threads are enough. Not done here: the work.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager, nullcontext
from typing import TypeVar

from dossier.errors import PictureError
from dossier.memory import keep_pixels

Task = TypeVar("Task")
Result = TypeVar("Result")
Progress = Callable[[int, int], None]
Tell = Callable[[str], None]  # gets what its thread goes to work on, a file or two; "" once it is done

WORKERS = 2


def unheard(_file: str) -> None:
    """A `Tell` where nobody asks."""


@contextmanager
def at_work(files: str, tell: Tell) -> Iterator[None]:
    """Tells what is worked on; where that fails, the error knows too (`__notes__`)."""
    tell(files)
    try:
        yield
    except Exception as error:
        error.add_note(files)
        raise
    finally:
        tell("")


def in_order(
    work: Callable[[Task], Result],
    tasks: Sequence[Task],
    workers: int = WORKERS,
    progress: Progress | None = None,
    pool: ThreadPoolExecutor | None = None,
) -> Generator[Result | PictureError]:
    """`work` for each of `tasks`, in their order; a PictureError takes its result's place.

    On `workers` threads of its own, or on those of `pool`, where the caller has them do other work too. At
    most `workers` + 1 are under way or waiting to be taken, so that memory does not grow with the number of
    photographs. `progress` gets (done, total) in the caller's thread.
    """
    keep_pixels()
    waiting: deque[Future[Result | PictureError]] = deque()
    with nullcontext(pool) if pool else ThreadPoolExecutor(max(1, workers)) as threads:
        try:
            coming = iter(tasks)
            for done in range(1, len(tasks) + 1):
                while len(waiting) <= max(1, workers) and (task := next(coming, None)) is not None:
                    waiting.append(threads.submit(_or_error, work, task))
                yield waiting.popleft().result()
                if progress:
                    progress(done, len(tasks))
        finally:
            for future in waiting:
                future.cancel()


def _or_error(work: Callable[[Task], Result], task: Task) -> Result | PictureError:
    try:
        return work(task)
    except PictureError as error:
        return error
