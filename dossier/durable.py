"""What was written, onto the disk itself: a rename after it then never names an empty file.

Not done here: writing, renaming. Impure, so not for the rooms that take values and give values.
"""

from __future__ import annotations

import contextlib
import os
from pathlib import Path
from typing import BinaryIO


def flush(file: BinaryIO) -> None:
    """What was written to `file`."""
    file.flush()
    os.fsync(file.fileno())


def flush_folder(folder: Path) -> None:
    """The names in `folder`, where folders can be flushed: not on Windows and on some network shares."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        with contextlib.suppress(OSError):
            os.fsync(handle)
    finally:
        os.close(handle)
