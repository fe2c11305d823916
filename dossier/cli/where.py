"""Where things are when nobody says: the archive."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from dossier.words import Catalogue


def archive_option(name: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """The option that names the archive, the same for every command that needs one."""
    return click.option(
        name,
        "archive",
        type=click.Path(path_type=Path, file_okay=False),
        required=True,
        envvar="DOSSIER_ARCHIVE",
        metavar="ARCHIVE",
        help=Catalogue().say("cli.archive.where"),
    )
