"""A command that is misspelt is asked back; every command has a module and short words of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

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


@pytest.mark.skipif(os.name == "nt", reason="links are for administrators there")
def test_links_that_lead_in_a_circle_are_one_sentence(tmp_path: Path) -> None:
    """pathlib has an error of its own for them before Python 3.13, ELOOP of POSIX after that."""
    (tmp_path / "circle").symlink_to(tmp_path / "circle")
    asked = (sys.executable, "-m", "dossier", "new", str(tmp_path / "circle" / "job"))
    ran = subprocess.run(asked, capture_output=True, text=True, check=False)
    assert ran.returncode in (73, 74) and "circle" in ran.stderr and "should not" not in ran.stderr


@pytest.mark.parametrize(
    "asked", [["job", "--audit"], ["job", "--renew"], ["job", "--evidence-of", "b"], ["--audit", "--renew"]]
)
def test_an_archive_is_asked_for_one_thing_at_a_time(tmp_path: Path, asked: list[str]) -> None:
    """A folder named beside --audit was not put away, and the answer was that nothing is amiss."""
    ran = CliRunner().invoke(program, ["archive", "--to", str(tmp_path), *asked], standalone_mode=False)
    assert isinstance(ran.exception, click.UsageError)
    assert "one thing at a time" in ran.exception.message
