"""The process that `meanwhile` starts: it makes the pictures of one job, says how far it is, and ends.

What works on pixels comes in while the job is still read elsewhere. What it says, one after another: ("at",
thread, files) and ("step", done, total), then one of ("made", facts of the photographs, `Pictures`),
("refused", message, hint), ("failed", why, files). Where nobody reads that any more, it ends at the next
word.

Not done here: a thread that waits on the input beside the work. On Windows no module of compiled code comes
in while one does (github.com/numpy/numpy/issues/24290).
"""

from __future__ import annotations

import os
import pickle
import sys
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING, BinaryIO

from dossier.errors import JobError
from dossier.memory import collect_seldom

if TYPE_CHECKING:
    from pathlib import Path

    from dossier.model.job import Job

    Asked = tuple[str, Path, Job]  # the language the program speaks, where the photographs lie, their job

STOPPED = 1


def main() -> None:
    """One job from standard input, what comes of it to standard output. Never returns: it ends."""
    collect_seldom()
    answer = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # what a library prints is no answer
    try:
        work(sys.stdin.buffer, answer)
    except OSError:  # nobody reads it
        os._exit(STOPPED)
    os._exit(0)  # at once: to give back all in order takes time of the program's own


def work(given: BinaryIO, answer: BinaryIO) -> None:
    """The pictures of the job that comes from `given`; all that goes wrong is an answer too.

    Raises OSError where the answer cannot be written.
    """

    one_at_a_time = threading.Lock()

    def say(*what: object) -> None:
        with one_at_a_time:
            pickle.dump(what, answer, pickle.HIGHEST_PROTOCOL)
            answer.flush()

    try:
        _derive(given, say)
    except JobError as error:
        say("refused", error.message, error.hint)
    except Exception as error:  # the other end has words for it
        say("failed", f"{type(error).__name__}: {error}", ", ".join(getattr(error, "__notes__", ())))


def _derive(given: BinaryIO, say: Callable[..., None]) -> None:
    from dossier.flows.compiling.pictures import derive_pictures  # noqa: PLC0415 - see above
    from dossier.pictures import decode  # noqa: PLC0415 - see above
    from dossier.words import speak  # noqa: PLC0415 - see above

    decode.opencv()
    asked: Asked = pickle.load(given)
    language, home, job = asked
    speak(language)
    seen, pictures = derive_pictures(
        home,
        job,
        lambda done, total: say("step", done, total),
        lambda files: say("at", threading.get_ident(), files),
    )
    say("made", seen.photo_facts, pictures)
