"""Where the program starts: whoever stops it while it is still coming in sees no traceback.

Not done here: anything else, but how often memory is looked through, which counts from the first import on;
what is needed for the program is imported inside.
"""

from __future__ import annotations

import sys

from dossier.memory import collect_seldom

STOPPED = 130  # as a shell says of a program that Ctrl-C ended


def main() -> None:
    """Run the program. Never returns: it ends with an exit code."""
    collect_seldom()
    try:
        from dossier.cli import main as program  # noqa: PLC0415 - what is to be caught happens in here
    except KeyboardInterrupt:
        sys.exit(STOPPED)
    program()
