"""A bit is set in the packed form of a content, behind the last of its codes (RFC 1951, 3.2.3)."""

from __future__ import annotations

import zlib
from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.held()
    stream = found.objects[bench.page(found, 3)[Name("/Contents")].number]
    plain = zlib.decompress(stream[1])
    # Nine block lengths, and as many ends: at one of them the last code leaves a bit of its byte free.
    forms = (_packed(plain, memory) for memory in range(1, 10))
    stream[1] = next(odd for packed in forms if (odd := _with_a_bit(packed)) != packed and _is(odd, plain))
    return bench.write(found.whole())


def _packed(plain: bytes, memory: int) -> bytes:
    engine = zlib.compressobj(9, zlib.DEFLATED, zlib.MAX_WBITS, memory)
    return engine.compress(plain) + engine.flush()


def _with_a_bit(packed: bytes) -> bytes:
    """The highest bit before the checksum set."""
    return packed[:-5] + bytes([packed[-5] | 0x80]) + packed[-4:]


def _is(packed: bytes, plain: bytes) -> bool:
    try:
        return zlib.decompress(packed) == plain
    except zlib.error:
        return False
