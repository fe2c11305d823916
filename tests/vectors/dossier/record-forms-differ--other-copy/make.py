"""The two forms of the record inside are of two copies."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.forgery()
    bench.attach(
        found, "record.sd-jwt", bench.attached("record.sd-jwt").rpartition(b"~")[0].rpartition(b"~")[0] + b"~"
    )
    return bench.write(found.whole())
