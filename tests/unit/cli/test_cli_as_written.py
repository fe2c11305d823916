"""Commands in README, DEVELOPERS, FORMAT and in the words of the program can be typed as they are written."""

from __future__ import annotations

import re
import shlex
import tomllib
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from dossier.cli import NOBODY_READS, program
from dossier.cli.declare_command import _KINDS
from dossier.errors import DossierError

ROOT = Path(__file__).parents[3]
DOCUMENTS = ("README.md", "DEVELOPERS.md", "schemas/FORMAT.md", "schemas/CONTAINER.md")
WRITTEN = re.compile(r"`dossier ([^`]+)`")


def texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from texts(one)


def written() -> Iterator[str]:
    for name in DOCUMENTS:
        yield from WRITTEN.findall((ROOT / name).read_text("utf-8"))
    for file in sorted((ROOT / "dossier" / "words").glob("*/*.toml")):
        for text in texts(tomllib.loads(file.read_text("utf-8"))):
            yield from WRITTEN.findall(text)


def options_of(words: list[str]) -> set[str]:
    """The options of the command that these words begin with."""
    command: click.Command = program
    while isinstance(command, click.Group) and words:
        found = command.get_command(click.Context(command), words.pop(0))
        assert found is not None
        command = found
    return {name for one in command.params for name in one.opts} | {"--help"}


@pytest.mark.parametrize("line", sorted(set(written())))
def test_there_are_such_a_command_and_such_options(line: str) -> None:
    words = shlex.split(line)
    named = {word for word in words if word.startswith("--")}
    assert named <= options_of(words)


def test_readme_names_every_kind_of_statement_as_it_is_typed() -> None:
    (row,) = re.findall(r"\| `dossier declare .*", (ROOT / "README.md").read_text("utf-8"))
    assert set(re.findall(r"`([a-z-]+)`", row)) == set(_KINDS)


def test_the_help_of_verify_names_all_that_code_3_is_of() -> None:
    """FORMAT section 12: replaced, withdrawn, or reported lost or stolen."""
    verify = program.get_command(click.Context(program), "verify")
    assert verify is not None and verify.help is not None
    said = " ".join(verify.help.partition("\n            3")[2].partition("\n            4")[0].split())
    assert all(one in said for one in ("replaces", "withdraws", "lost or stolen"))


def test_readme_has_every_exit_code() -> None:
    table = (ROOT / "README.md").read_text("utf-8").partition("| exit code | |")[2].partition("\n\n")[0]
    assert set(re.findall(r"^\| (\d+) \|", table, re.MULTILINE)) == {str(code) for code in exit_codes()}


def exit_codes() -> Iterator[int]:
    yield from (0, 1, 130, NOBODY_READS)
    waiting: list[type[DossierError]] = [DossierError]
    while waiting:
        error = waiting.pop()
        waiting += error.__subclasses__()
        yield error.exit_code
