"""The two signatures change their headers."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    value = bench.record_json()
    first, second = value["signatures"]
    first["protected"], second["protected"] = second["protected"], first["protected"]
    return bench.write(bench.canonical(value), "record.json")
