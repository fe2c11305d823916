"""Where the program starts and ends: whoever stops it while it is still coming in sees no traceback.

Not done here: anything else; what is needed for it is imported inside.
"""

from __future__ import annotations

import os
import sys

TYPE_CHECKING = False  # what `typing` has it by takes a hundredth of a second to come in
if TYPE_CHECKING:
    from typing import NoReturn

STOPPED = 130  # as a shell says of a program that Ctrl-C ended


def main() -> NoReturn:
    """Run the program. Never returns: it ends with an exit code."""
    try:
        from dossier.memory import collect_seldom  # noqa: PLC0415 - what is to be caught happens in here

        collect_seldom()  # counts from the first import on
        from dossier.cli import main as program  # noqa: PLC0415 - as above
    except KeyboardInterrupt:
        _leave(STOPPED)
    code: object = 0
    try:
        program()
    except SystemExit as end:
        code = end.code
    _leave(code if isinstance(code, int) else 0)


def _leave(code: int) -> NoReturn:
    """Ends at once: what Python gives back piece by piece, in some 30 ms, goes back whole.

    What could not be written is not tried again: Python would say so, and end with 120.
    """
    from contextlib import suppress  # noqa: PLC0415 - as above; it is there by now

    for stream in filter(None, (sys.stdout, sys.stderr)):  # none where a shell shut it
        with suppress(OSError):
            stream.flush()
    os._exit(code)
