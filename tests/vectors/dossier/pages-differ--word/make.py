"""A page of a copy made by a holder is given other words."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    bench.say_besides(found, 3, b"\n1 0 0 rg 50 50 90 9 re f")
    return bench.write(found.whole())
