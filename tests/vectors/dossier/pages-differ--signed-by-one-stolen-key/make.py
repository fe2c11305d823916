"""A page is edited, and the file signed anew with the workshop's first key, which was stolen."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.forgery()
    bench.say_besides(found, 3, b"\n1 0 0 rg 50 50 90 9 re f")
    return bench.write(bench.signed_by(found, bench.made.key))
