"""Where a passphrase comes from: a file, or the person at the terminal. It is never shown and never kept."""

from __future__ import annotations

import contextlib
import io
import os
import sys
import warnings
from pathlib import Path

import click

from dossier.cli.spoken import Spoken
from dossier.errors import KeyFileError

WORDS = Spoken()
MOST_BYTES = 4096
option = click.option(
    "--passphrase-file",
    type=click.Path(path_type=Path, dir_okay=False),
    help=WORDS.say("cli.compile.passphrase_file"),
)


def spoken(file: Path | None, key: Path | None = None) -> str:
    """The passphrase of a key (`key`, where there are several): from `file`, else asked for.

    Raises KeyFileError.
    """
    if file:
        return _from_file(file)
    question = WORDS.say("cli.compile.passphrase")
    return _asked(f"{question} ({key})" if key else question)


def at_terminal() -> str:
    """The passphrase of a key that is looked at, for which its certificate would do. Raises KeyFileError."""
    return _asked(WORDS.say("cli.compile.passphrase"), hint="nobody_show")


def chosen(file: Path | None) -> str:
    """The passphrase for a new key: from `file`, else typed twice, where empty means none."""
    return _from_file(file) if file else _asked(WORDS.say("cli.keys.new.ask"), twice=True)


def _from_file(file: Path) -> str:
    """What the file's one line holds; editors' marks at its beginning and the end of the line are no part."""
    try:
        with file.open("rb") as stream:
            text = stream.read(MOST_BYTES + 1).decode("utf-8-sig").rstrip("\r\n")
    except OSError as error:
        raise _problem("unreadable", file, why=error.strerror) from error
    except UnicodeDecodeError:
        raise _problem("not_text", file) from None
    if not text:
        raise _problem("empty", file)
    if "\n" in text or len(text) > MOST_BYTES:
        raise _problem("lines", file)
    return text


def _asked(question: str, *, twice: bool = False, hint: str = "") -> str:
    quiet = contextlib.nullcontext() if _somebody() else contextlib.redirect_stderr(io.StringIO())
    try:
        with warnings.catch_warnings(), quiet:
            warnings.simplefilter("ignore")  # and without a terminal the library writes its own words on echo
            asked: str = click.prompt(
                question,
                hide_input=True,
                confirmation_prompt=twice,
                default="" if twice else None,
                show_default=False,
                err=True,
            )
    except click.Abort:
        if sys.stdin.isatty():
            raise
        nobody = "nobody_new" if twice else "nobody"
        raise KeyFileError(
            WORDS.say(f"cli.passphrase.{nobody}"), hint=WORDS.say(f"cli.passphrase.{hint or nobody}_hint")
        ) from None
    return asked


def _somebody() -> bool:
    """Whether there is a terminal to ask at: the library asks there also where the input is a pipe."""
    if sys.stdin.isatty():
        return True
    try:
        os.close(os.open("/dev/tty", os.O_RDWR))
    except OSError:  # nor on Windows
        return False
    return True


def _problem(key: str, file: Path, **values: object) -> KeyFileError:
    return KeyFileError(
        WORDS.say(f"cli.passphrase.{key}", file=file, **values), hint=WORDS.say("cli.passphrase.hint")
    )
