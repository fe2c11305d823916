"""A key that is no longer in use withdraws the record."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    bench.write(bench.card_retiring_first(), "key-card.json")
    bench.write(bench.statement("withdrawal", bench.made.key, days=1), "withdrawal.json")
    return bench.folder
