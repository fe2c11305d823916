"""Where there is no terminal nobody is asked, and nothing is printed but what to do."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

NEW = (sys.executable, "-m", "dossier", "keys", "new", "keys", "--name", "Ferrule & Rib")


def ran(typed: str, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        NEW, input=typed, capture_output=True, text=True, cwd=folder, start_new_session=True, check=False
    )


pytestmark = pytest.mark.skipif(os.name == "nt", reason="a session without a terminal is one of POSIX")


def test_without_a_passphrase_in_sight_it_is_an_error_and_a_hint(tmp_path: Path) -> None:
    """The library's own words on echo stood before it."""
    none = ran("", tmp_path)
    assert (none.returncode, none.stdout, len(none.stderr.splitlines())) == (66, "", 2)
    assert "--no-passphrase" in none.stderr and not (tmp_path / "keys").exists()


def test_a_passphrase_that_comes_through_a_pipe_is_taken(tmp_path: Path) -> None:
    piped = ran("lamp black\nlamp black\n", tmp_path)
    assert piped.returncode == 0 and "echo" not in piped.stderr
    assert b"ENCRYPTED" in (tmp_path / "keys" / "workshop-key.pem").read_bytes()
