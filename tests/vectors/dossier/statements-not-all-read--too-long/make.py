"""A withdrawal beside the dossier is followed by a million spaces."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    said = bench.statement("withdrawal", bench.made.key, bench.made.second)
    bench.write(said + b" " * (1 << 20), "w.json")
    return bench.folder
