"""A workshop replaces its recovery key by the command, and a buyer who knows the old digits follows."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from dossier.seal import keycard
from dossier.seal.keys import fingerprint_words
from dossier.words import Catalogue

WORDS = Catalogue("en")
README = Path(__file__).parents[2] / "README.md"
HANDED = re.compile(r"(?:dossier|new recovery) key[^`\n]*--new-recovery[^`\n]*")


def test_the_recovery_key_is_replaced_by_the_command(tmp_path: Path, run: Callable[..., Any]) -> None:
    files = {name: tmp_path / name for name in ("old.txt", "new.txt", "one.json", "two.json", "three.json")}
    old, new, one, two, three = map(str, files.values())
    keys = str(tmp_path / "keys")
    assert run("keys", "new", keys, "--name", "Two Benches", "--no-passphrase").code == 0
    key = ("--key", f"{keys}/workshop-key.pem")
    for paper in (old, new):
        assert run("keys", "recovery", paper, "--name", "Two Benches").code == 0
    assert run("keys", "card", one, "--recovery", old, "--name", "Two Benches", *key).code == 0
    refused = run("keys", "card", two, "--from", one, "--new-recovery", new, *key)
    assert refused.code != 0
    assert "only the recovery key before can name the new one" in refused.err
    done = run("keys", "card", two, "--from", one, "--recovery", old, "--new-recovery", new, *key)
    assert done.code == 0, done.out + done.err
    first, second = (keycard.read(files[name].read_bytes()) for name in ("one.json", "two.json"))
    assert first.fingerprint in done.out + done.err
    assert second.fingerprint in done.out + done.err
    assert run("keys", "card", three, "--from", two, "--recovery", old, *key).code != 0
    checked = run("verify", two, "--trust", first.fingerprint)
    assert checked.code == 0, checked.out
    assert first.fingerprint in checked.out
    assert fingerprint_words(first.card.keys[0].key["kid"]) in checked.out


@pytest.fixture
def workshop(tmp_path: Path, run: Callable[..., Any], monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with files of the names that stand in the words: keys, papers and a first card."""
    monkeypatch.chdir(tmp_path)
    assert run("keys", "new", "keys", "--name", "Two Benches", "--no-passphrase").code == 0
    Path("keys", "workshop-key.pem").rename("KEY")
    for paper in ("OLD", "NEW"):
        assert run("keys", "recovery", paper, "--name", "Two Benches").code == 0
    for paper in ("THIS", "PAPER"):
        Path(paper).write_bytes(Path("OLD").read_bytes())
    first = ("--recovery", "OLD", "--name", "Two Benches", "--key", "KEY")
    assert run("keys", "card", "OLDCARD", *first).code == 0
    return tmp_path


def test_the_command_runs_as_it_is_written(workshop: Path, run: Callable[..., Any]) -> None:
    """In the README and on the printed paper, word for word."""
    paper = (workshop / "OLD").read_text("utf-8")
    for text in (README.read_text("utf-8"), paper):
        (written,) = HANDED.findall(text)
        done = run(*shlex.split(written)[1:])
        assert done.code == 0, done.err
        assert keycard.read(Path("NEWCARD").read_bytes()).card.number == 2
        Path("NEWCARD").unlink()


def test_the_command_runs_as_its_help_has_it(workshop: Path, run: Callable[..., Any]) -> None:
    Path("OLDCARD").rename("OLD.json")
    Path("OLD").unlink()
    Path("OLD.json").rename("OLD")  # there the card before
    (written,) = HANDED.findall(WORDS.say("cli.keys.card.help"))
    done = run("keys", "card", "FILE", *shlex.split(written.removeprefix("new recovery key")))
    assert done.code == 0, done.err


@pytest.mark.parametrize(
    ("asked", "text"),
    [
        (("--new-recovery", "NEW"), "no recovery key before it"),
        (("--new-recovery", "NEW", "--key", "KEY"), "no recovery key before it"),
        (("--retire", "{digits}", "--key", "KEY"), "no key on it that could be retired"),
        (("--lost", "{digits}=2026-01-01"), "no key on it that could be retired"),
    ],
)
def test_without_the_card_before_that_one_is_asked_for(
    workshop: Path, run: Callable[..., Any], asked: tuple[str, ...], text: str
) -> None:
    digits = keycard.read((workshop / "OLDCARD").read_bytes()).fingerprint
    given = [one.format(digits=digits) for one in asked]
    refused = run("keys", "card", "NEWCARD", "--recovery", "OLD", "--name", "Two Benches", *given)
    assert refused.code == 64
    assert text in refused.err and "--from" in refused.err
