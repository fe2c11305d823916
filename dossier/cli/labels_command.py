"""`dossier labels`: labels for bags of parts, by number."""

from __future__ import annotations

from pathlib import Path

import click

from dossier.cli import papers_asked
from dossier.cli.spoken import Spoken

WORDS = Spoken()


@click.command(
    "labels", help=WORDS.say("papers.cli.labels.help"), short_help=WORDS.say("papers.cli.labels.short")
)
@papers_asked.common
@click.option("--all", "every", is_flag=True, help=WORDS.say("papers.cli.labels.all"))
@click.option("--part", "parts", multiple=True, metavar="NUMBER", help=WORDS.say("papers.cli.labels.part"))
def command(
    folder: Path, target: Path | None, paper: str | None, replace: bool, every: bool, parts: tuple[str, ...]
) -> int:
    from dossier.flows.papers import make_labels  # noqa: PLC0415 - start-up: only this command needs it

    wanted = papers_asked.asked(folder, target, paper, replace)
    papers_asked.done(make_labels(wanted, parts, every=every), private=False)
    return 0
