"""What was written, onto the disk itself: a rename after it then never names an empty file, or
another's.

Not done here: folders made aside and swapped whole (`flows/output.py`). Impure, so not for the rooms that
take values and give values.
"""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

_TRIES = 10 if os.name == "nt" else 1
_PAUSE = 0.2  # seconds
MOST_OF_WINDOWS = 259  # characters of a path (MAX_PATH, 260, counts the null at its end)
# What some shares answer who know no flushing (POSIX fsync(2): EINVAL)
done: list[Path] = []  # what is in its place for good, for who stops the program
_NOT_KNOWN_HERE = frozenset({errno.EINVAL, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP})


def flush(file: BinaryIO) -> None:
    """What was written to `file`."""
    file.flush()
    if sys.platform == "darwin":  # there fsync stops at the drive's own memory (fsync(2) of macOS)
        import fcntl  # noqa: PLC0415 - not on Windows

        with contextlib.suppress(OSError):  # a share that does not know it
            fcntl.fcntl(file.fileno(), fcntl.F_FULLFSYNC)
            return
    try:
        os.fsync(file.fileno())
    except OSError as error:
        if error.errno not in _NOT_KNOWN_HERE:  # a full or broken disk says so only now
            raise


def too_long(path: str | Path, *, windows: bool = os.name == "nt") -> bool:
    """Whether Windows, as it is set up, opens no file of this path: it then says that there is none."""
    return windows and len(str(Path(path).absolute())) > MOST_OF_WINDOWS


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


def write(path: Path, content: bytes, mode: int = 0o666) -> None:
    """A new file at `path`, flushed. Raises FileExistsError where there is one, OSError."""
    with open(path, "xb", opener=lambda name, flags: os.open(name, flags, mode)) as file:
        file.write(content)
        flush(file)


def move(path: Path, target: Path, *, replace: bool = False) -> None:
    """A file or folder under another name. Raises OSError; with `replace` a file takes the place of one."""
    _again((lambda: path.replace(target)) if replace else (lambda: path.rename(target)))


def _again(act: Callable[[], object]) -> None:
    """Windows moves and removes nothing that is open, and scanners there open what is new for a moment."""
    for left in reversed(range(_TRIES)):
        try:
            act()
        except PermissionError:
            if not left:
                raise
            time.sleep(_PAUSE)
        else:
            return


def put(path: Path, content: bytes, *, replace: bool = False, mode: int = 0o666) -> None:
    """`content` at `path`, whole or not at all: written aside in its folder, then named.

    Raises FileExistsError where there is a file and it is not to be replaced, OSError.
    """
    aside = path.with_name(f".{path.name}.{secrets.token_hex(4)}.partial")
    try:
        write(aside, content, mode)
        if replace:
            move(aside, path, replace=True)
        else:
            _name_new(aside, path)
        done.append(path)
        flush_folder(path.parent)
    finally:
        with contextlib.suppress(OSError):
            _again(lambda: aside.unlink(missing_ok=True))


def _name_new(aside: Path, path: Path) -> None:
    """A link fails where the name is taken, a rename would replace; some sticks and shares know no links."""
    try:
        path.hardlink_to(aside)
    except FileExistsError:
        raise
    except OSError:
        if path.exists():
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST)) from None
        move(aside, path)
