"""Where the program starts: whoever stops it while it is still coming in sees no traceback.

Not done here: anything else, but how often memory is looked through, which counts from the first import on;
what is needed for the program is imported inside.
"""

from __future__ import annotations

import gc
import sys

STOPPED = 130  # as a shell says of a program that Ctrl-C ended


def collect_seldom() -> None:
    """Looks for cycles in memory once in 200,000 new objects.

    What the libraries bring in stays, and what is drawn has next to none: once in 50,000, a compile of 14
    photographs was looked through 25 times, for a fortieth of its CPU, and 1,200 objects came free.
    """
    gc.set_threshold(200_000, 20, 100)


def main() -> None:
    """Run the program. Never returns: it ends with an exit code."""
    collect_seldom()
    try:
        from dossier.cli import main as program  # noqa: PLC0415 - what is to be caught happens in here
    except KeyboardInterrupt:
        sys.exit(STOPPED)
    program()
