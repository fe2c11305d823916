"""`dossier declare`: a signed statement about a record."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain, count
from pathlib import Path
from typing import TYPE_CHECKING

import click

from dossier.cli import passphrases
from dossier.cli.clock import now, random_bytes
from dossier.cli.signing_keys import keys_of_paper, load_keys
from dossier.cli.spoken import Spoken, line
from dossier.errors import UnreadableError, UsageError

if TYPE_CHECKING:
    from dossier.flows.stating import About
    from dossier.model.statements import StatementKind
    from dossier.seal.keys import Signer

WORDS = Spoken()
_FILE = click.Path(path_type=Path, dir_okay=False)
_KINDS = (
    "correction",
    "supersession",
    "withdrawal",
    "aftercare",
    "lost-or-stolen",
    "found-again",
    "paper-receipt",
)


@click.command("declare", help=WORDS.say("cli.declare.help"), short_help=WORDS.say("cli.declare.short"))
@click.argument("kind", metavar="KIND", type=click.Choice(_KINDS))
@click.argument("record", type=click.Path(path_type=Path))
@click.option("--reason", required=True, help=WORDS.say("cli.declare.reason"))
@click.option("--key", "key_files", type=_FILE, multiple=True, help=WORDS.say("cli.declare.key"))
@click.option("--recovery", "paper", metavar="FILE|-", help=WORDS.say("cli.declare.recovery"))
@click.option("--rows", multiple=True, help=WORDS.say("cli.declare.rows"))
@click.option("--replaced-by", type=click.Path(path_type=Path), help=WORDS.say("cli.declare.replaced_by"))
@click.option("--scan", type=_FILE, help=WORDS.say("cli.declare.scan"))
@click.option("--name", default="", help=WORDS.say("cli.declare.name"))
@click.option("--to", "target", type=_FILE, help=WORDS.say("cli.declare.to"))
@passphrases.option
def command(
    kind: str,
    record: Path,
    reason: str,
    key_files: tuple[Path, ...],
    paper: str | None,
    rows: tuple[str, ...],
    replaced_by: Path | None,
    scan: Path | None,
    name: str,
    target: Path | None,
    passphrase_file: Path | None,
) -> int:
    from dossier.flows import stating  # noqa: PLC0415 - start-up: only this command needs it
    from dossier.seal import publicfiles, statements  # noqa: PLC0415 - start-up

    about, at = stating.named(record), now()
    path = stating.place(record, f"{kind}-{at.date().isoformat()}.json", target)
    path = path if target else _free(path)
    for row in rows:
        if row not in about.rows:  # what is signed cannot be taken back
            raise UsageError(
                WORDS.say("cli.declare.no_row", row=line(row)), hint=WORDS.say("cli.declare.no_row_hint")
            )
    said: StatementKind = kind.replace("-", " ")  # type: ignore[assignment]  # one of the choices above
    wanted = statements.Wanted(
        kind=said,
        about=about.named,
        reason=reason,
        rows=rows,
        replaced_by=stating.named(replaced_by).named if replaced_by else None,
        scan=stating.scan_of(scan) if scan else None,
    )
    if bool(key_files) == bool(paper):
        raise UsageError(WORDS.say("cli.declare.no_key"), hint=WORDS.say("cli.declare.no_key_hint"))
    signers: Sequence[Signer] = keys_of_paper(paper) or load_keys(key_files, passphrase_file)
    _mind_other_keys(signers, about)
    try:
        data = statements.state(
            wanted, name or about.workshop, signers, iat=int(at.timestamp()), chance=random_bytes(16)
        )
    except UnreadableError:
        raise UsageError(WORDS.say("cli.declare.unfit"), hint=WORDS.say("cli.declare.unfit_hint")) from None
    publicfiles.write_public(path, data)
    click.echo(WORDS.say("cli.declare.done", file=path))
    if private := stating.private_in(reason, about):
        click.echo(WORDS.say("cli.declare.private", words=", ".join(private), file=path), err=True)
    return 0


def _free(path: Path) -> Path:
    """The path, or the first that is not taken: more may be said of one kind on a day."""
    paths = (path.with_stem(f"{path.stem}-{number}") for number in count(2))
    return next(one for one in chain([path], paths) if not one.exists())


def _mind_other_keys(signers: Sequence[Signer], about: About) -> None:
    """Say where a check may not let the statement count: by other keys than the record's, or not by all."""
    ours = {key.kid for key in signers}
    if not ours & set(about.kids):
        click.echo(WORDS.say("cli.declare.other_key"), err=True)
    elif not set(about.kids) <= ours:
        click.echo(WORDS.say("cli.declare.fewer_keys"), err=True)
