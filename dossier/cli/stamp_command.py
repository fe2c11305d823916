"""`dossier stamp`: ask for the time-stamp of a finished record."""

from __future__ import annotations

from pathlib import Path

import click

from dossier.cli.clock import now, random_bytes
from dossier.cli.spoken import Spoken, plain
from dossier.errors import UsageError

WORDS = Spoken()


@click.command("stamp", help=WORDS.say("stamp.command.help"), short_help=WORDS.say("stamp.command.short"))
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="RECORD|FOLDER...")
@click.option("--server", "servers", multiple=True, metavar="ADDRESS", help=WORDS.say("stamp.command.server"))
@click.option("--inside", is_flag=True, help=WORDS.say("stamp.command.inside"))
@click.option("--crl", "lists", multiple=True, metavar="FILE", help=WORDS.say("stamp.command.crl"))
def command(
    files: tuple[Path, ...], servers: tuple[str, ...], *, inside: bool, lists: tuple[str, ...]
) -> int:
    from dossier.flows import ask_time, stamp_inside, stamp_later  # noqa: PLC0415 - start-up: only here
    from dossier.seal import revocation  # noqa: PLC0415 - start-up: only here

    if lists and not inside:
        raise UsageError(WORDS.say("stamp.inside.crl_alone"), hint=WORDS.say("stamp.inside.crl_alone_hint"))
    kept = [one for name in lists for one in revocation.from_file(Path(name))]
    missing = 0
    for file in files:
        stamp_later.refuse_in_bag(file)
        named = stamp_later.servers(servers, file)
        asking = ask_time.Asking(named, now(), random_bytes, ask_time.fetch)
        done = (
            stamp_inside.stamp_inside(file, asking, kept) if inside else stamp_later.stamp_one(file, asking)
        )
        for note in done.notes:
            click.echo(plain(note), err=True)
        click.echo(plain(done.message), err=not done.stamped)
        missing += not done.stamped
    return 1 if missing else 0
