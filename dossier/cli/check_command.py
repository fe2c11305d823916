"""`dossier check`: read a job and report everything in one run."""

from __future__ import annotations

from pathlib import Path

import click
import msgspec

from dossier.cli import show
from dossier.cli.clock import now
from dossier.words import Catalogue

WORDS = Catalogue()
HAS_ERRORS = 65


@click.command("check", help=WORDS.say("cli.check.help"), short_help=WORDS.say("cli.check.short"))
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help=WORDS.say("cli.json"))
def command(folder: Path, as_json: bool) -> int:
    from dossier.flows.check import check_job  # noqa: PLC0415 - start-up: only this command needs it

    looked = check_job(folder, WORDS, today=now().date().isoformat())
    errors = any(f.level == "error" for f in looked.findings)
    if as_json:
        plain = {"stage": looked.stage, "findings": msgspec.to_builtins(looked.findings)}
        show.machine(plain)
        return HAS_ERRORS if errors else 0
    if looked.job and looked.job.number:
        line = WORDS.say(
            "cli.check.stage", job=looked.job.number, object=looked.job.object.type, stage=looked.stage
        )
        click.echo(click.style(line, bold=True) + "\n")
    show.findings(looked.findings, WORDS)
    if not errors:
        click.echo(WORDS.say("cli.check.can" if looked.findings else "cli.check.clean"))
    return HAS_ERRORS if errors else 0
