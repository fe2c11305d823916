"""How findings, results and progress look on a terminal. Colour never stands alone: a word is beside it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager

import click

from dossier.model.finding import LEVELS, Finding, Level
from dossier.words import Catalogue

_COLOURS: dict[Level, str] = {"error": "red", "gap": "yellow", "private": "magenta", "now": "blue"}


def findings(found: Iterable[Finding], words: Catalogue, *, err: bool = False) -> None:
    """Print findings by level, each with its place and what to write instead."""
    by_level: dict[Level, list[Finding]] = {level: [] for level in LEVELS}
    for finding in found:
        by_level[finding.level].append(finding)
    for level, group in by_level.items():
        if group:
            title = words.say(f"cli.level.{level}", n=len(group))
            click.echo(click.style(title, fg=_COLOURS[level], bold=True), err=err)
            for finding in group:
                _finding(finding, words, err)
            click.echo(err=err)


def _finding(finding: Finding, words: Catalogue, err: bool) -> None:
    place = f"{finding.at}: " if finding.at.file else ""
    click.echo(f"  {place}{finding.message} [{finding.code}]", err=err)
    if finding.hint:
        click.echo(f"      {words.say('cli.hint')} {finding.hint}", err=err)


@contextmanager
def progress(label: str) -> Iterator[Callable[[int, int], None]]:
    """A bar on a terminal, silence in a pipe; call what it gives with (done, of)."""
    if not sys.stderr.isatty():
        yield lambda done, of: None
        return
    with click.progressbar(length=1, label=label, file=sys.stderr, width=30) as bar:

        def step(done: int, of: int) -> None:
            bar.length = max(of, 1)
            bar.update(done - bar.pos)

        yield step
