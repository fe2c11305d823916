"""SHA-256 of stretches of a file, in pieces: the digest a signature covers, the digests of attachments.

hashlib lets other threads run while it hashes, so that two stretches take as long as the longer one.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from dossier.container.said import unreadable

CHUNK = 1 << 20
Ranges = Sequence[tuple[int, int]]


def hash_ranges(path: Path, ranges: Ranges) -> bytes:
    """SHA-256 of the (offset, length) stretches of the file at `path`, one after the other.

    Raises UnreadableError when the file ends before a stretch does.
    """
    digest, buffer = hashlib.sha256(), memoryview(bytearray(CHUNK))
    with path.open("rb", buffering=0) as file:
        for offset, length in ranges:
            file.seek(offset)
            left = length
            while left > 0:
                count = file.readinto(buffer[: min(left, CHUNK)])
                if not count:
                    raise unreadable("truncated")
                digest.update(buffer[:count])
                left -= count
    return digest.digest()


def hash_many(path: Path, stretches: Sequence[Ranges]) -> list[bytes]:
    """`hash_ranges` of each, in order, on two threads; the longest first, so that both end together.

    One that is there many times is hashed once: thousands of names can lead to the same gigabyte.
    """
    asked = [tuple(one) for one in stretches]
    order = sorted(dict.fromkeys(asked), key=lambda one: -sum(length for _, length in one))
    with ThreadPoolExecutor(max_workers=2) as pool:
        started = {one: pool.submit(hash_ranges, path, one) for one in order}
        return [started[one].result() for one in asked]
