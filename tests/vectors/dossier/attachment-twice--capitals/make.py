"""Two attachments have one name but for capitals."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.forgery()
    bench.rename(found, "how-to-check.txt", "RECORD.json")
    return bench.write(found.whole())
