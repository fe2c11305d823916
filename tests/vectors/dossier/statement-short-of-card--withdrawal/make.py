"""A withdrawal by one of the two keys that the workshop's card calls for."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    bench.write(bench.statement("withdrawal", bench.made.key), "withdrawal.json")
    return bench.folder
