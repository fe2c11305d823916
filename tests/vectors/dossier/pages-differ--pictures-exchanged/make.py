"""Two pictures change places on the pages; both are of the record."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    found = bench.held()
    shown = bench.pictures(found)
    one, two = found.objects[shown["photo-001.jpg"]], found.objects[shown["photo-003.jpg"]]
    one[:], two[:] = two[:], one[:]
    return bench.write(found.whole())
