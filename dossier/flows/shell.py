"""Names as a command that a person is told to run takes them. Pure but for the system it runs on."""

from __future__ import annotations

import os
import shlex
import subprocess


def quoted(name: object) -> str:
    """A name for the shell at hand: as it is, or in the quotation marks it needs there."""
    text = str(name)
    return subprocess.list2cmdline([text]) if os.name == "nt" else _posix(text)


def _posix(text: str) -> str:
    """`shlex.quote`, but letters of any script are left alone."""
    bare = "".join(c if c.isascii() or not c.isalnum() else "a" for c in text)
    return text if text and shlex.quote(bare) == bare else shlex.quote(text)
