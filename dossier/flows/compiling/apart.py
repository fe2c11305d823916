"""The process that `meanwhile` starts: it makes the pictures of one job, says how far it is, and ends.

What works on pixels comes in while the job is still read elsewhere. Whoever started it holds its input open:
where that closes, nobody wants the pictures any more. What it says, one after another: ("step", done, total),
then one of ("made", facts of the photographs, `Pictures`), ("refused", message, hint), ("failed", why).
"""

from __future__ import annotations

import os
import pickle
import sys
from collections.abc import Callable
from queue import SimpleQueue
from threading import Thread
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
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # what a library prints is no answer
    asked: SimpleQueue[Asked] = SimpleQueue()
    Thread(target=_listen, args=(sys.stdin.buffer, asked.put), daemon=True).start()
    work(asked.get, answer)
    os._exit(0)  # the other thread waits still


def _listen(given: BinaryIO, put: Callable[[Asked], None]) -> None:
    try:
        put(pickle.load(given))
        given.read()
    finally:
        os._exit(STOPPED)


def work(get: Callable[[], Asked], answer: BinaryIO) -> None:
    """The pictures of the job that `get` waits for; all that goes wrong is an answer too."""
    from dossier.flows.compiling.pictures import derive_pictures  # noqa: PLC0415 - see above
    from dossier.pictures import decode  # noqa: PLC0415 - see above
    from dossier.words import speak  # noqa: PLC0415 - see above

    def say(*what: object) -> None:
        pickle.dump(what, answer, pickle.HIGHEST_PROTOCOL)
        answer.flush()

    decode.opencv()
    language, home, job = get()
    speak(language)
    try:
        seen, pictures = derive_pictures(home, job, lambda done, total: say("step", done, total))
        say("made", seen.photo_facts, pictures)
    except JobError as error:
        say("refused", error.message, error.hint)
    except Exception as error:  # the other end has words for it
        say("failed", f"{type(error).__name__}: {error}")
