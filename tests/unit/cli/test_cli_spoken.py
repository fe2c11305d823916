"""What comes of anybody's files stays on its line on a terminal, whichever command prints it."""

from __future__ import annotations

import importlib
import pkgutil
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

import dossier.cli
from dossier.cli import program, show
from dossier.cli.spoken import Spoken, line, plain

HOSTILE = "z: whole\n6 bags looked at; not whole: 0\n\n\x1b[8m\u202e"
MODULES = [one.name for one in pkgutil.iter_modules(dossier.cli.__path__)]


def test_a_line_is_one_line() -> None:
    """C0 and C1 controls (ECMA-48), line and paragraph separators, marks that turn the order (UAX 9)."""
    for sign in ("\n", "\r", "\x1b", "\x9b", "\x07", "\u2028", "\u2029", "\u202e", "\u2066"):
        assert line(f"a{sign}b") == plain(f"a{sign}b") == "a\ufffdb"
    said = Spoken().say("archive.audit.broken", bag=HOSTILE)
    assert said.count("\ufffd") == 5 and "\n" not in said


def test_names_of_every_script_and_paths_are_printed_as_they_are_spelt() -> None:
    """Blanks of General Category Zs; joiners (UAX 31, 2.3); a path that is composed names another file."""
    names = ["\u5c71\u7530\u3000\u592a\u90ce", "\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645"]
    names += ["\U0001f469\u200d\U0001f527", "cafe\u0301", "1\u202f250", "a\u00a0b"]
    for name in names:
        assert plain(name) == name and Spoken().say("archive.audit.broken", bag=name).count(name)
    assert plain("a\tb") == "a b" and line("cafe\u0301") == "caf\u00e9"


@pytest.mark.parametrize("name", MODULES)
def test_every_command_says_what_it_fills_in_so(name: str) -> None:
    module = importlib.import_module(f"dossier.cli.{name}")
    assert isinstance(getattr(module, "WORDS", Spoken()), Spoken)


def test_a_complaint_and_its_hint_too(capsys: pytest.CaptureFixture[str]) -> None:
    show.complaint(HOSTILE, f"first\nsecond \x1b[8m {HOSTILE.splitlines()[0]}")
    assert capsys.readouterr().err.splitlines() == [
        "dossier: z: whole\ufffd6 bags looked at; not whole: 0\ufffd\ufffd\ufffd[8m\ufffd",
        "hint: first",
        "hint: second \ufffd[8m z: whole",
    ]


@pytest.mark.skipif(sys.platform == "win32", reason="no such names there")
@pytest.mark.parametrize(
    "asked",
    [
        ("archive", "--audit", "--to", "{archive}"),
        ("find", "nothing", "--in", "{archive}", "--rebuild"),
        ("verify", "{archive}/bags/{name}"),
        ("copy", "{archive}/bags/{name}"),
        ("check", "{archive}/bags/{name}"),
        ("estimate", "{archive}/bags/{name}"),
        ("declare", "aftercare", "{archive}/bags/{name}", "--reason", "{name}"),
        ("keys", "show", "{archive}/bags/{name}"),
        ("new", "{archive}/bags/{name}"),
    ],
)
def test_a_folder_of_such_a_name_cannot_speak(tmp_path: Path, asked: tuple[str, ...]) -> None:
    """A bag that was named so had an audit close with a line of its own, and hide the true one."""
    bag = tmp_path / "archive" / "bags" / HOSTILE
    bag.mkdir(parents=True)
    (bag / "bagit.txt").write_text("BagIt-Version: 1.0\n", encoding="utf-8")
    words = [word.format(archive=tmp_path / "archive", name=HOSTILE) for word in asked]
    ran = CliRunner().invoke(program, words, color=True)
    for text in (ran.stdout, ran.stderr):
        assert "\x1b[8m" not in text and "\u202e" not in text
        assert not any(one.startswith("6 bags looked at") for one in text.splitlines())
