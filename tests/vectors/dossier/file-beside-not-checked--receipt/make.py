"""A receipt for another record lies beside."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    bench.write(bench.receipt(other=True), "receipt.json")
    return bench.folder
