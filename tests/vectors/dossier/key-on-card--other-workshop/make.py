"""A card of a recovery key of somebody else says that the key was lost."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    bench.write(bench.card_of_thief(), "key-card-2.json")
    return bench.folder
