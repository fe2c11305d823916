"""What is kept of each photograph until all were looked at, laid aside so that memory does not grow.

In a file without a name, gone with the program; where the disk is full, in memory. Not done here: what is
kept.
Invariant: what is taken down is, value for value, what was laid up, from any thread.
"""

from __future__ import annotations

import tempfile
import threading
import weakref
from collections.abc import Callable
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[Any]
Kept = Callable[[], Array]
Lay = Callable[[Array], Kept]


def in_hand(array: Array) -> Kept:
    """Kept in memory: for a few."""
    return lambda: array


class Shelf:
    """`lay` gives what takes the array down again."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._file: IO[bytes] | None = None

    def lay(self, array: Array) -> Kept:
        """`array` in the file."""
        try:
            with self._lock:
                start = self._written(np.ascontiguousarray(array))
        except OSError:
            return in_hand(array)
        shape, kind = array.shape, array.dtype
        length = array.nbytes
        return lambda: np.frombuffer(self._read(start, length), kind).reshape(shape)

    def _written(self, array: Array) -> int:
        if self._file is None:
            self._file = tempfile.TemporaryFile(buffering=0)  # noqa: SIM115 - lives as long as the shelf
            weakref.finalize(self, self._file.close)
        start = self._file.seek(0, 2)
        if self._file.write(array.data) != array.nbytes:
            raise OSError
        return start

    def _read(self, start: int, length: int) -> bytes:
        with self._lock:
            if self._file is None:
                raise ValueError("nothing was laid up")
            self._file.seek(start)
            return self._file.read(length)
