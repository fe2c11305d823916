"""Output that has nowhere to go: one sentence and a stable exit code; a closed pipe: silence.

/dev/full answers each write with ENOSPC (Linux, full(4)); 74 is EX_IOERR of sysexits.h.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

FULL = Path("/dev/full")
PROGRAM = (sys.executable, "-m", "dossier")


@pytest.mark.skipif(not FULL.exists(), reason="there is no /dev/full")
@pytest.mark.parametrize("asked", [("--help",), ("--version",), ("check", "nothing")])
def test_a_full_disk_behind_the_output(asked: tuple[str, ...]) -> None:
    with FULL.open("w") as full:
        ran = subprocess.run([*PROGRAM, *asked], stdout=full, stderr=subprocess.PIPE, text=True, check=False)
        both = subprocess.run([*PROGRAM, *asked], stdout=full, stderr=full, check=False)
    said, hint = ran.stderr.splitlines()
    assert (ran.returncode, both.returncode) == (74, 74)
    assert "to its end" in said and "Errno" not in said and hint.startswith("hint: ")


def test_a_pipe_that_was_closed() -> None:
    with subprocess.Popen(
        [*PROGRAM, "--help"], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as ran:
        assert ran.stdout is not None and ran.stderr is not None
        ran.stdout.close()
        assert (ran.stderr.read(), ran.wait()) == ("", 141)  # 128 and SIGPIPE (POSIX, sh, exit status)
