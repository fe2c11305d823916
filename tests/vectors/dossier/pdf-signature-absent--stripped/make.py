"""The signature is taken out, and nothing else done."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    return bench.write(bench.unsigned().whole())
