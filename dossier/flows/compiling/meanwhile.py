"""The photographs of a job, worked on in a process of their own, while the rest of the program comes in.

What reads, judges, seals and draws takes most of a second to come in and be made ready, and what works on
pixels a quarter of one: both go on at once (`apart` is the other end). Invariants: the process writes no
file, so that it may be stopped at any time; nothing is shown of it before `added_to`, since a passphrase may
still be asked for; whoever leaves early, since the job has errors or its key does not open, does not wait.

What this needs itself comes in where it is needed: the process starts before all else.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dossier.errors import DossierError, JobError
from dossier.words import Catalogue

if TYPE_CHECKING:
    from dossier.model.job import Job
    from dossier.model.picture import Pictures
    from dossier.pictures.side_by_side import Progress

WORDS = Catalogue()
# Modules are looked for where this program looks for them, and nowhere else.
_START = "import sys; sys.path[:] = sys.argv[1:]; from dossier.flows.compiling.apart import main; main()"


class Meanwhile:
    """Pictures that are on their way."""

    def __init__(self, process: subprocess.Popen[bytes]) -> None:
        self._process = process
        self._at: dict[int, str] = {}  # the photographs that each thread is at work on

    def begin(self, home: Path, job: Job) -> None:
        """Hands over the job, whose photographs lie in the folder `home`."""
        import pickle  # noqa: PLC0415 - see above

        from msgspec.structs import replace  # noqa: PLC0415 - see above

        asked = (WORDS.language, home.absolute(), replace(job, where={}, notes=(), inputs=()))
        assert self._process.stdin is not None
        with suppress(OSError):  # that it ended is told by `added_to`
            pickle.dump(asked, self._process.stdin, pickle.HIGHEST_PROTOCOL)
            self._process.stdin.flush()

    def added_to(self, job: Job, progress: Progress) -> tuple[Job, Pictures]:
        """The pictures, and the job with what was seen of its photographs.

        Raises JobError where a photograph cannot be read any more, DossierError where the process fails; it
        names those at work on then: a decoder that breaks down takes its process with it.
        """
        from msgspec.structs import replace  # noqa: PLC0415 - see above

        while True:
            kind, *said = self._next()
            if kind == "at":
                thread, files = said
                self._at[thread] = files
            elif kind == "step":
                progress(*said)
            elif kind == "made":
                facts, pictures = said
                return replace(job, photo_facts=facts), pictures
            elif kind == "refused":
                message, hint = said
                raise JobError(message, hint=hint)
            else:
                raise _failed(*said)

    def _next(self) -> Any:
        import pickle  # noqa: PLC0415 - see above

        assert self._process.stdout is not None
        try:
            return pickle.load(self._process.stdout)
        except (EOFError, pickle.UnpicklingError):  # broken off
            files = ", ".join(sorted(filter(None, self._at.values())))
            raise _failed(f"exit code {self._process.wait()}", files) from None


def _failed(why: str, files: str) -> DossierError:
    hint = WORDS.say("compile.pictures_failed_hint", files=files) if files else ""
    return DossierError(WORDS.say("compile.pictures_failed", why=why), hint=hint)


@contextmanager
def begun() -> Iterator[Meanwhile]:
    """Gets ready for a job, whose pictures are on their way from `begin` on until this ends."""
    command = [sys.executable, "-P", "-S", "-c", _START, *sys.path]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, **unheard()) as process:
        try:
            yield Meanwhile(process)
        finally:
            process.kill()
            with suppress(OSError):  # what it did not take is not wanted any more
                process.communicate()


def unheard() -> dict[str, Any]:
    """Ctrl-C is heard by the program alone, which then stops this."""
    if sys.platform == "win32":
        return {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP}
    return {"start_new_session": True}
