"""The trailer names a second table in a stream."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.forgery()
    found.trailer["/XRefStm"] = 15
    return bench.write(found.whole())
