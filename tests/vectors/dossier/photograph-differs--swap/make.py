"""Two photographs inside are swapped for one another."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.forgery()
    one, two = (bench.attached(f"photo-00{n}.jpg") for n in (1, 3))
    bench.attach(found, "photo-001.jpg", two)
    bench.attach(found, "photo-003.jpg", one)
    return bench.write(found.whole())
