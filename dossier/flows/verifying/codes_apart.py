"""The QR codes in a stranger's picture, read in a process of its own that may work so long and no longer.

A picture of a few kB may be full of what looks like the corners of codes, which the reader compares with one
another, or made to be decoded again and again; no count of either beforehand is the library's own. The
process is stopped after `MOST_SECONDS` of work, where the system counts them (Windows does not: there, and
where it waits for something, after `MOST_WAIT`); real pictures take about one. One that makes a library break
down ends with its process.

Not done here: reading (`pictures.codes`), what a code means.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import msgspec

from dossier.errors import PictureError
from dossier.flows.compiling.meanwhile import unheard
from dossier.words import Catalogue

WORDS = Catalogue()
MOST_SECONDS = 10
MOST_WAIT = 30  # seconds
# Modules are looked for where this program looks for them, and nowhere else.
_START = (
    "import sys; sys.path[:] = sys.argv[4:]; from dossier.flows.verifying.codes_apart import main; main()"
)


class _Said(msgspec.Struct):
    texts: list[str] = []
    problem: str = ""


def read_codes(path: Path) -> list[str]:
    """The texts of the QR codes in the picture at `path`, each once. Raises PictureError."""
    asked = [str(path.absolute()), str(MOST_SECONDS), WORDS.language]
    command = [sys.executable, "-P", "-S", "-c", _START, *asked, *sys.path]
    try:
        ran = subprocess.run(
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            timeout=MOST_WAIT,
            check=False,
            **unheard(),
        )
    except subprocess.TimeoutExpired:
        raise _problem("too_long") from None
    except OSError as error:
        raise PictureError(f"{path}: {error.strerror}") from error
    if ran.returncode:
        limits = (getattr(signal, "SIGXCPU", 0), getattr(signal, "SIGKILL", 0))
        raise _problem("too_long" if -ran.returncode in limits else "undecodable")
    said = msgspec.json.decode(ran.stdout, type=_Said)
    if said.problem:
        raise PictureError(said.problem)
    return said.texts


def _problem(key: str) -> PictureError:
    return PictureError(WORDS.say(f"pictures.problem.{key}"))


def main() -> None:
    """The other end: the picture and the bound come as arguments, what was read goes to standard output."""
    path, seconds, language = sys.argv[1:4]
    _bound(int(seconds))
    answer = os.dup(sys.stdout.fileno())
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # what a library prints is no answer
    from dossier.pictures import codes  # noqa: PLC0415 - not at the other end, and bounded here
    from dossier.words import speak  # noqa: PLC0415

    speak(language)
    try:
        said = _Said(texts=codes.read_codes(Path(path)))
    except PictureError as error:
        said = _Said(problem=error.message)
    with os.fdopen(answer, "wb") as out:
        out.write(msgspec.json.encode(said))


def _bound(seconds: int) -> None:
    """The system ends the process that has worked so long, and keeps no image of its memory."""
    if sys.platform != "win32":
        import resource  # noqa: PLC0415 - not there on Windows

        hard = resource.getrlimit(resource.RLIMIT_CPU)[1]
        most = seconds if hard == resource.RLIM_INFINITY else min(seconds, hard)
        resource.setrlimit(resource.RLIMIT_CPU, (most, hard))
        resource.setrlimit(resource.RLIMIT_CORE, (0, resource.getrlimit(resource.RLIMIT_CORE)[1]))
