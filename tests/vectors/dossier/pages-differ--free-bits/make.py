"""A bit is set in the packed form of a content, behind the last of its codes (RFC 1951, 3.2.3)."""

from __future__ import annotations

import zlib
from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.held()
    stream = found.objects[bench.page(found, 3)[Name("/Contents")].number]
    plain = zlib.decompress(stream[1])
    forms = (_packed(plain, memory) for memory in range(1, 10))  # nine block lengths, and as many ends
    stream[1] = _with_a_bit(next(packed for packed in forms if not packed[-5] & 0xC0))
    assert zlib.decompress(stream[1]) == plain
    return bench.write(found.whole())


def _packed(plain: bytes, memory: int) -> bytes:
    engine = zlib.compressobj(9, zlib.DEFLATED, zlib.MAX_WBITS, memory)
    return engine.compress(plain) + engine.flush()


def _with_a_bit(packed: bytes) -> bytes:
    """The highest bit before the checksum set."""
    return packed[:-5] + bytes([packed[-5] | 0x80]) + packed[-4:]
