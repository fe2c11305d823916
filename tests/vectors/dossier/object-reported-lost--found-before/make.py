"""That the object was found again is said for a day before it was lost."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    bench.write(bench.statement("lost or stolen", bench.made.key, bench.made.second), "lost.json")
    bench.write(bench.statement("found again", bench.made.key, bench.made.second, days=-1), "found.json")
    return bench.folder
