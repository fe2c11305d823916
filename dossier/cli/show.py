"""How findings, results and progress look on a terminal. Colour never stands alone: a word is beside it."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

import click

from dossier.cli.spoken import line, plain
from dossier.model.finding import LEVELS, Finding, Level
from dossier.words import Catalogue

_FEW = 2  # of one code are shown each in full
_MOST_PLACES = 60
_EACH_LEVEL = frozenset({"error", "private"})
_EACH_CODE = frozenset({"photograph-cannot-serve"})
_COLOURS: dict[Level, str] = {
    "error": "red",
    "gap": "yellow",
    "private": "magenta",
    "note": "cyan",
    "now": "blue",
}


def findings(found: Iterable[Finding], words: Catalogue, *, err: bool = False) -> None:
    """Print findings by level, each with its place and what to write instead."""
    by_level: dict[Level, list[Finding]] = {level: [] for level in LEVELS}
    for finding in found:
        by_level[finding.level].append(finding)
    for level, group in by_level.items():
        if group:
            besides = level == "gap" and by_level["error"]  # with errors no dossier can be made yet
            title = words.say(f"cli.level.{'gap_besides' if besides else level}", n=len(group))
            click.echo(click.style(title, fg=_COLOURS[level], bold=True), err=err)
            for some in _alike(group):
                _finding(some, words, err)
            click.echo(err=err)


def _alike(found: list[Finding]) -> list[list[Finding]]:
    """Findings of one code together, where there are more than `_FEW`, in the order of the first of each.

    Errors and private words are each shown in full, where they do not say the same of several places; so are
    photographs left out: every one has its own reason.
    """
    by_code: dict[tuple[str, ...], list[Finding]] = {}
    for number, finding in enumerate(found):
        same = finding.message if finding.level in _EACH_LEVEL else ""
        alone = str(number) if finding.code in _EACH_CODE else ""
        by_code.setdefault((finding.code, finding.hint, same, alone), []).append(finding)
    groups: list[list[Finding]] = []
    for some in by_code.values():
        groups += [some] if len(some) > _FEW else [[one] for one in some]
    return groups


def _finding(some: list[Finding], words: Catalogue, err: bool) -> None:
    """One finding with its place; of several of one code the first in full, and the places of all."""
    first = some[0]
    place = f"{first.at}: " if first.at.file and len(some) == 1 else ""
    times = "times" if len({one.message for one in some}) > 1 else "times_same"
    count = words.say(f"cli.{times}", n=len(some)) if len(some) > 1 else ""
    click.echo(f"  {line(place)}{count}{_on_one(first.message)} [{first.code}]", err=err)
    if first.hint:
        click.echo(f"      {words.say('cli.hint')} {_on_one(first.hint)}", err=err)
    if len(some) > 1:
        places = "cli.cells" if first.at.cell else "cli.lines"
        click.echo(f"      {words.say(places, places=line(_places(some)))}", err=err)


def _on_one(said: str) -> str:
    """Words with what was typed in them, which may be of several lines."""
    return line(" ".join(said.split("\n")))


def _places(some: list[Finding]) -> str:
    """Up to sixty places, then how many more; the file or sheet once where it is the same."""
    files = {(one.at.file, one.at.sheet) for one in some}
    places = list(dict.fromkeys(_place(one, short=len(files) == 1) for one in some))
    shown = ", ".join(places[:_MOST_PLACES])
    more = len(places) - _MOST_PLACES
    head = f"{some[0].at.within}: " if len(files) == 1 and some[0].at.file else ""
    return head + shown + (f" +{more}" if more > 0 else "")


def _place(one: Finding, *, short: bool) -> str:
    """Line or cell, with the parts spoken of; whole where files differ."""
    at = one.at
    where = str(at) if not short else at.cell or (str(at.line) if at.line else "")
    parts = ", ".join(one.parts[:3])
    return f"{where} ({parts})" if where and parts else where or parts or "-"


def complaint(message: str, hint: str) -> None:
    """What could not be done, and what to do."""
    click.echo(f"dossier: {plain(message)}", err=True)
    for one in filter(None, hint.split("\n")):
        click.echo(f"hint: {plain(one)}", err=True)


def machine(plain: Any) -> None:
    """Print a value as JSON, in ASCII alone: it reads the same through every terminal and pipe (RFC 8259).

    The name of a file need not be text; half a character would be refused elsewhere (RFC 8259, 8.2).
    """
    text = json.dumps(plain, ensure_ascii=False).encode("utf-8", "replace")
    click.echo(json.dumps(json.loads(text), indent=2))


@contextmanager
def progress(label: str) -> Iterator[Callable[[int, int], None]]:
    """A bar on a terminal, silence in a pipe; call what it gives with (done, of).

    It is drawn with the first call: until then a passphrase may be asked for in its line.
    """
    if not sys.stderr.isatty():
        yield lambda done, of: None
        return
    bars: list[Any] = []
    with ExitStack() as shown:

        def step(done: int, of: int) -> None:
            if not bars:
                bar = click.progressbar(length=max(of, 1), label=label, file=sys.stderr, width=30)
                bars.append(shown.enter_context(bar))
            bars[0].update(done - bars[0].pos)

        yield step
