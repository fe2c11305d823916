"""The lower half of a page is cut away by its box."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.held()
    bench.page(found, 2)[Name("/CropBox")] = [0, 400, 595, 842]
    return bench.write(found.whole())
