"""The signature is all zeros."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.forgery()
    slot = found.objects[len(found.objects)]
    start, end = slot[0].index(b"/Contents <") + 11, slot[0].index(b">\n/M")
    slot[0] = slot[0][:start] + b"0" * (end - start) + slot[0][end:]
    return bench.write(found.whole())
