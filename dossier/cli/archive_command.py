"""`dossier archive`: put finished jobs away, or re-hash what was put away."""

from __future__ import annotations

from pathlib import Path

import click

from dossier.cli import show
from dossier.cli.clock import now, random_bytes
from dossier.cli.spoken import Spoken, plain
from dossier.cli.where import archive_option
from dossier.errors import DossierError, OutputError

WORDS = Spoken()


@click.command("archive", help=WORDS.say("cli.archive.help"), short_help=WORDS.say("cli.archive.short"))
@click.argument("folders", nargs=-1, type=click.Path(path_type=Path), metavar="[FOLDER|STATEMENT]...")
@archive_option("--to")
@click.option("--audit", is_flag=True, help=WORDS.say("cli.archive.audit"))
@click.option("--renew", is_flag=True, help=WORDS.say("renewal.option"))
@click.option("--evidence-of", metavar="BAG", help=WORDS.say("renewal.of"))
@click.option("--server", "servers", multiple=True, metavar="ADDRESS", help=WORDS.say("renewal.server"))
@click.option(
    "--time-authority",
    "authority",
    multiple=True,
    metavar="FILE",
    help=WORDS.say("cli.verify.time_authority"),
)
@click.option("--job", type=click.Path(path_type=Path, file_okay=False), help=WORDS.say("cli.archive.job"))
@click.option("--without-job", is_flag=True, help=WORDS.say("cli.archive.without_job"))
def command(
    folders: tuple[Path, ...],
    archive: Path,
    audit: bool,
    renew: bool,
    evidence_of: str | None,
    servers: tuple[str, ...],
    authority: tuple[str, ...],
    job: Path | None,
    without_job: bool,
) -> int:
    from dossier.flows import put_away, put_later  # noqa: PLC0415 - start-up: only this command needs them

    if sum(map(bool, (folders, audit, renew, evidence_of))) > 1:
        raise click.UsageError(WORDS.say("cli.archive.one_thing"))
    if audit:
        return _audit(archive, authority)
    if renew:
        return _renew(archive, servers)
    if evidence_of:
        return _evidence_of(archive, evidence_of)
    if not folders:
        raise click.UsageError(WORDS.say("cli.archive.nothing"))
    if job and len(folders) > 1:
        raise click.UsageError(WORDS.say("cli.archive.one_job"))
    failed: list[DossierError] = []
    waiting = list(folders)
    while waiting:
        folder = waiting.pop(0)
        done: put_away.PutAway | put_later.Added
        try:
            if put_later.is_one(folder):
                done = put_later.put_later(folder, archive, now=now())
            else:
                done = put_away.put_away(folder, archive, now=now(), with_job=not without_job, job=job)
                waiting[:0] = put_away.said_later(folder)
        except DossierError as error:  # the others are put away all the same
            failed.append(error)
            continue
        for note in done.notes:
            click.echo(plain(note), err=True)
        click.echo(plain(done.message))
    for one in failed:
        show.complaint(one.message, one.hint)
    return failed[-1].exit_code if failed else 0


def _renew(archive: Path, servers: tuple[str, ...]) -> int:
    from dossier.flows import ask_time, put_away, renewal, stamp_later  # noqa: PLC0415 - start-up

    put_away.require(archive)
    named = stamp_later.servers(servers, archive)
    done = renewal.renew(archive, ask_time.Asking(named, now(), random_bytes, ask_time.fetch))
    for note in done.notes:
        click.echo(plain(note), err=True)
    click.echo(plain(done.message), err=not done.made)
    return 0 if done.made else 1


def _evidence_of(archive: Path, bag: str) -> int:
    """Write what the holder of a copy is handed; nothing that is there is overwritten."""
    from dossier import durable  # noqa: PLC0415 - start-up
    from dossier.flows import bagged, dossier_files, put_away, renewal  # noqa: PLC0415 - start-up

    put_away.require(archive)
    path = Path(dossier_files.EVIDENCE)
    bagged.refuse(path)
    made, notes = renewal.for_holder(archive, bag)
    try:
        durable.put(path, made)
    except OSError as error:
        raise OutputError(
            WORDS.say("renewal.not_written", file=path, why=_why(error)),
            hint=WORDS.say("renewal.not_written_hint"),
        ) from error
    for note in notes:
        click.echo(plain(note), err=True)
    click.echo(WORDS.say("renewal.of_done", file=path))
    return 0


def _why(error: OSError) -> str:
    if isinstance(error, FileExistsError):
        return WORDS.say("renewal.there")
    return error.strerror or type(error).__name__


def _audit_evidence(archive: Path, authority: tuple[str, ...]) -> bool:
    """Show the evidence of the archive; whether all of it holds."""
    from dossier.flows import renewal  # noqa: PLC0415 - start-up
    from dossier.seal import stamp_chain  # noqa: PLC0415 - start-up

    given = tuple(one for file in authority for one in stamp_chain.from_file(Path(file)))
    whole = True
    for report in renewal.audit(archive, given):
        whole = whole and not report.problems
        broken = WORDS.say("renewal.audit.broken", number=report.number)
        click.echo(click.style(broken, fg="red") if report.problems else plain(report.said))
        for problem in report.problems:
            click.echo(f"    {plain(problem)}")
    for advice in renewal.advice(archive):
        click.echo(plain(advice), err=True)
    return whole


def _audit(archive: Path, authority: tuple[str, ...]) -> int:
    from dossier.archive import bags  # noqa: PLC0415 - start-up: only this command needs it
    from dossier.flows import put_away  # noqa: PLC0415 - start-up

    broken = count = 0
    for report in put_away.audit(archive):
        count += 1
        if report.problems:
            broken += 1
            click.echo(click.style(WORDS.say("archive.audit.broken", bag=report.bag), fg="red"))
            for problem in report.problems:
                click.echo(f"    {plain(problem)}")
        else:
            click.echo(WORDS.say("archive.audit.whole", bag=report.bag, n=report.files))
    for name in bags.leftovers(archive):
        click.echo(WORDS.say("archive.audit.leftover", name=name), err=True)
    click.echo(WORDS.say("archive.audit.total", n=count, bad=broken))
    whole = _audit_evidence(archive, authority)
    return 1 if broken or not whole else 0
