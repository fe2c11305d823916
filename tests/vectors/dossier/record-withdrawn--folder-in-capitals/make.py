"""A withdrawal lies in a folder whose name is written with a capital letter."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    said = bench.statement("withdrawal", bench.made.key, bench.made.second)
    (bench.folder / "Statements").mkdir()
    bench.write(said, "Statements/w.json")
    return bench.folder
