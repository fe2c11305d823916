"""The title that a viewer shows is changed."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.held()
    found.trailer["/Info"] = found.add({Name("/Title"): b"All original"})
    return bench.write(found.whole())
