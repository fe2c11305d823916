"""`dossier keys`: make the workshop's key, show its fingerprint, hand out its public part."""

from __future__ import annotations

from pathlib import Path

import click

from dossier.cli import passphrases, stopping
from dossier.cli.clock import now
from dossier.cli.keys_card import card_command, recovery_command, show_card
from dossier.cli.spoken import Spoken, plain

WORDS = Spoken()
STEM = "workshop"


@click.group("keys", help=WORDS.say("cli.keys.help"), short_help=WORDS.say("cli.keys.short"))
def command() -> None:
    """The group of the six."""


command.add_command(recovery_command)
command.add_command(card_command)


@command.command("new", help=WORDS.say("cli.keys.new.help"), short_help=WORDS.say("cli.keys.new.short"))
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.option("--name", required=True, help=WORDS.say("cli.keys.new.name"))
@click.option("--second", is_flag=True, help=WORDS.say("cli.keys.new.second"))
@click.option("--no-passphrase", is_flag=True, help=WORDS.say("cli.keys.new.no_passphrase_option"))
@passphrases.option
def new(folder: Path, name: str, second: bool, no_passphrase: bool, passphrase_file: Path | None) -> int:
    from dossier.flows import bagged  # noqa: PLC0415 - start-up: only this command needs it
    from dossier.seal import keyfiles, keys  # noqa: PLC0415 - start-up: only this command needs it

    bagged.refuse(folder)
    passphrase = "" if no_passphrase else passphrases.chosen(passphrase_file)
    key = keys.new_second_key() if second else keys.new_key(name, now=now())
    stem = f"{STEM}-second" if second else STEM
    with stopping.put_off():
        private, public, *_ = keyfiles.write_key(folder, stem, key, passphrase=passphrase)
        click.echo(WORDS.say("cli.keys.new.done", key=private))
        if not second:
            click.echo(WORDS.say("cli.keys.new.certificate", certificate=public))
        click.echo(WORDS.say("cli.keys.new.fingerprint", fingerprint=keys.fingerprint_words(key.kid)))
        what = "next_second" if second else "next"
        named = {"key": _from_workshop(private), "certificate": _from_workshop(public)}
        click.echo(WORDS.say(f"cli.keys.new.{what}", **named))
    if not passphrase:
        click.echo(WORDS.say("cli.keys.new.no_passphrase"), err=True)
    click.echo(WORDS.say("cli.keys.new.warning").strip(), err=True)
    return 0


def _from_workshop(path: Path) -> str:
    """As workshop.toml is to name it: from the nearest one, or where there is none yet from one folder up."""
    from dossier.intake.workshop import WORKSHOP_FILE, workshop_folder  # noqa: PLC0415 - start-up

    own = path.parent.resolve()
    home = workshop_folder(own)
    home = home if (home / WORKSHOP_FILE).is_file() else own.parent
    return (own / path.name).relative_to(home).as_posix()


@command.command("show", help=WORDS.say("cli.keys.show.help"), short_help=WORDS.say("cli.keys.show.short"))
@click.argument("file", type=click.Path(path_type=Path))
def show(file: Path) -> int:
    from dossier.seal import keys, publicfiles, trial  # noqa: PLC0415 - start-up: only this command needs it

    if show_card(file):
        return 0
    public = publicfiles.load_public(file, passphrases.at_terminal)
    click.echo(WORDS.say("cli.keys.new.fingerprint", fingerprint=keys.fingerprint_words(public["kid"])))
    click.echo(WORDS.say("cli.keys.show.kid", kid=public["kid"]))
    click.echo(WORDS.say("cli.keys.show.algorithm", algorithm=public["alg"]))
    if trial.is_trial(public["kid"]):
        click.echo(WORDS.say("cli.keys.show.trial"), err=True)
    return 0


@command.command(
    "export", help=WORDS.say("cli.keys.export.help"), short_help=WORDS.say("cli.keys.export.short")
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--to", "target", type=click.Path(path_type=Path), help=WORDS.say("cli.keys.export.to"))
def export(file: Path, target: Path | None) -> int:
    from dossier.flows import bagged  # noqa: PLC0415 - start-up: only this command needs it
    from dossier.seal import keyfiles, publicfiles  # noqa: PLC0415 - start-up: only this command

    if target:
        bagged.refuse(target)
    content = keyfiles.public_set(publicfiles.load_public(file, passphrases.at_terminal))
    if target is None:
        click.echo(content.decode(), nl=False)
    else:
        publicfiles.write_public(target, content)
        click.echo(plain(str(target)))
    return 0


@command.command("token", help=WORDS.say("cli.keys.token.help"), short_help=WORDS.say("cli.keys.token.short"))
@click.argument("uri")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.option("--name", required=True, help=WORDS.say("cli.keys.new.name"))
@click.option(
    "--passphrase-file", type=click.Path(path_type=Path, dir_okay=False), help=WORDS.say("cli.keys.token.pin")
)
def token_command(uri: str, folder: Path, name: str, passphrase_file: Path | None) -> int:
    from dossier.flows import bagged  # noqa: PLC0415 - start-up: only this command needs it
    from dossier.seal import keyfiles, keys, publicfiles, token  # noqa: PLC0415 - start-up: only this command

    bagged.refuse(folder)
    key = token.open_token(uri, lambda: passphrases.spoken(passphrase_file))
    certificate = keys.certificate_signed_by(key, name, now=now())
    path = folder / f"{STEM}-certificate.pem"
    with stopping.put_off():
        publicfiles.write_public(path, keyfiles.pem_of(certificate))
        publicfiles.write_public(folder / f"{STEM}-public.json", keyfiles.public_set(key.public))
    click.echo(WORDS.say("cli.keys.new.certificate", certificate=path))
    click.echo(WORDS.say("cli.keys.new.fingerprint", fingerprint=keys.fingerprint_words(key.kid)))
    click.echo(WORDS.say("cli.keys.token.next", key=uri, certificate=_from_workshop(path)))
    return 0
