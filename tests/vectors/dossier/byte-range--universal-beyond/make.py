"""The signature covers more than the file holds."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    whole = bench.pdf.read_bytes()
    return bench.write(bench.ranged(whole, "0 {1} {2} 999999999"))
