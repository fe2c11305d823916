"""The second signature is taken out."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    value = bench.record_json()
    del value["signatures"][1]
    return bench.write(bench.canonical(value), "record.json")
