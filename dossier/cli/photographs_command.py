"""`dossier photographs`: look at a job's photographs as evidence, and propose pairs."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import click

from dossier.cli import show
from dossier.cli.spoken import Spoken, line
from dossier.errors import UsageError

if TYPE_CHECKING:
    from collections.abc import Container, Sequence

    from dossier.flows.photographs import Looked, Pair
    from dossier.model.words import Side

WORDS = Spoken()


@click.command(
    "photographs", help=WORDS.say("evidence.command.help"), short_help=WORDS.say("evidence.command.short")
)
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--propose", "proposing", is_flag=True, help=WORDS.say("evidence.command.propose"))
@click.option("--to", "sheet", type=click.Path(path_type=Path), help=WORDS.say("evidence.command.to"))
@click.option("--changes", type=click.Path(path_type=Path), help=WORDS.say("evidence.command.changes"))
@click.option("--measure", "measuring", is_flag=True, help=WORDS.say("measuring.command.measure"))
def command(folder: Path, proposing: bool, sheet: Path | None, changes: Path | None, measuring: bool) -> int:
    from dossier.flows import as_sheets, photographs  # noqa: PLC0415 - start-up: only this command needs it
    from dossier.flows.looking import writing  # noqa: PLC0415 - start-up: only this command needs it

    if measuring + bool(changes) + bool(proposing or sheet) > 1:
        raise UsageError(WORDS.say("evidence.flow.alone"), hint=WORDS.say("evidence.flow.alone_hint"))
    if measuring:
        return _measure(folder)
    if changes:
        return _draw_changes(folder, changes)
    if sheet:
        writing.check_sheet(folder, sheet, WORDS)
    with show.progress(WORDS.say("evidence.command.progress")) as step:
        looked = photographs.look(folder, WORDS, step)
    _say(looked)
    pairs = photographs.propose(looked) if proposing or sheet else ()
    sheets = writing.write_sheet(folder, sheet, looked, pairs, WORDS) if sheet else []
    if looked.sorted:
        click.echo(WORDS.say("evidence.slip.sorted", n=looked.sorted))
    if proposing and not pairs:
        click.echo(
            as_sheets.text_of(
                looked.job, WORDS.say(f"evidence.flow.{_why_none(photographs.sides(looked))}"), WORDS
            )
        )
    if proposing and (pairs or looked.sorted):
        _say_written(folder, pairs, writing.write_proposal(folder, looked, pairs, WORDS))
    for written in sheets:
        click.echo(WORDS.say("evidence.flow.sheet", file=written))
    return 0


def _say_written(folder: Path, pairs: Sequence[Pair], path: Path) -> None:
    from dossier.flows.looking import writing  # noqa: PLC0415 - start-up: only where it is asked for

    sure = sum(pair.proposal.confidence == "sure" for pair in pairs)
    said = "proposed" if pairs else "only_stages"
    click.echo(WORDS.say(f"evidence.flow.{said}", n=len(pairs), sure=sure, file=path))
    if sure < len(pairs):
        click.echo(WORDS.say("evidence.flow.likely"))
    if n := sum(photo.is_open for pair in pairs for photo in (pair.before, pair.after)):
        click.echo(WORDS.say("evidence.flow.stage_open", n=n))
    if next_step := writing.how_it_is_read(folder, path):
        click.echo(WORDS.say(f"evidence.flow.{next_step}"))


def _why_none(sides: Container[Side | None]) -> str:
    """Which sentence says why no pair is proposed: the side of which there is no photograph, first."""
    if "before" not in sides:
        return "no_before"
    return "no_pairs" if "after" in sides else "no_after"


def _measure(folder: Path) -> int:
    from dossier.flows import as_sheets  # noqa: PLC0415 - start-up: only here
    from dossier.flows.looking import measure, measure_rows  # noqa: PLC0415 - start-up: only here

    with show.progress(WORDS.say("evidence.command.progress")) as step:
        taken = measure.measure(folder, WORDS, step)
    show.findings(taken.findings, WORDS, err=True)
    for row in measure_rows.lines(taken, WORDS):
        click.echo(line(as_sheets.text_of(taken.job, row, WORDS)))
    if new := measure_rows.rows(taken):
        path = measure_rows.write_proposal(folder, taken, WORDS)
        click.echo(WORDS.say("measuring.flow.proposed", n=len(new), file=path))
        if today := len(taken.job.measurements):
            click.echo(WORDS.say("measuring.flow.rows", n=today))
    return 0


def _draw_changes(folder: Path, target: Path) -> int:
    from dossier.flows.looking.changed import draw_changes  # noqa: PLC0415 - start-up: only where it is asked for

    with show.progress(WORDS.say("evidence.command.progress")) as step:
        drawn, findings = draw_changes(folder, target, WORDS, step)
    show.findings(findings, WORDS, err=True)
    for one in drawn:
        said = one.file or WORDS.say("evidence.changes.none", why=one.why)
        click.echo(line(f"{one.before}, {one.after}: {said}"))
    click.echo(WORDS.say("evidence.changes.limits" if drawn else "evidence.changes.no_pairs"))
    return 0


def _say_outside(looked: Looked) -> None:
    from dossier.flows import as_sheets, photographs  # noqa: PLC0415 - start-up: only this command needs it

    outside = photographs.outside(looked)
    if outside:
        days, n = sorted(outside.values()), len(outside)
        span = " – ".join(sorted({days[0], days[-1]}))
        said = WORDS.say("evidence.flow.outside", n=n, file=next(iter(outside)), more=n - 1, days=span)
        click.echo(line(as_sheets.text_of(looked.job, said, WORDS)))


def _say(looked: Looked) -> None:
    sides = Counter(photo.row.side or "unknown" for photo in looked.photos)
    counts = {side: sides[side] for side in ("before", "after", "during", "unknown")}
    click.echo(WORDS.say("evidence.flow.looked", n=len(looked.photos), **counts))
    if untimed := [photo.facts.file for photo in looked.photos if not photo.facts.taken]:
        n = len(untimed)
        click.echo(line(WORDS.say("evidence.flow.untimed", n=n, file=untimed[0], more=n - 1)))
    _say_outside(looked)
    click.echo()
    for finding in looked.findings:
        # Of a photograph its name stands in the words; of a row in a table the place does not.
        place = "" if finding.at.file.startswith("photos/") else f"{finding.at}: "
        click.echo(f"  {line(place + finding.message)} [{finding.code}]")
        if finding.hint:
            click.echo(f"      {WORDS.say('cli.hint')} {line(finding.hint)}")
    if not looked.findings:
        click.echo(WORDS.say("evidence.flow.nothing"))
