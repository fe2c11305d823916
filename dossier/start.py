"""Where the program starts and ends: whoever stops it while it is still coming in sees no traceback.

Not done here: anything else; what is needed for it is imported inside.
"""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from typing import NoReturn

from dossier.memory import collect_seldom

STOPPED = 130  # as a shell says of a program that Ctrl-C ended


def main() -> NoReturn:
    """Run the program. Never returns: it ends with an exit code."""
    collect_seldom()  # counts from the first import on
    try:
        from dossier.cli import main as program  # noqa: PLC0415 - what is to be caught happens in here
    except KeyboardInterrupt:
        _leave(STOPPED)
    code: object = 0
    try:
        program()
    except SystemExit as end:
        code = end.code
    _leave(code if isinstance(code, int) else 0)


def _leave(code: int) -> NoReturn:
    """Ends at once: what Python gives back piece by piece, for a fiftieth of a compile, goes back whole.

    What could not be written is not tried again: Python would say so, and end with 120.
    """
    for stream in filter(None, (sys.stdout, sys.stderr)):  # none where a shell shut it
        with suppress(OSError):
            stream.flush()
    os._exit(code)
