"""Everything beside the PDF is gone."""

from __future__ import annotations

from typing import Any


def make(bench: Any) -> Any:
    for path in bench.folder.iterdir():
        if path.is_file() and path.name != "dossier.pdf":
            path.unlink()
    return bench.folder
