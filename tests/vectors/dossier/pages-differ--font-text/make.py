"""The table from glyphs to text is changed, so that a copy or a reading aloud says something else."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    bench.remap(found)
    return bench.write(found.whole())
