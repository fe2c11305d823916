"""`dossier new`: start a job from a template."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from dossier.cli.clock import now
from dossier.cli.spoken import Spoken

if TYPE_CHECKING:
    from dossier.model.earlier import SaidLater

WORDS = Spoken()


@click.command("new", help=WORDS.say("cli.new.help"), short_help=WORDS.say("cli.new.short"))
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--workbook", is_flag=True, help=WORDS.say("cli.new.workbook"))
@click.option("--from", "earlier", type=click.Path(path_type=Path), help=WORDS.say("cli.new.earlier"))
def command(folder: Path, workbook: bool, earlier: Path | None) -> int:
    from dossier.flows.new import start_job  # noqa: PLC0415 - start-up: only this command needs it
    from dossier.flows.shell import quoted  # noqa: PLC0415 - start-up

    started = start_job(folder, workbook=workbook, earlier=earlier, today=now().date())
    click.echo(WORDS.say("cli.new.done", folder=folder if folder.name else folder.resolve()))
    if started.language:
        click.echo(WORDS.say("cli.new.language", language=started.language, own=started.own))
    for said in started.later:
        key = f"cli.new.later.{_kind(said)}"
        click.echo(WORDS.say(key, date=said.date, reason=said.reason, rows=said.rows))
    click.echo(WORDS.say("cli.new.next", folder=quoted(folder), photos=folder / "photos"))
    return 0


def _kind(said: SaidLater) -> str:
    """A correction of some rows names them."""
    return "correction of rows" if said.rows else said.kind
