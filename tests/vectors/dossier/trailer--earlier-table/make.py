"""The trailer names an earlier table."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.forgery()
    found.trailer["/Prev"] = 15
    return bench.write(found.whole())
