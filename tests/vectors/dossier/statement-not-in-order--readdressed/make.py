"""The withdrawal of another record is made to name this one."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.statement("withdrawal", bench.made.key, other=True)
    bench.write(bench.readdressed(found), "withdrawal.json")
    return bench.folder
