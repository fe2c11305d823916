"""The page on what is original is taken out."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    bench.drop_page(found, 2)
    return bench.write(found.whole())
