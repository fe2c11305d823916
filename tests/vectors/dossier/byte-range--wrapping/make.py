"""The second stretch that was signed is moved to make room for other objects, and the ranges say so."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    whole = bench.pdf.read_bytes()
    start, after, length = bench.ranges(whole)[1:]
    room = whole[after:] + b"99 0 obj\n<< /Type /Catalog >>\nendobj\n"
    moved = whole[:after] + room + whole[after:]
    return bench.write(bench.ranged(moved, f"0 {start} {after + len(room)} {length}"))
