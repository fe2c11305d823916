"""`dossier new`: start a job from a template."""

from __future__ import annotations

from pathlib import Path

import click

from dossier.cli.spoken import Spoken

WORDS = Spoken()


@click.command("new", help=WORDS.say("cli.new.help"), short_help=WORDS.say("cli.new.short"))
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--workbook", is_flag=True, help=WORDS.say("cli.new.workbook"))
@click.option("--from", "earlier", type=click.Path(path_type=Path), help=WORDS.say("cli.new.earlier"))
def command(folder: Path, workbook: bool, earlier: Path | None) -> int:
    from dossier.flows.new import start_job  # noqa: PLC0415 - start-up: only this command needs it
    from dossier.flows.shell import quoted  # noqa: PLC0415 - start-up

    start_job(folder, workbook=workbook, earlier=earlier)
    click.echo(WORDS.say("cli.new.done", folder=folder if folder.name else folder.resolve()))
    click.echo(WORDS.say("cli.new.next", folder=quoted(folder), photos=folder / "photos"))
    return 0
