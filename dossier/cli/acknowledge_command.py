"""`dossier acknowledge`: an owner signs for a record with a key of their own."""

from __future__ import annotations

from pathlib import Path

import click

from dossier.cli import passphrases
from dossier.cli.clock import now, random_bytes
from dossier.cli.signing_keys import load_keys
from dossier.cli.spoken import Spoken

WORDS = Spoken()
_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command(
    "acknowledge", help=WORDS.say("cli.acknowledge.help"), short_help=WORDS.say("cli.acknowledge.short")
)
@click.argument("record", type=click.Path(path_type=Path))
@click.option("--key", "key_file", type=_FILE, required=True, help=WORDS.say("cli.acknowledge.key"))
@click.option("--name", default="", help=WORDS.say("cli.acknowledge.name"))
@click.option("--to", "target", type=_FILE, help=WORDS.say("cli.declare.to"))
@passphrases.option
def command(
    record: Path, key_file: Path, name: str, target: Path | None, passphrase_file: Path | None
) -> int:
    from dossier.flows import stating  # noqa: PLC0415 - start-up: only this command needs it
    from dossier.seal import publicfiles, statements  # noqa: PLC0415 - start-up

    about, path = stating.named(record), stating.place(record, "receipt.json", target)
    (key,) = load_keys([key_file], passphrase_file)
    at = int(now().timestamp())
    data = statements.acknowledge(about.named, name, key, iat=at, chance=random_bytes(16))
    publicfiles.write_public(path, data)
    click.echo(WORDS.say("cli.acknowledge.done", file=path))
    return 0
