"""What the commands of the papers have in common: where to, which paper size, replace or not."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import click

from dossier.cli.clock import now
from dossier.cli.spoken import Spoken

if TYPE_CHECKING:
    from dossier.flows.papers import Asked
    from dossier.pages.options import Paper

WORDS = Spoken()
Command = Callable[..., Any]


def common(command: Command) -> Command:
    """The argument and options every paper has, in the order they are shown."""
    for option in (
        click.option("--replace", is_flag=True, help=WORDS.say("papers.cli.replace")),
        click.option("--paper", type=click.Choice(["A4", "Letter"]), help=WORDS.say("cli.compile.paper")),
        click.option(
            "--to",
            "target",
            type=click.Path(path_type=Path),
            metavar="FILE",
            help=WORDS.say("papers.cli.to"),
        ),
        click.argument("folder", type=click.Path(path_type=Path)),
    ):
        command = option(command)
    return command


def asked(folder: Path, target: Path | None, paper: str | None, replace: bool) -> Asked:
    from dossier.flows.papers import Asked  # noqa: PLC0415 - start-up: only where a paper is made

    size = cast("Paper", paper) if paper else ""
    return Asked(folder=folder, target=target, paper=size, replace=replace, now=now())


def done(path: Path, *, private: bool) -> None:
    click.echo(WORDS.say("papers.cli.done", path=path))
    if private:
        click.echo(WORDS.say("papers.cli.private"), err=True)
