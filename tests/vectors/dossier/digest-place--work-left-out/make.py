"""A workshop's record has a row of work as something that can be left out."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    return bench.write(bench.record_hiding_work(), "record.json")
