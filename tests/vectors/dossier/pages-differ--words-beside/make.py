"""A viewer shows other words beside an attachment of a copy made by a holder."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.held()
    spec = found.objects[found.numbers("/UF", b"record.json")[0]][0]
    spec[Name("/Desc")] = b"Certified: all original"
    return bench.write(found.whole())
