"""A command that is misspelt is asked back; every command has a module and short words of its own."""

from __future__ import annotations

import datetime as dt
import os
import subprocess
import sys
import warnings
from pathlib import Path

import click
import pytest
from click.testing import CliRunner
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding

from dossier.cli import COMMANDS, main, program

RECORD = Path(__file__).parents[2] / "vectors" / "keycard" / "record" / "aftercare-noted" / "record.json"


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


def test_what_a_library_warns_programmers_of_is_not_printed(tmp_path: Path) -> None:
    """X.520 gives a common name at least one letter, of which the library warns at each look."""
    key, day = ec.derive_private_key(7, ec.SECP256R1()), dt.datetime(2026, 1, 1, tzinfo=dt.UTC)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "", _validate=False)])
    made = x509.CertificateBuilder(name, name, key.public_key(), 7, day, day + dt.timedelta(9999))
    made = made.add_extension(x509.SubjectAlternativeName([x509.DirectoryName(name)]), critical=False)
    (tmp_path / "odd.pem").write_bytes(made.sign(key, hashes.SHA256()).public_bytes(Encoding.PEM))
    with warnings.catch_warnings(record=True) as seen, pytest.raises(SystemExit):
        main(["verify", str(RECORD), "--trust", str(tmp_path / "odd.pem")])
    assert seen == []
