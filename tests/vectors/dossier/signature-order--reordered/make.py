"""The two signatures change places."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    value = bench.record_json()
    first, second = value["signatures"]
    second["header"] = first.pop("header")
    value["signatures"] = [second, first]
    return bench.write(bench.canonical(value), "record.json")
