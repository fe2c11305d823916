"""Reading a file that a stranger may have made: an ordinary one alone, and no more of it than is asked for.

A pipe or a device under a file's name would be waited for, or read, for ever. Not done here: whether a link
may be followed. Impure, so not for the rooms that take values and give values.
"""

from __future__ import annotations

import errno
import hashlib
import io
import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_AT_ONCE = getattr(os, "O_NONBLOCK", 0)  # POSIX open(): a pipe is opened without waiting for a writer


def read(path: Path, most: int) -> bytes:
    """The first bytes of a file, at most `most`. Raises OSError, also where it is no ordinary file."""
    with opened(path) as file:
        return file.read(most)


def whole(path: Path, most: int) -> bytes:
    """All bytes of a file. Raises OSError, also where it is no ordinary file or has more than `most`."""
    data = read(path, most + 1)
    if len(data) > most:
        raise _error(errno.EFBIG, path)
    return data


def kind(path: Path) -> int:
    """What lies there, links not followed, as `stat.S_IFMT` names it; 0: nothing. Raises OSError."""
    try:
        return stat.S_IFMT(path.lstat().st_mode)
    except FileNotFoundError:
        return 0


def sha256(path: Path) -> str:
    """SHA-256 of a file, in hex. Raises OSError, also where it is no ordinary file."""
    with opened(path) as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


@contextmanager
def opened(path: Path, buffering: int = io.DEFAULT_BUFFER_SIZE) -> Iterator[io.BufferedReader[io.FileIO]]:
    """The file, to be read. Raises OSError, also where it is no ordinary file."""
    raw = io.FileIO(path, opener=lambda name, flags: os.open(name, flags | _AT_ONCE))
    with io.BufferedReader(raw, buffering) as file:
        if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
            raise _error(errno.ENOTSUP, path)
        yield file


def _error(number: int, path: Path) -> OSError:
    return OSError(number, os.strerror(number), str(path))
