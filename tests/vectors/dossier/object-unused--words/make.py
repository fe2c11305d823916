"""Words in an object that nothing leads to, which other programs may bring to light."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.held()
    found.add({Name("/Contents"): b"A second account of what was done."})
    return bench.write(found.whole())
