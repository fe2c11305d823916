"""An archive stands after the PDF."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    return bench.write(bench.pdf.read_bytes() + b"PK\x05\x06" + bytes(18))
