"""`dossier estimate`: what was put to the owner, at what price, and what they answered."""

from __future__ import annotations

from pathlib import Path

import click

from dossier.cli import papers_asked
from dossier.cli.spoken import Spoken

WORDS = Spoken()


@click.command(
    "estimate", help=WORDS.say("papers.cli.estimate.help"), short_help=WORDS.say("papers.cli.estimate.short")
)
@papers_asked.common
def command(folder: Path, target: Path | None, paper: str | None, replace: bool) -> int:
    from dossier.flows.papers import make_estimate  # noqa: PLC0415 - start-up: only this command needs it

    papers_asked.done(make_estimate(papers_asked.asked(folder, target, paper, replace)), private=True)
    return 0
