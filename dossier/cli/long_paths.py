"""What Windows does not say of a path that is too long for it: it says that there is no such file."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from dossier.cli.spoken import Spoken
from dossier.durable import MOST_OF_WINDOWS, too_long

WORDS = Spoken()


def hint(error: BaseException, given: str = "") -> str:
    """`given`, with a line on the path before it where that is what stands behind `error`."""
    long = next((name for name in _files(error) if too_long(name)), "")
    if not long:
        return given
    said = WORDS.say("cli.path_too_long", n=len(str(Path(long).absolute())), most=MOST_OF_WINDOWS)
    return f"{said}\n{given}".strip()


def _files(error: BaseException | None) -> Iterator[str]:
    """The files that an error, and what it came of, speak of."""
    while error is not None:
        if isinstance(error, OSError):
            yield from (name for name in (error.filename, error.filename2) if isinstance(name, str))
        error = error.__cause__ or error.__context__
