"""Two attachments have one name."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.forgery()
    bench.rename(found, "record.sd-jwt", "record.json")
    return bench.write(found.whole())
