"""An archive stands before the PDF."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    return bench.write(b"PK\x03\x04" + bench.pdf.read_bytes())
