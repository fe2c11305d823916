"""A picture on the pages is swapped for another."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    shown = bench.pictures(found)
    found.objects[shown["photo-003.jpg"]][1] = found.objects[shown["photo-001.jpg"]][1]
    return bench.write(found.whole())
