"""The signature covers stretches that overlap."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    whole = bench.pdf.read_bytes()
    return bench.write(bench.ranged(whole, "0 {2} {1} {3}"))
