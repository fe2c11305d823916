"""`dossier copy`: a holder's own copy for somebody else."""

from __future__ import annotations

from pathlib import Path
from typing import cast

import click

from dossier.cli.spoken import Spoken, line
from dossier.model.words import CopyKind
from dossier.words import LANGUAGES, speak

WORDS = Spoken()
_KINDS = ("resale", "insurer", "owner")


@click.command("copy", help=WORDS.say("copy.help"), short_help=WORDS.say("copy.short"))
@click.argument("source", type=click.Path(path_type=Path))
@click.option("--for", "kind", type=click.Choice(_KINDS), default="resale", help=WORDS.say("copy.for"))
@click.option("--without", multiple=True, metavar="PHOTOGRAPH", help=WORDS.say("copy.without"))
@click.option("--to", "target", type=click.Path(path_type=Path), help=WORDS.say("copy.to"))
@click.option("--replace", is_flag=True, help=WORDS.say("copy.replace"))
@click.option("--language", type=click.Choice(LANGUAGES), help=WORDS.say("cli.verify.language"))
def command(
    source: Path, kind: str, without: tuple[str, ...], target: Path | None, replace: bool, language: str
) -> int:
    from dossier.flows.holder_copy import make_copy  # noqa: PLC0415 - start-up: only this command needs it

    speak(language or "")
    target = target or _beside(source, kind)
    made = make_copy(source, target, cast("CopyKind", kind), frozenset(without), replace=replace)
    click.echo(WORDS.say("copy.done", path=made.pdf))
    what = [WORDS.say(f"pages.left_out.{missing}", n=count) for missing, count in made.not_in_copy]
    click.echo(WORDS.say("copy.not_in", what=_comma().join(what)) if what else WORDS.say("copy.all_in"))
    if made.along:
        click.echo(WORDS.say("copy.along", what=_comma().join(map(line, made.along))))
    return 0


def _comma() -> str:
    return WORDS.say("sentences.grammar.comma")


def _beside(source: Path, kind: str) -> Path:
    folder = source if source.is_dir() else source.parent
    home = folder.resolve()
    return home.with_name(f"{home.name}-{kind}")
