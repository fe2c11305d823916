"""How a process of this program treats memory: what it brings in stays, and what pixels took is used again.

Not done here: limits.
"""

from __future__ import annotations

import gc
import sys
from contextlib import suppress
from functools import cache

# mallopt(3)
_TRIM_THRESHOLD, _TOP_PAD, _MMAP_THRESHOLD, _ARENA_MAX = -1, -2, -3, -8
_MEGABYTE = 1 << 20


def collect_seldom() -> None:
    """Looks for cycles in memory once in 200,000 new objects.

    What the libraries bring in stays, and what is drawn has next to none: once in 50,000, a compile of 14
    photographs was looked through 25 times, for a fortieth of its CPU, and 1,200 objects came free.
    """
    gc.set_threshold(200_000, 20, 100)


@cache
def keep_pixels() -> None:
    """Keeps the room of pixels, once it is had; no more than was in use at once.

    A photograph's are some ten megabytes. The C library of Linux gives so much back to the system each time
    and gets it anew, page by page, each of them cleared: of 14 photographs that was a twentieth of the work.
    One store for all threads: each finds what another left. Elsewhere nothing is changed.
    """
    if sys.platform != "linux":
        return
    import ctypes  # noqa: PLC0415 - start-up: only where there are pixels

    with suppress(OSError, AttributeError):  # another C library than glibc has no such thing
        library = ctypes.CDLL(None)
        library.mallopt(_ARENA_MAX, 1)
        library.mallopt(_MMAP_THRESHOLD, 256 * _MEGABYTE)
        library.mallopt(_TRIM_THRESHOLD, 256 * _MEGABYTE)
        library.mallopt(_TOP_PAD, 32 * _MEGABYTE)
