"""Private keys by their files, for a command that signs; the passphrase comes from where all of them come."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from dossier.cli import passphrases

if TYPE_CHECKING:
    from dossier.seal.keys import WorkshopKey


def load_keys(paths: Sequence[Path], passphrase_file: Path | None) -> list[WorkshopKey]:
    """The keys of these files. Raises KeyFileError; what a key warns of is said."""
    return [_load(path, passphrase_file) for path in paths]


def _load(path: Path, passphrase_file: Path | None) -> WorkshopKey:
    from dossier.seal import keyfiles  # noqa: PLC0415 - start-up: only what signs needs it

    locked = keyfiles.needs_passphrase(path)
    key = keyfiles.load_key(path, passphrase=passphrases.spoken(passphrase_file) if locked else "")
    for warning in key.warnings:
        click.echo(warning, err=True)
    return key
