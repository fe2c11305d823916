"""Private keys by their files, for a command that signs; the passphrase comes from where all of them come."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from dossier.cli import passphrases
from dossier.cli.spoken import Spoken, plain

if TYPE_CHECKING:
    from dossier.seal.keys import WorkshopKey
    from dossier.seal.token import TokenKey


WORDS = Spoken()


def load_keys(paths: Sequence[Path], passphrase_file: Path | None) -> list[WorkshopKey | TokenKey]:
    """The keys of these files, or of tokens (by URI). Raises KeyFileError; what a key warns of is said."""
    return [_load(path, passphrase_file, path if len(paths) > 1 else None) for path in paths]


def _load(path: Path, passphrase_file: Path | None, named: Path | None) -> WorkshopKey | TokenKey:
    from dossier.seal import keyfiles, token  # noqa: PLC0415 - start-up: only what signs needs it

    if token.is_token(str(path)):
        return token.open_token(str(path), lambda: passphrases.spoken(passphrase_file, named))
    locked = keyfiles.needs_passphrase(path)
    key = keyfiles.load_key(path, passphrase=passphrases.spoken(passphrase_file, named) if locked else "")
    for warning in key.warnings:
        click.echo(plain(warning), err=True)
    return key


def keys_of_paper(paper: str | None, question: str = "ask_recovery") -> list[WorkshopKey]:
    """The two recovery keys of a paper whose digits stand in a file, or are typed (-); none without one."""
    from dossier.seal import recovery  # noqa: PLC0415 - start-up

    if paper is None:
        return []
    return [*recovery.keys_of(recovery.from_digits(_digits(paper, question)))]


def _digits(paper: str, question: str) -> str:
    from dossier.seal import keyfiles  # noqa: PLC0415 - start-up

    if paper == "-":
        asked: str = click.prompt(WORDS.say(f"cli.keys.card.{question}"), hide_input=True, err=True)
        return asked
    return keyfiles.read_bounded(Path(paper)).decode("utf-8", "replace")
