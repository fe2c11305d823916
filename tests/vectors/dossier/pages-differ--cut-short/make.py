"""A content ends in the middle of its packed form, so that one reader stops where another goes on."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.held()
    stream = found.objects[bench.page(found, 3)[Name("/Contents")].number]
    stream[1] = stream[1][:-6]
    return bench.write(found.whole())
