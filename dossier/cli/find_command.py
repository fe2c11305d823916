"""`dossier find`: find a finished job in the archive."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click
import msgspec

from dossier.cli import show
from dossier.cli.spoken import Spoken, plain
from dossier.cli.where import archive_option

if TYPE_CHECKING:
    from dossier.archive.catalogue import Entry

WORDS = Spoken(days=True)


def _dates(entry: Entry) -> str:
    key = "dates" if entry.returned else "not_returned"
    if not entry.received:
        key = "no_date" if not entry.returned else "not_received"
    return WORDS.say(f"archive.find.{key}", received=entry.received, returned=entry.returned)


def _line(entry: Entry) -> str:
    """The job; of something said later whose job is not in the archive, what was said.

    Of a bag whose record cannot be read that it is so: the audit says what is damaged.
    """
    if entry.about:
        return plain(entry.said or entry.bag)
    if not (entry.record or entry.job):
        return WORDS.say("archive.find.unreadable", bag=entry.bag)
    job = WORDS.say("archive.find.line", job=entry.job, object=entry.object, dates=_dates(entry))
    return WORDS.say("archive.find.copy", line=job, missing=entry.left_out) if entry.left_out else job


@click.command("find", help=WORDS.say("cli.find.help"), short_help=WORDS.say("cli.find.short"))
@click.argument("words", nargs=-1, required=True)
@archive_option("--in")
@click.option("--json", "as_json", is_flag=True, help=WORDS.say("cli.json"))
@click.option("--rebuild", is_flag=True, help=WORDS.say("cli.find.rebuild"))
def command(words: tuple[str, ...], archive: Path, as_json: bool, rebuild: bool) -> int:
    from dossier.flows import put_away  # noqa: PLC0415 - start-up: only this command needs it

    found = put_away.find(archive, words, rebuild=rebuild)
    if as_json:
        entries = [{k: v for k, v in msgspec.to_builtins(e).items() if k != "text"} for e in found]
        show.machine(entries)
        return 0 if found else 1
    for entry in found:
        click.echo(_line(entry))
        click.echo("    " + plain(str(archive / "bags" / entry.bag)))
        for said in entry.later:
            click.echo("    " + click.style(plain(said), fg="yellow"))
    if not found:
        click.echo(WORDS.say("archive.find.nothing", words=" ".join(words)), err=True)
    return 0 if found else 1
