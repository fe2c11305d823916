"""A command that is misspelt is asked back; every command has a module and short words of its own."""

from __future__ import annotations

import click
import pytest
from click.testing import CliRunner

from dossier.cli import COMMANDS, program


@pytest.mark.parametrize(("typed", "meant"), [("vrify", "verify"), ("chek", "check"), ("archiv", "archive")])
def test_the_near_one_is_named(typed: str, meant: str) -> None:
    ran = CliRunner().invoke(program, [typed, "x"])
    assert ran.exit_code == 2 and f'did you mean "{meant}"' in ran.output


def test_of_one_that_is_like_none_that_is_said() -> None:
    ran = CliRunner().invoke(program, ["qqq"])
    assert ran.exit_code == 2 and "qqq" in ran.output and "mean" not in ran.output


def test_each_is_there() -> None:
    group = program
    assert isinstance(group, click.Group)
    for name in COMMANDS:
        command = group.get_command(click.Context(group), name)
        assert command is not None and command.name == name and command.short_help
