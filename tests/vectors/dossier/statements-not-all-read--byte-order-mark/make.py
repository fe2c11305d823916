"""A withdrawal beside the dossier was saved again as UTF-16."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    said = bench.statement("withdrawal", bench.made.key, bench.made.second)
    bench.write(said.decode().encode("utf-16"), "w.json")
    return bench.folder
