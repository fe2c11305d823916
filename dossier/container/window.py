"""A file under check, read in bounded pieces. Never written, never mapped into memory."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from dossier import ordinary
from dossier.container.said import unreadable
from dossier.model.container import Limits

BUFFER = 1 << 16


class Window:
    """Random reads from an open file of a size that was looked at once."""

    def __init__(self, file: BinaryIO, size: int) -> None:
        self._file = file
        self.size = size

    def read(self, offset: int, length: int) -> bytes:
        """At most `length` bytes from `offset`; fewer at the end."""
        if offset < 0 or offset >= self.size:
            return b""
        self._file.seek(offset)
        return self._file.read(min(length, self.size - offset))


@contextlib.contextmanager
def opened(path: Path, limits: Limits) -> Iterator[Window]:
    """The file at `path`. Raises UnreadableError when it is none, or larger than the limit."""
    try:
        with ordinary.opened(path, BUFFER) as file:
            size = os.fstat(file.fileno()).st_size
            if size > limits.file_bytes:
                raise unreadable("too-large")
            yield Window(file, size)
    except OSError as error:
        raise unreadable("no-file") from error
