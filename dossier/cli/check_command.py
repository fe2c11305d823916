"""`dossier check`: read a job and report everything in one run."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click
import msgspec

from dossier.cli import show
from dossier.cli.clock import now
from dossier.cli.spoken import Spoken

if TYPE_CHECKING:
    from dossier.flows.check import Looked

WORDS = Spoken()
FOUND = Spoken("en")  # as findings are: labels of another language would stand in the midst of them


@click.command("check", help=WORDS.say("cli.check.help"), short_help=WORDS.say("cli.check.short"))
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help=WORDS.say("cli.json"))
def command(folder: Path, as_json: bool) -> int:
    from dossier.flows.check import check_job  # noqa: PLC0415 - start-up: only this command needs it
    from dossier.flows.shell import quoted  # noqa: PLC0415 - start-up
    from dossier.intake.near import job_error  # noqa: PLC0415 - start-up

    looked = check_job(folder, FOUND, today=now().date().isoformat(), to_sign=True)
    errors = any(f.level == "error" for f in looked.findings)
    code = job_error(looked.findings).exit_code if errors else 0
    if as_json:
        plain = {"stage": looked.stage, "findings": msgspec.to_builtins(looked.findings)}
        show.machine(plain)
        return code
    if looked.job and looked.job.number:
        job = ": ".join(filter(None, (looked.job.number, looked.job.object.type)))
        line = WORDS.say("cli.check.stage", job=job, stage=looked.stage)
        click.echo(click.style(line, bold=True) + "\n")
    show.findings(looked.findings, WORDS)
    if not errors:
        click.echo(WORDS.say(f"cli.check.{_can(looked)}"))
    if looked.job and looked.job.photo_rows:
        click.echo(WORDS.say("cli.check.pictures", n=len(looked.job.photo_rows), folder=quoted(folder)))
    return code


def _can(looked: Looked) -> str:
    if (
        not looked.job
        or not looked.job.workshop.key
        or any(f.code == "key-not-there" for f in looked.findings)
    ):
        return "draft"
    return "can" if looked.findings else "clean"
