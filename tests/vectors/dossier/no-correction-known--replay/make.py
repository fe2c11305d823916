"""The withdrawal of another record lies beside."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    bench.write(bench.statement("withdrawal", bench.made.key, other=True), "withdrawal.json")
    return bench.folder
