"""A second document stands in the file, and a table at its end leads to that."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    first = bench.pdf.read_bytes()
    second = (bench.other / "dossier.pdf").read_bytes()
    return bench.write(first + bench.moved(second, len(first)))
