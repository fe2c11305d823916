"""The signature covers stretches of negative length."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    whole = bench.pdf.read_bytes()
    return bench.write(bench.ranged(whole, "0 -9 9 9"))
