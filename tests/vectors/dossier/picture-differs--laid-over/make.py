"""The picture laid over another is swapped for one that shows something else."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    shown = bench.pictures(found)
    laid = next(name for name in shown if name.count("photo-") > 1)
    found.objects[shown[laid]][1] = found.objects[shown["photo-001.jpg"]][1]
    return bench.write(found.whole())
