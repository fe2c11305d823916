"""Memory for pixels, kept once it is had.

A photograph's pixels are some ten megabytes. The C library of Linux gives so much back to the system each
time and gets it anew, page by page, each of them cleared: of fourteen photographs that is a fifteenth of the
work. Not done here: a limit; what is kept is no more than was in use at once. Elsewhere nothing is changed.
"""

from __future__ import annotations

import ctypes
import sys
from contextlib import suppress
from functools import cache

# mallopt(3)
_TRIM_THRESHOLD, _TOP_PAD, _MMAP_THRESHOLD, _ARENA_MAX = -1, -2, -3, -8
_MEGABYTE = 1 << 20


@cache
def keep() -> None:
    """From here on, for the whole program; one store for all threads: each finds what another left."""
    if sys.platform != "linux":
        return
    with suppress(OSError, AttributeError):  # another C library than glibc has no such thing
        library = ctypes.CDLL(None)
        library.mallopt(_ARENA_MAX, 1)
        library.mallopt(_MMAP_THRESHOLD, 256 * _MEGABYTE)
        library.mallopt(_TRIM_THRESHOLD, 256 * _MEGABYTE)
        library.mallopt(_TOP_PAD, 32 * _MEGABYTE)
