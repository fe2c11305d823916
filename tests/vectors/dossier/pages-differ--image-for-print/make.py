"""A photograph is printed as another one than is seen (ISO 32000-1, 8.9.5.4: alternate images)."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.held()
    one, other = (found.objects[number] for number in list(bench.pictures(found).values())[:2])
    instead = found.add(dict(other[0]), other[1])
    one[0][Name("/Alternates")] = [{Name("/Image"): instead, Name("/DefaultForPrinting"): True}]
    return bench.write(found.whole())
