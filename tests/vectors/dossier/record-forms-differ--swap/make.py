"""The record inside is swapped for another one of the same workshop."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.forgery()
    bench.attach(found, "record.json", (bench.other / "record.json").read_bytes())
    return bench.write(found.whole())
