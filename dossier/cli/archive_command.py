"""`dossier archive`: put finished jobs away, or re-hash what was put away."""

from __future__ import annotations

from pathlib import Path

import click

from dossier.cli.clock import now
from dossier.cli.where import archive_option
from dossier.words import Catalogue

WORDS = Catalogue()


@click.command("archive", help=WORDS.say("cli.archive.help"), short_help=WORDS.say("cli.archive.short"))
@click.argument("folders", nargs=-1, type=click.Path(path_type=Path))
@archive_option("--to")
@click.option("--audit", is_flag=True, help=WORDS.say("cli.archive.audit"))
@click.option("--job", type=click.Path(path_type=Path, file_okay=False), help=WORDS.say("cli.archive.job"))
@click.option("--without-job", is_flag=True, help=WORDS.say("cli.archive.without_job"))
def command(
    folders: tuple[Path, ...], archive: Path, audit: bool, job: Path | None, without_job: bool
) -> int:
    from dossier import put_away  # noqa: PLC0415 - start-up: only this command needs it

    if audit:
        return _audit(archive)
    if not folders:
        raise click.UsageError(WORDS.say("cli.archive.nothing"))
    if job and len(folders) > 1:
        raise click.UsageError(WORDS.say("cli.archive.one_job"))
    for folder in folders:
        done = put_away.put_away(folder, archive, now=now(), with_job=not without_job, job=job)
        for note in done.notes:
            click.echo(note, err=True)
        click.echo(done.message)
    return 0


def _audit(archive: Path) -> int:
    from dossier import put_away  # noqa: PLC0415 - start-up: only this command needs it

    broken = count = 0
    for report in put_away.audit(archive):
        count += 1
        if report.problems:
            broken += 1
            click.echo(click.style(WORDS.say("archive.audit.broken", bag=report.bag), fg="red"))
            for problem in report.problems:
                click.echo(f"    {problem}")
        else:
            click.echo(WORDS.say("archive.audit.whole", bag=report.bag, n=report.files))
    for name in put_away.leftovers(archive):
        click.echo(WORDS.say("archive.audit.leftover", name=name), err=True)
    click.echo(WORDS.say("archive.audit.total", n=count, bad=broken))
    return 1 if broken else 0
