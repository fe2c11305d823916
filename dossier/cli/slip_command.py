"""`dossier slip`: the paper that is photographed first at each sitting."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from dossier.cli import papers_asked
from dossier.cli.spoken import Spoken
from dossier.model.words import STAGES

if TYPE_CHECKING:
    from dossier.model.words import Stage

WORDS = Spoken()


@click.command("slip", help=WORDS.say("papers.cli.slip.help"), short_help=WORDS.say("papers.cli.slip.short"))
@papers_asked.common
@click.option(
    "--stage", "stages", type=click.Choice(STAGES), multiple=True, help=WORDS.say("papers.cli.slip.stage")
)
def command(
    folder: Path,
    target: Path | None,
    paper: str | None,
    replace: bool,
    stages: tuple[str, ...],
) -> int:
    from dossier.flows.papers import make_slips  # noqa: PLC0415 - start-up: only this command needs it

    wanted = papers_asked.asked(folder, target, paper, replace)
    path = make_slips(wanted, [cast("Stage", stage) for stage in stages])
    papers_asked.done(path, private=False)
    return 0
