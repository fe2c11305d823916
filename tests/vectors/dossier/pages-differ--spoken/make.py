"""The words read aloud for a picture are changed."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.held()
    figure = found.objects[found.numbers("/S", Name("/Figure"))[0]][0]
    figure[Name("/Alt")] = b"all original"
    return bench.write(found.whole())
