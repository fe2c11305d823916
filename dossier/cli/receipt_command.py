"""`dossier receipt`: a paper to sign when an object comes in, or when it goes out."""

from __future__ import annotations

from pathlib import Path

import click

from dossier.cli import papers_asked
from dossier.cli.spoken import Spoken

WORDS = Spoken()


@click.command(
    "receipt", help=WORDS.say("papers.cli.receipt.help"), short_help=WORDS.say("papers.cli.receipt.short")
)
@papers_asked.common
@click.option("--handover", is_flag=True, help=WORDS.say("papers.cli.receipt.handover"))
def command(folder: Path, target: Path | None, paper: str | None, replace: bool, handover: bool) -> int:
    from dossier.flows.papers import make_receipt  # noqa: PLC0415 - start-up: only this command needs it

    wanted = papers_asked.asked(folder, target, paper, replace)
    papers_asked.done(make_receipt(wanted, handover=handover), private=True)
    return 0
