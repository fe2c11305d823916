"""The key card is signed by a key that is not the recovery key."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    return bench.write(bench.card_by(bench.made.thief), "key-card.json")
