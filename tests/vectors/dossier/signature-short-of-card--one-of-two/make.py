"""The record is made anew with one signature, by a thief of that key, while the card calls for two."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    return bench.write(bench.record_by_one(), "record.json")
