"""Pages inherit a box that cuts them from the node that lists them, and name another node as their parent."""

from __future__ import annotations

from typing import Any

from dossier.container.values import Name


def make(bench: Any) -> Any:
    found = bench.held()
    top = found.root[Name("/Pages")]
    clean = found.add(dict(found.objects[top.number][0]))
    for kid in bench.followed(found, found.objects[top.number][0][Name("/Kids")]):
        found.objects[kid.number][0][Name("/Parent")] = clean
    found.objects[top.number][0][Name("/CropBox")] = [0, 400, 595, 842]
    return bench.write(found.whole())
