"""Where the program starts: whoever stops it while it is still coming in sees no traceback.

Not done here: anything else; what is needed for it is imported inside.
"""

from __future__ import annotations

import sys

STOPPED = 130  # as a shell says of a program that Ctrl-C ended


def main() -> None:
    """Run the program. Never returns: it ends with an exit code."""
    try:
        from dossier.cli import main as program  # noqa: PLC0415 - what is to be caught happens in here
    except KeyboardInterrupt:
        sys.exit(STOPPED)
    program()
