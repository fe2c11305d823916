"""Somebody else withdraws the record."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    bench.write(bench.statement("withdrawal", bench.made.thief), "withdrawal.json")
    return bench.folder
