"""`dossier compile`: make the dossier of a job."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from dossier.cli import passphrases, show
from dossier.cli.clock import now, random_bytes
from dossier.cli.spoken import Spoken, plain
from dossier.model.words import COPIES, CopyKind

if TYPE_CHECKING:
    from dossier.flows.compile import Compiled
    from dossier.pages.options import Originals, Paper

WORDS = Spoken()


@click.command("compile", help=WORDS.say("cli.compile.help"), short_help=WORDS.say("cli.compile.short"))
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--to", "target", type=click.Path(path_type=Path), help=WORDS.say("cli.compile.to"))
@click.option("--draft", is_flag=True, help=WORDS.say("cli.compile.draft"))
@click.option(
    "--copy", "copies", type=click.Choice(COPIES), multiple=True, help=WORDS.say("cli.compile.copy")
)
@click.option(
    "--originals",
    type=click.Choice(["beside", "inside", "none"]),
    help=WORDS.say("cli.compile.originals"),
)
@click.option("--cleared", is_flag=True, help=WORDS.say("cli.compile.cleared"))
@click.option("--paper", type=click.Choice(["A4", "Letter"]), help=WORDS.say("cli.compile.paper"))
@click.option("--replace", is_flag=True, help=WORDS.say("cli.compile.replace"))
@passphrases.option
def command(
    folder: Path,
    target: Path | None,
    draft: bool,
    copies: tuple[str, ...],
    originals: str | None,
    cleared: bool,
    paper: str | None,
    replace: bool,
    passphrase_file: Path | None,
) -> int:
    from dossier.flows.compiling.meanwhile import begun  # noqa: PLC0415 - start-up: only this command needs it

    with begun() as photographs:
        from dossier.flows import compile as flow  # noqa: PLC0415 - while what works on photographs comes in
        from dossier.flows.compiling.options import Options  # noqa: PLC0415 - as above

        first, *others = copies or ("workshop",)
        options = Options(
            draft=draft,
            copy=cast("CopyKind", first),
            others=cast("tuple[CopyKind, ...]", tuple(others)),
            originals=cast("Originals", originals) if originals else "",
            cleared=cleared,
            paper=cast("Paper", paper) if paper else "",
            replace=replace,
        )
        with show.progress(WORDS.say("cli.compile.pictures")) as step:
            done = flow.compile_job(
                folder,
                target,
                options,
                now=now(),
                random=random_bytes,
                passphrase=lambda: passphrases.spoken(passphrase_file).encode(),
                progress=step,
                photographs=photographs,
            )
    _report(done)
    return 0


def _report(done: Compiled) -> None:
    click.echo(WORDS.say("cli.compile.done_draft" if done.draft else "cli.compile.done", path=done.pdf))
    for path in done.others:
        click.echo(WORDS.say("cli.compile.other", path=path))
    if not done.draft:
        click.echo(WORDS.say("cli.compile.record", record=done.record))
        click.echo(WORDS.say("cli.compile.digest", digest=done.digest))
    size = f"{done.bytes / 1e6:.1f}"
    click.echo(WORDS.say("cli.compile.size", size=size, n=done.photographs))
    for warning in done.warnings:
        click.echo(plain(warning), err=True)
    for level in ("gap", "private"):
        if count := sum(f.level == level for f in done.findings):
            click.echo(
                WORDS.say(f"cli.compile.{level}s" if level == "gap" else "cli.compile.private", n=count),
                err=True,
            )
    if done.trial_key:
        click.echo(WORDS.say("cli.compile.trial"), err=True)
